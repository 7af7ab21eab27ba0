"""The thread basket: what each colour is called, looks like, and how much of it is on hand."""

from __future__ import annotations

from collections.abc import Iterable

import pandas as pd

from stitchlog import words
from stitchlog.diary.diary import Diary


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
        f"{row.code} {row.name}".strip() + (f" ({row.piece})" if pieces else "")
        for row in rows.head(most).itertuples(index=False)
    ]
    more = [f"{words.number(len(rows) - most)} more"] if len(rows) > most else []
    return words.listed([*names, *more])
