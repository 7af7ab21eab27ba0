"""The drawer: the charts that wait, the cuts of fabric, and the colours that each chart needs."""

from __future__ import annotations

import math

import pandas as pd

from stitchlog.diary import names
from stitchlog.diary.diary import Diary
from stitchlog.model.colour import hardly_shows
from stitchlog.model.thread import basket

_SIDES = ["width", "height", "count", "over"]


def waiting(diary: Diary) -> pd.DataFrame:
    """The charts that wait, in the order of `pieces.csv`: a piece with no session, no start and nothing done before.

    Columns: piece, total (stitches), width, height (stitches), count, over (NaN where unknown), fabric (as written),
    pinned (the cut of `fabrics.csv` that `fabric` names; '').
    """
    standing = diary.standing()
    rows = diary.pieces[standing["status"].eq("not begun").to_numpy()]
    known = {names.key_of(name): name for name in reversed(diary.fabrics["name"].tolist())}
    fabric = rows["fabric"].fillna("").astype(str)
    out = rows[["piece", "total", *_SIDES]].assign(
        fabric=fabric, pinned=[known.get(names.key_of(text), "") for text in fabric]
    )
    return out.reset_index(drop=True)


def cuts(diary: Diary) -> pd.DataFrame:
    """The cuts of fabric whose count and measures are known.

    Columns: fabric (its name), count, aida (worked over one only), colour (hex; ''), width_cm, height_cm.
    """
    rows = diary.fabrics
    rows = rows[(rows["count"] > 0) & (rows["width_cm"] > 0) & (rows["height_cm"] > 0)]
    kind = rows["kind"].fillna("").astype(str)
    return pd.DataFrame(
        {
            "fabric": rows["name"].astype(str),
            "count": rows["count"].astype(float),
            "aida": kind.str.contains("aida", case=False),
            "colour": rows["colour"].fillna("").astype(str),
            "width_cm": rows["width_cm"].astype(float),
            "height_cm": rows["height_cm"].astype(float),
        }
    ).reset_index(drop=True)


def unmeasured(diary: Diary) -> list[str]:
    """The cuts whose count or measures are missing, by name."""
    known = cuts(diary)["fabric"]
    return [name for name in diary.fabrics["name"].astype(str) if name not in set(known)]


def hidden_on(diary: Diary, piece: str, fabric_colour: str) -> str:
    """The codes of a piece's colours that hardly show on fabric of a colour (hex), with `; ` between."""
    if not fabric_colour:
        return ""
    return diary.once(("hidden", piece, fabric_colour), lambda: _hidden_on(diary, piece, fabric_colour))


def _hidden_on(diary: Diary, piece: str, fabric_colour: str) -> str:
    colours: list[tuple[str, str]] = diary.once(("colours", piece), lambda: _colours(diary, piece))
    return "; ".join(code for code, colour in colours if hardly_shows(colour, fabric_colour))


def _colours(diary: Diary, piece: str) -> list[tuple[str, str]]:
    """Code and hex of the colours of a piece whose hex is known."""
    if not (len(diary.chart_colours) or len(diary.colours)):
        return []
    by_hex: dict[str, str] = diary.once("hex by code", lambda: basket.hexes(diary))
    codes: dict[str, list[str]] = diary.once("codes by piece", lambda: basket.codes(diary))
    return [(code, by_hex[code]) for code in codes.get(piece, []) if by_hex.get(code)]


def nearness(per_inch: float, planned: float) -> float:
    """How far a size is from the planned one: the log of their ratio, 0 where they are the same; NaN: not planned."""
    return abs(math.log(per_inch / planned)) if per_inch > 0 and planned > 0 else math.nan
