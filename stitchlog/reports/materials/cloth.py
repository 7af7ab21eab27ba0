"""How large a design comes out on which cloth, how much cloth to cut, and what that means at the needle."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, fields
from typing import Any

import pandas as pd

from stitchlog import words
from stitchlog.diary.diary import Diary
from stitchlog.errors import StitchlogError
from stitchlog.model.pace import begun
from stitchlog.model.thread_use import CM_PER_INCH

# Cloth as it is usually sold and worked: count to the inch, and over how many threads.
OVER_ONE = (11.0, 14.0, 16.0, 18.0, 20.0, 22.0, 25.0, 40.0)
OVER_TWO = (25.0, 28.0, 32.0, 36.0, 40.0)

# The columns of a table of sizes that hold the pairs of a `Size`.
_SIDES = {
    f"{part}_{unit}": [f"{cut}width_{unit}", f"{cut}height_{unit}"]
    for unit in ("cm", "in")
    for part, cut in (("design", ""), ("cut", "cut_"))
}

# Strands for full cover by stitches to the inch (up to and including): common practice, no published source.
_STRANDS = ((11, 3, 3), (16, 2, 2), (18, 1, 2), (math.inf, 1, 1))


@dataclass(frozen=True)
class Size:
    """A design on its cloth. Each figure is a number where one side was asked for, (width, height) where both were.

    design_in, design_cm: the stitched part. cut_in, cut_cm: the cloth to cut, the margin added on every side.
    Read them as attributes or by name: `size["cut_cm"]`.
    """

    design_in: Any
    design_cm: Any
    cut_in: Any
    cut_cm: Any

    def keys(self) -> Iterator[str]:
        return (f.name for f in fields(self))

    def __getitem__(self, name: str) -> Any:
        if name not in self.keys():
            raise KeyError(name)
        return getattr(self, name)


@dataclass(frozen=True)
class Design:
    """What is to be worked: its name ('' where it is only an idea), stitches, sides of the grid, cloth and thread.

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


def size(stitches: float | tuple[float, float], count: float, over: float = 1, margin_in: float = 3.0) -> Size:
    """The size of `stitches` (one side, or width and height) on cloth of `count` to the inch, worked over one or two.

    margin_in: inches of bare cloth on each side, so a cut is its design and twice the margin. Inches and centimetres
    (one inch is 2.54 cm exactly); an odd count over two keeps its half stitch to the inch. Raises StitchlogError where
    the count is not above 0, `over` is not 1 or 2, or a side or the margin is below 0.

    >>> size(140, 14)
    Size(design_in=10.0, design_cm=25.4, cut_in=16.0, cut_cm=40.64)
    >>> size((80, 220), 32, over=2)["cut_in"]
    (11.0, 19.75)
    """
    if not count > 0:
        raise StitchlogError(f"a cloth of {count} to the inch cannot be; the count must be above 0")
    if over not in (1, 2):
        raise StitchlogError(f"over {over} cannot be; it must be 1 or 2")
    if not margin_in >= 0:
        raise StitchlogError(f"a margin of {margin_in} inches cannot be; it must be 0 or more")
    one = not isinstance(stitches, (tuple, list))
    sides: Any = [stitches] if one else stitches
    if not all(side >= 0 for side in sides):
        raise StitchlogError(f"a design of {stitches} stitches cannot be; a side must be 0 or more")

    def given(unit: float, bare: float = 0.0) -> Any:
        out = tuple(round((side * over / count + 2 * bare) * unit, 9) for side in sides)
        return out[0] if one else out

    return Size(given(1), given(CM_PER_INCH), given(1, margin_in), given(CM_PER_INCH, margin_in))


def usual_strands(per_inch: float) -> tuple[int, int]:
    """Strands that usually cover, fewest and most, for so many stitches to the inch. Common practice, no source.

    >>> usual_strands(14), usual_strands(18), usual_strands(20)
    ((2, 2), (1, 2), (1, 1))
    """
    return next((low, high) for upto, low, high in _STRANDS if per_inch <= upto)


def design(
    diary: Diary,
    piece: str | None = None,
    stitches: float | None = None,
    width: float | None = None,
    height: float | None = None,
    count: float | None = None,
    over: float | None = None,
    as_of: pd.Timestamp | str | None = None,
) -> Design:
    """What is asked about: the piece as the diary has it, any figure that is given taking the place of its own.

    Without a piece it is an idea with the given figures; without either, the first piece of the diary that is not begun
    by `as_of`. Where only the stitches are known the sides are those of a square.
    """
    given = {"total": stitches, "width": width, "height": height, "count": count, "over": over}
    asked = {column: figure for column, figure in given.items() if figure is not None}
    if not piece and not asked:
        standing = diary.standing(as_of)
        piece = next(iter(standing.loc[standing["status"] == "not begun", "piece"]), None)
    name, own, colours = "", {}, math.nan
    if piece:
        name = diary.piece(piece)
        own = diary.pieces.set_index("piece").loc[name].dropna().to_dict()
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


def size_table(
    diary: Diary, asked: Design, margin_in: float = 3.0, as_of: pd.Timestamp | str | None = None
) -> pd.DataFrame:
    """The design on every usual cloth side by side, the largest first, and the hours it would take this stitcher.

    Columns: cloth (in words), count, over, strands (as they usually cover), width_cm, height_cm, cut_width_cm,
    cut_height_cm, width_in, height_in, cut_width_in, cut_height_in, hours (at the needle, from `pace.if_begun`; NaN
    where no pace is known), own (the cloth the design is planned on). Empty where the design's sides are not known.
    """
    own = (asked.count, asked.over)
    cloths = (
        {(count, 1.0) for count in OVER_ONE} | {(count, 2.0) for count in OVER_TWO} | ({own} if own[0] > 0 else set())
    )
    order = sorted(cloths, key=lambda c: (c[0] / c[1], c[1])) if asked.has_size else []
    out = pd.DataFrame(order, columns=["count", "over"], dtype=float)
    out.insert(0, "cloth", [say_cloth(*cloth) for cloth in order])
    out["strands"] = [usual_strands(count / over)[1] for count, over in order]
    sizes = [size((asked.width, asked.height), count, over, margin_in) for count, over in order]
    for name, columns in _SIDES.items():
        out[columns] = pd.DataFrame([one[name] for one in sizes], columns=columns, dtype=float)
    out["hours"] = math.nan
    if asked.stitches > 0 and order:
        colours = asked.colours if asked.colours > 0 else None
        found = begun.if_begun_each(diary, [(asked.name, asked.stitches, *cloth, colours) for cloth in order], as_of)
        out["hours"] = found["hours"].to_numpy(float)
    out["own"] = [cloth == own for cloth in order]
    return out


def say_cloth(count: float, over: float) -> str:
    """Cloth as stitchers say it.

    >>> say_cloth(32, 2), say_cloth(14, 1)
    ('32 count over two', '14 count over one')
    """
    return f"{count:g} count over {'two' if over == 2 else 'one'}"


def say_size(asked: Design, margin_in: float = 3.0) -> str:
    """The design's size on its own cloth, and the cloth to cut, in two sentences."""
    name = asked.name or "This design"
    if not asked.has_size:
        return (
            f"How large {asked.name or 'the design'} is cannot be said: neither its sides nor its stitches are known."
        )
    guess = " if it is a square" if asked.as_square else ""
    grid = f"{words.number(asked.width)} × {words.number(asked.height)} stitches{guess}"
    if not asked.count > 0:
        return f"{name} is {grid}. Its cloth is not known; the table shows it on every usual one."
    one = size((asked.width, asked.height), asked.count, asked.over, margin_in)
    margin = f"{words.number(margin_in * CM_PER_INCH, 1)} cm ({margin_in:g} in)"
    return (
        f"{name} is {grid}: {say_cloth(asked.count, asked.over)} makes that {_both(one, 'design')}. "
        f"Cut the cloth at {_both(one, 'cut')}, which leaves {margin} on every side."
    )


def _both(one: Size, part: str) -> str:
    cm, inches = one[f"{part}_cm"], one[f"{part}_in"]
    return (
        f"{words.number(cm[0], 1)} × {words.number(cm[1], 1)} cm "
        f"({words.number(inches[0], 2)} × {words.number(inches[1], 2)} in)"
    )


def say_size_table(frame: pd.DataFrame) -> str:
    """What the choice of cloth does: the largest and the smallest, and the hours where they are known."""
    if frame.empty:
        return "Without the design's sides there is no size to compare."
    large, small = frame.iloc[0], frame.iloc[-1]
    text = (
        f"From {large['cloth']} to {small['cloth']} the same design shrinks from "
        f"{words.number(large['width_cm'], 1)} × {words.number(large['height_cm'], 1)} cm to "
        f"{words.number(small['width_cm'], 1)} × {words.number(small['height_cm'], 1)} cm."
    )
    known = frame.dropna(subset=["hours"])
    if known.empty:
        return text + " How many hours it would take cannot be said: no session in this diary is timed."
    low, high = known["hours"].min(), known["hours"].max()
    if words.number(low) == words.number(high):
        return (
            text
            + f" At your pace it takes about {words.number(low)} hours; the diary shows no clear effect of the cloth."
        )
    return text + f" At your pace that is {words.number(low)} to {words.number(high)} hours at the needle."


def say_strands(asked: Design) -> str:
    """Strands that usually cover on this cloth, beside what the piece is worked with. Common practice, not a rule."""
    if not asked.count > 0:
        return "How many strands cover depends on the cloth, which is not known here."
    low, high = usual_strands(asked.count / asked.over)
    usual = words.count(low, "strand") if low == high else f"{low} or {high} strands"
    cloth = say_cloth(asked.count, asked.over)
    text = f"On {cloth} stitchers usually take {usual} for full crosses and one for backstitch."
    if asked.name and not low <= asked.strands <= high:
        text += f" You work it with {words.count(asked.strands, 'strand')}."
    return text + " Dark cloth and dark thread cover better with one more; try ten stitches in a corner first."
