"""How large a design comes out on which fabric, how much to cut, and what that means in hours."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import pandas as pd

from stitchlog import words
from stitchlog.diary.diary import Diary
from stitchlog.model.fabric import OVER_ONE, OVER_TWO, Size, say_fabric, size, usual_strands
from stitchlog.model.pace import begun
from stitchlog.model.thread_use import CM_PER_INCH

# The columns of a table of sizes that hold the pairs of a `Size`.
_SIDES = {
    f"{part}_{unit}": [f"{cut}width_{unit}", f"{cut}height_{unit}"]
    for unit in ("cm", "in")
    for part, cut in (("design", ""), ("cut", "cut_"))
}


@dataclass(frozen=True)
class Design:
    """What is to be worked: its name ('' where it is only an idea), stitches, sides of the grid, fabric and thread.

    stitches, width, height, count, over, strands, colours: NaN where unknown. as_square: the sides are not known and
    are those of a square with as many stitches.
    """

    name: str
    stitches: float
    width: float
    height: float
    count: float
    over: float
    strands: float
    colours: float
    as_square: bool

    @property
    def has_size(self) -> bool:
        return self.width > 0 and self.height > 0


def design(
    diary: Diary,
    piece: str | None = None,
    stitches: float | None = None,
    width: float | None = None,
    height: float | None = None,
    count: float | None = None,
    over: float | None = None,
) -> Design:
    """What is asked about: the piece as the diary has it, any figure that is given taking the place of its own.

    Without a piece it is an idea with the given figures; without either, the first piece of the diary that is not
    begun. Where only the stitches are known the sides are those of a square.
    """
    given = {"total": stitches, "width": width, "height": height, "count": count, "over": over}
    asked = {column: figure for column, figure in given.items() if figure is not None}
    if not piece and not asked:
        standing = diary.standing()
        piece = next(iter(standing.loc[standing["status"] == "not begun", "piece"]), None)
    name, own, colours = "", {}, math.nan
    if piece:
        name = diary.piece(piece)
        own = dict(diary.pieces.set_index("piece").loc[name].dropna())
        charted = diary.chart_colours.loc[diary.chart_colours["piece"] == name, "code"].nunique()
        colours = charted or diary.colours.loc[diary.colours["piece"] == name, "code"].nunique() or math.nan
    figures: dict[str, Any] = {"over": 1.0, "coverage": 1.0} | own | asked
    whole, across, down, per_inch = (float(figures.get(c, math.nan)) for c in ("total", "width", "height", "count"))
    if "total" not in asked and ("width" in asked or "height" in asked or math.isnan(whole)):
        whole = across * down * figures["coverage"]
    square = not (across > 0 and down > 0) and whole > 0
    if square:
        across = down = float(math.ceil(math.sqrt(whole)))
    usual = float(usual_strands(per_inch / figures["over"])[1]) if per_inch > 0 else math.nan
    strands = float(figures.get("strands", usual))
    return Design(name, whole, across, down, per_inch, float(figures["over"]), strands, colours, square)


def size_table(diary: Diary, asked: Design, margin_in: float = 3.0) -> pd.DataFrame:
    """The design on every usual fabric side by side, the largest first, and the hours it would take this stitcher.

    Columns: fabric (in words), count, over, strands (the piece's own on its own fabric, else the usual), width_cm,
    height_cm, cut_width_cm, cut_height_cm, width_in, height_in, cut_width_in, cut_height_in, hours (from
    `pace.if_begun`; NaN where no pace is known), own (the fabric the design is planned on). Empty where the design's
    sides are not known.
    """
    own = (asked.count, asked.over)
    fabrics = (
        {(count, 1.0) for count in OVER_ONE} | {(count, 2.0) for count in OVER_TWO} | ({own} if own[0] > 0 else set())
    )
    order = sorted(fabrics, key=lambda c: (c[0] / c[1], c[1])) if asked.has_size else []
    out = pd.DataFrame(order, columns=["count", "over"], dtype=float)
    out.insert(0, "fabric", [say_fabric(*fabric) for fabric in order])
    out["strands"] = [
        asked.strands if (count, over) == own else float(usual_strands(count / over)[1]) for count, over in order
    ]
    sizes = [size((asked.width, asked.height), count, over, margin_in) for count, over in order]
    for name, columns in _SIDES.items():
        out[columns] = pd.DataFrame([one[name] for one in sizes], columns=columns, dtype=float)
    out["hours"] = math.nan
    if asked.stitches > 0 and order:
        colours = asked.colours if asked.colours > 0 else None
        found = begun.if_begun_each(diary, [(asked.name, asked.stitches, *fabric, colours) for fabric in order])
        out["hours"] = found["hours"].to_numpy(float)
    out["own"] = [fabric == own for fabric in order]
    return out


def say_size(asked: Design, margin_in: float = 3.0) -> str:
    """The design's size on its own fabric, and the fabric to cut, in two sentences."""
    name = asked.name or "This design"
    if not asked.has_size:
        what = f"{asked.name} says" if asked.name else "The design says"
        return f"{what} neither its width and height nor its stitches, so its size is not known."
    guess = " if it is a square" if asked.as_square else ""
    grid = f"{words.number(asked.width)} × {words.number(asked.height)} stitches{guess}"
    if not asked.count > 0:
        return f"{name} is {grid}. Its fabric is not known; the table shows every usual one."
    one = size((asked.width, asked.height), asked.count, asked.over, margin_in)
    margin = f"{words.number(margin_in * CM_PER_INCH, 1)} cm ({margin_in:g} in)"
    return (
        f"{name} is {grid}. On {say_fabric(asked.count, asked.over)} that is {_both(one, 'design')}. "
        f"Cut the fabric {_both(one, 'cut')}, which leaves {margin} on every side."
    )


def _both(one: Size, part: str) -> str:
    cm, inches = one[f"{part}_cm"], one[f"{part}_in"]
    return (
        f"{words.number(cm[0], 1)} × {words.number(cm[1], 1)} cm "
        f"({words.number(inches[0], 2)} × {words.number(inches[1], 2)} in)"
    )


def say_size_table(frame: pd.DataFrame) -> str:
    """What the choice of fabric does: the largest and the smallest, and the hours where they are known."""
    if frame.empty:
        return "Without the design's width and height there are no sizes to compare."
    large, small = frame.iloc[0], frame.iloc[-1]
    text = (
        f"From {large['fabric']} to {small['fabric']} the same design shrinks from "
        f"{words.number(large['width_cm'], 1)} × {words.number(large['height_cm'], 1)} cm to "
        f"{words.number(small['width_cm'], 1)} × {words.number(small['height_cm'], 1)} cm."
    )
    known = frame.dropna(subset=["hours"])
    if known.empty:
        return text + " No session in this diary is timed, so its hours are not known."
    low, high = known["hours"].min(), known["hours"].max()
    if words.number(low) == words.number(high):
        return f"{text} At your pace it takes about {words.number(low)} hours. The fabric has no clear effect on that."
    return f"{text} At your pace that is {words.number(low)} to {words.number(high)} hours."


def say_strands(asked: Design) -> str:
    """Strands that usually cover on this fabric, beside what the piece is worked with. Common practice, not a rule."""
    if not asked.count > 0:
        return "How many strands cover depends on the fabric, which is not known here."
    low, high = usual_strands(asked.count / asked.over)
    usual = words.count(low, "strand") if low == high else f"{low} or {high} strands"
    fabric = say_fabric(asked.count, asked.over)
    text = f"On {fabric} stitchers usually take {usual} for full crosses and one for backstitch."
    if asked.name and not low <= asked.strands <= high:
        text += f" You stitch it with {words.count(asked.strands, 'strand')}."
    return text + " Dark fabric and dark thread cover better with one more; try ten stitches in a corner first."
