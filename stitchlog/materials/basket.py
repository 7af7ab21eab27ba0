"""The thread basket: what each colour is called, looks like, and how much of it is on hand."""

from __future__ import annotations

from collections.abc import Iterable

import pandas as pd

from stitchlog.diary import Diary


def about(diary: Diary, codes: Iterable[str]) -> pd.DataFrame:
    """name and hex of each code, by code and in their order; '' where `threads.csv` does not say."""
    known = diary.threads.drop_duplicates("code").set_index("code")[["name", "hex"]]
    return known.astype(object).reindex(list(codes)).fillna("").astype(str)


def on_hand(diary: Diary) -> pd.Series:
    """Skeins on hand by code, 0 where none are written down."""
    return diary.threads.groupby("code")["skeins"].sum().fillna(0.0).astype(float)
