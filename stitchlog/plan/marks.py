"""Which pieces were begun and finished for a promise, and when."""

from __future__ import annotations

import pandas as pd

from stitchlog.diary import Diary
from stitchlog.plan.commitments import each


def marks(diary: Diary, fit: pd.DataFrame) -> pd.DataFrame:
    """The beginnings that count for `start` promises of a `capacity` frame, and the finishes of `finish` and due ones.

    Columns: label (the promise's), piece, date, what ('begun' or 'finished'); only what came by the frame's `as_of`.
    """
    pieces = diary.standing(fit.attrs["as_of"])
    rows = []
    for row in each(fit[fit["kind"].isin(["start", "finish", "due"])]):
        what, column = ("begun", "began") if row.kind == "start" else ("finished", "finished")
        mine = pieces if row.piece == "" else pieces[pieces["piece"] == row.piece]
        first = pd.Timestamp.min if pd.isna(row.starts) else row.starts
        here = mine[(mine[column] >= first) & (mine[column] <= row.ends)]
        rows += [(row.label, piece, date, what) for piece, date in zip(here["piece"], here[column], strict=True)]
    out = pd.DataFrame(rows, columns=["label", "piece", "date", "what"])
    return out.astype({"date": "datetime64[us]"})
