"""What a diary knows about a piece on a day, as the forecast needs it. Nothing later than that day is looked at."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd

from stitchlog.diary import Diary
from stitchlog.errors import StitchlogError


@dataclass(frozen=True)
class Known:
    """A piece on the day `as_of`.

    total, done, remaining: stitches (total NaN: not known). status: as `Diary.standing`. own: stitches on the piece a
    day, from its beginning to `as_of`. everything: the same for all pieces, from the diary's first day. others: all
    pieces but this one, like `everything`. lives: one row for every other piece worked so far: days (with a session on
    it), could (the stitcher's days between its first session and its finish, or `as_of`).
    """

    piece: str
    as_of: pd.Timestamp
    total: float
    done: float
    remaining: float
    status: str
    last_session: pd.Timestamp | None
    own: np.ndarray
    everything: np.ndarray
    others: np.ndarray
    lives: pd.DataFrame


def known(diary: Diary, piece: str, as_of: Any = None) -> Known:
    """What is known about `piece` at the end of `as_of` (None: the diary's last day)."""
    name = diary.piece(piece)
    day = day_of(diary, as_of)
    standing = diary.standing(day)
    row = standing[standing["piece"] == name].iloc[0]
    return known_of(diary.sessions[diary.sessions["date"] <= day], standing, row, day)


def day_of(diary: Diary, as_of: Any) -> pd.Timestamp:
    """The day a question is asked on. Raises StitchlogError where it cannot be told."""
    day = diary.last_day if as_of is None else pd.Timestamp(as_of)
    if pd.isna(day):
        raise StitchlogError("the diary holds no session yet, so nothing can be foreseen")
    return day.normalize()


def known_of(sessions: pd.DataFrame, standing: pd.DataFrame, row: pd.Series, day: pd.Timestamp) -> Known:
    """The same from the sessions up to `day`, and the row of the piece in `Diary.standing` of that day."""
    mine = sessions["piece"] == row["piece"]
    began = min((d for d in (row["first_session"], row["began"]) if pd.notna(d)), default=pd.NaT)
    first = sessions["date"].min()
    everything = _daily(sessions, first, day)
    own = _daily(sessions[mine], began, day)[-max(len(everything), 1) :]
    done, finished = float(row["done"]), row["status"] == "finished"
    return Known(
        piece=row["piece"],
        as_of=day,
        total=float(row["total"]),
        done=done,
        remaining=0.0 if finished else float(row["remaining"]),
        status=row["status"],
        last_session=row["last_session"] if pd.notna(row["last_session"]) else None,
        own=own,
        everything=everything,
        others=_daily(sessions[~mine], first, day),
        lives=_lives(sessions[~mine], standing, day, np.flatnonzero(everything != 0), first),
    )


def _daily(sessions: pd.DataFrame, first: pd.Timestamp, last: pd.Timestamp) -> np.ndarray:
    """Stitches a day from `first` to `last`; empty where there is no first day."""
    if pd.isna(first) or first > last:
        return np.zeros(0)
    at = (sessions["date"] - first).dt.days.to_numpy()
    out = np.zeros((last - first).days + 1)
    np.add.at(out, at, sessions["stitches"].fillna(0.0).to_numpy())
    return out


def _lives(
    sessions: pd.DataFrame, standing: pd.DataFrame, day: pd.Timestamp, worked: np.ndarray, first: pd.Timestamp
) -> pd.DataFrame:
    """Of every piece in `sessions`: days with a session, and stitching days (`worked`, since `first`) in its life."""
    by = sessions.groupby("piece")["date"]
    begins = (by.min() - first).dt.days
    done = standing.set_index("piece")["finished"].reindex(begins.index).fillna(day)
    ends = np.maximum((np.minimum(done, day) - first).dt.days, (by.max() - first).dt.days)
    could = np.searchsorted(worked, ends, side="right") - np.searchsorted(worked, begins)
    days = by.nunique().to_numpy()
    return pd.DataFrame({"days": days, "could": np.maximum(could, days)}, index=begins.index)
