"""The drawer: the charts that wait, the cuts of fabric, and the colours that each chart needs."""

from __future__ import annotations

import numpy as np
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


def kits(diary: Diary) -> set[str]:
    """The pieces that `bought.csv` names as kits: their fabric and thread are in the box."""
    keys = {names.key_of(name) for name in diary.bought.loc[diary.bought["what"] == "kit", "name"]}
    return {piece for piece in diary.pieces["piece"] if names.key_of(piece) in keys}


def cuts(diary: Diary) -> pd.DataFrame:
    """The cuts of fabric whose count and measures are known.

    Columns: cut (its number; two may have one name), fabric (its name), count, aida (worked over one only), colour
    (hex; ''), width_cm, height_cm.
    """
    rows = diary.fabrics
    rows = rows[(rows["count"] > 0) & (rows["width_cm"] > 0) & (rows["height_cm"] > 0)]
    kind = rows["kind"].fillna("").astype(str)
    return pd.DataFrame(
        {
            "cut": range(len(rows)),
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


def hidden(diary: Diary, rows: pd.DataFrame) -> pd.Series:
    """The codes of each row's `piece` that hardly show on fabric of its `colour`, with `; ` between; '' where none."""
    by_hex, codes = basket.hexes(diary), basket.codes(diary)
    fabrics = rows["colour"].unique().tolist()
    pieces = rows["piece"].unique().tolist()
    threads = sorted({by_hex[code] for piece in pieces for code in codes.get(piece, []) if code in by_hex})
    lost = hardly_shows(threads, fabrics)
    places = {colour: place for place, colour in enumerate(threads)}
    said: dict[tuple[str, str], str] = {}
    for piece in pieces:
        own = [code for code in codes.get(piece, []) if code in by_hex]
        table = lost[[places[by_hex[code]] for code in own]]
        for place in np.flatnonzero(table.any(axis=0)):
            hides = "; ".join(code for code, gone in zip(own, table[:, place], strict=True) if gone)
            said[piece, fabrics[place]] = hides
    each = [said.get(pair, "") for pair in zip(rows["piece"], rows["colour"], strict=True)]
    return pd.Series(each, index=rows.index, dtype="str")
