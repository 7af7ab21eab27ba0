"""The thread basket: what each colour is called, looks like, and how much of it is on hand."""

from __future__ import annotations

from collections.abc import Iterable

import pandas as pd

from stitchlog import words
from stitchlog.diary.diary import Diary
from stitchlog.diary.frames import each_row


def about(diary: Diary, codes: Iterable[str]) -> pd.DataFrame:
    """name and hex of each code, by code and in their order; '' where `threads.csv` does not say."""
    known = diary.threads.drop_duplicates("code").set_index("code")[["name", "hex"]]
    return known.astype(object).reindex(list(codes)).fillna("").astype(str)


def on_hand(diary: Diary) -> pd.Series:
    """Skeins on hand by code, 0 where none are written down."""
    return diary.threads.groupby("code")["skeins"].sum().astype(float)


def named(rows: pd.DataFrame, most: int = 3, pieces: bool = False) -> str:
    """The first `most` colours of a frame with code and name in words, the others counted.

    pieces: with the piece of each.
    """
    names = [
        f"{row.code} {row.name}".strip() + (f" ({row.piece})" if pieces else "") for row in each_row(rows.head(most))
    ]
    more = [f"{words.number(len(rows) - most)} more"] if len(rows) > most else []
    return words.listed([*names, *more])


def colours_of(diary: Diary, piece: str) -> pd.DataFrame:
    """code, name, hex and stitches (the chart's, else counted so far) of every colour of a piece."""
    chart = diary.chart_colours[diary.chart_colours["piece"] == piece].groupby("code")["stitches"].sum()
    used = diary.colours[diary.colours["piece"] == piece]
    counted = used.groupby("code")["stitches"].sum(min_count=1)
    codes = sorted(set(chart.index) | set(counted.index))
    out = about(diary, codes).rename_axis("code").reset_index()
    out["stitches"] = out["code"].map(chart if len(chart) else counted).astype(float)
    return out


def hexes(diary: Diary) -> dict[str, str]:
    """The hex of each code of which `threads.csv` says it."""
    known = diary.threads[diary.threads["hex"].fillna("") != ""].drop_duplicates("code")
    return dict(zip(known["code"].astype(str), known["hex"].astype(str), strict=True))


def codes(diary: Diary) -> dict[str, list[str]]:
    """The codes of each piece, by its chart and its sessions."""
    both = pd.concat([diary.chart_colours[["piece", "code"]], diary.colours[["piece", "code"]]]).drop_duplicates()
    return {str(piece): sorted(rows.astype(str)) for piece, rows in both.groupby("piece")["code"]}
