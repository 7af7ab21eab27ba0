"""What a diary knows on a day, as the forecast needs it. Nothing later than that day is looked at."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
import pandas as pd

from stitchlog.diary.diary import Day, Diary
from stitchlog.errors import StitchlogError

NEVER = np.iinfo(np.int32).max  # the day of a finish that has not come


@dataclass(frozen=True)
class History:
    """A diary as it stood at the end of `day`.

    standing: as `Diary.standing`, a row a piece. piece, at, stitches: of every session: the row of its piece in
    `standing`, its day since the diary's first, its stitches. ends: the day on which each piece was finished (NEVER:
    it was not).
    """

    day: pd.Timestamp
    standing: pd.DataFrame
    piece: np.ndarray
    at: np.ndarray
    stitches: np.ndarray
    ends: np.ndarray
    days: int

    @cached_property
    def everything(self) -> np.ndarray:
        """Stitches a day of all pieces, from the diary's first day to `day`."""
        return np.bincount(self.at, self.stitches, self.days)

    def own(self, name: str) -> np.ndarray:
        """Stitches a day on one piece, shape as `everything`."""
        mine = self.piece == self.row(name)
        return np.bincount(self.at[mine], self.stitches[mine], self.days)

    def row(self, name: str) -> int:
        """The row of a piece in `standing`."""
        return int(np.flatnonzero(self.standing["piece"].to_numpy() == name)[0])

    def open(self) -> np.ndarray:
        """Rows of the pieces on which work may go on: begun and not finished, those set aside too."""
        return np.flatnonzero(self.standing["status"].isin(["on the go", "set aside"]).to_numpy())

    @cached_property
    def visits(self) -> pd.DataFrame:
        """A row for every day that a piece was worked on, in their order: piece (row), at, stitches, before (stitches
        that remained before it, NaN where the total is not known)."""
        worked = pd.DataFrame({"at": self.at, "piece": self.piece, "stitches": self.stitches})
        out = worked.groupby(["at", "piece"], sort=False, as_index=False)[["stitches"]].sum()
        done = out.groupby("piece")["stitches"].cumsum().to_numpy()
        last = out.groupby("piece")["stitches"].transform("sum").to_numpy()
        total, now = (self.standing[c].to_numpy(float)[out["piece"]] for c in ("total", "done"))
        return out.assign(before=total - (now - last + done - out["stitches"].to_numpy()))


def day_of(diary: Diary, as_of: Day | None = None) -> pd.Timestamp:
    """The day a question is asked on. Raises StitchlogError where it cannot be told."""
    day = diary.as_of if as_of is None else pd.Timestamp(as_of)
    if pd.isna(day):
        raise StitchlogError("the diary holds no session yet, so nothing can be foreseen")
    return day.normalize()


def history(diary: Diary, day: pd.Timestamp) -> History:
    """The diary as it stood at the end of `day`."""
    return diary.once(("history", day), lambda: _history(diary, day))


def _history(diary: Diary, day: pd.Timestamp) -> History:
    rows = diary.sessions[diary.sessions["date"] <= day]
    standing = diary.standing(day).reset_index(drop=True)
    first = rows["date"].min() if len(rows) else day
    at = (rows["date"] - first).dt.days.to_numpy(int)
    ends = (standing["finished"] - first).dt.days
    return History(
        day=day,
        standing=standing,
        piece=pd.Index(standing["piece"]).get_indexer(rows["piece"]),
        at=at,
        stitches=rows["stitches"].fillna(0.0).to_numpy(float),
        ends=ends.where(ends.notna(), NEVER).to_numpy(int),
        days=(day - first).days + 1 if len(rows) else 0,
    )
