"""What a diary knows about a piece on a day, as the forecast needs it. Nothing later than that day is looked at."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import Any

import numpy as np
import pandas as pd

from stitchlog.diary.diary import Diary
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
    return seen(diary, day_of(diary, as_of)).about(name)


def day_of(diary: Diary, as_of: Any) -> pd.Timestamp:
    """The day a question is asked on. Raises StitchlogError where it cannot be told."""
    day = diary.last_day if as_of is None else pd.Timestamp(as_of)
    if pd.isna(day):
        raise StitchlogError("the diary holds no session yet, so nothing can be foreseen")
    return day.normalize()


@dataclass(frozen=True)
class Seen:
    """A diary as it stood at the end of `day`, from which each piece's `Known` is taken.

    standing: as `Diary.standing`, a row a piece in its index. piece, at, stitches: of every session up to `day`: the
    row of its piece in `standing`, its day since the diary's first, its stitches.
    """

    day: pd.Timestamp
    standing: pd.DataFrame
    piece: np.ndarray
    at: np.ndarray
    stitches: np.ndarray

    @property
    def days(self) -> int:
        """Days from the diary's first to `day`."""
        return 0 if not len(self.at) else self.last + 1

    @property
    def last(self) -> int:
        """The day itself, since the diary's first."""
        return self.standing.attrs["last"]

    @cached_property
    def everything(self) -> np.ndarray:
        """Stitches a day of all pieces."""
        return self._daily(np.ones(len(self.at), bool))

    @cached_property
    def lives(self) -> pd.DataFrame:
        """A row for every piece in `standing`: days (with a session), could (the stitcher's days between its first
        session and its finish, or `day`; 0 where it has none)."""
        count = len(self.standing)
        pairs = np.unique(self.piece.astype(np.int64) * max(self.days, 1) + self.at)
        owner, at = pairs // max(self.days, 1), pairs % max(self.days, 1)
        days = np.bincount(owner, minlength=count)
        begins = np.full(count, self.days)
        np.minimum.at(begins, owner, at)
        ends = np.zeros(count, int)
        np.maximum.at(ends, owner, at)
        ends = np.maximum(ends, np.minimum(self.standing["ends"].to_numpy(), self.last))
        worked = np.flatnonzero(self.everything != 0)
        could = np.searchsorted(worked, ends, side="right") - np.searchsorted(worked, begins)
        could = np.where(days > 0, np.maximum(could, days), 0)
        return pd.DataFrame({"days": days, "could": could}, index=self.standing["piece"])

    def about(self, name: str) -> Known:
        """What is known about the piece `name`."""
        row = int(np.flatnonzero(self.standing["piece"].to_numpy() == name)[0])
        about = self.standing.iloc[row]
        mine = self.piece == row
        begins = [int(self.at[mine].min())] if mine.any() else []
        if pd.notna(about["began"]):
            begins.append(self.last - (self.day - about["began"]).days)
        own = self._daily(mine)
        lives = self.lives[(self.lives["days"] > 0) & (np.arange(len(self.lives)) != row)]
        return Known(
            piece=name,
            as_of=self.day,
            total=float(about["total"]),
            done=float(about["done"]),
            remaining=0.0 if about["status"] == "finished" else float(about["remaining"]),
            status=about["status"],
            last_session=about["last_session"] if pd.notna(about["last_session"]) else None,
            own=own[max(min(begins), 0) :] if begins else own[:0],
            everything=self.everything,
            others=self._daily(~mine),
            lives=lives,
        )

    def open(self) -> list[str]:
        """Pieces on the go with something left of a known total."""
        rows = self.standing[(self.standing["status"] == "on the go") & (self.standing["remaining"] > 0)]
        return rows["piece"].tolist()

    def _daily(self, which: np.ndarray) -> np.ndarray:
        return np.bincount(self.at[which], self.stitches[which], self.days)


@lru_cache(maxsize=4)  # pieces are asked of one after another, on the same day
def seen(diary: Diary, day: pd.Timestamp) -> Seen:
    """The diary as it stood at the end of `day`."""
    rows = diary.sessions[diary.sessions["date"] <= day]
    standing = diary.standing(day).reset_index(drop=True)
    first = rows["date"].min() if len(rows) else day
    standing["ends"] = (standing["finished"].fillna(day) - first).dt.days
    standing.attrs["last"] = (day - first).days
    return Seen(
        day=day,
        standing=standing,
        piece=pd.Index(standing["piece"]).get_indexer(rows["piece"]),
        at=(rows["date"] - first).dt.days.to_numpy(int),
        stitches=rows["stitches"].fillna(0.0).to_numpy(float),
    )
