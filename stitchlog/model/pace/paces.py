"""Which piece goes how fast, and how sure that is."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np
import pandas as pd

from stitchlog import words
from stitchlog.diary.diary import Day, Diary
from stitchlog.errors import StitchlogError
from stitchlog.model.pace import counted, factors
from stitchlog.model.pace.pooling import Pooled, pool

COLUMNS = ["piece", "per_hour", "per_hour_low", "per_hour_high", "per_session", "per_active_day", "hours", "sessions"]
COLUMNS += ["chance_over_next", "per_calendar_day", "fair_per_hour", "raw_per_hour", "worked_per_hour", "timed_hours"]
COLUMNS += ["timed_sessions", "estimated", "stitches"]

# What stands above the columns on a page.
HEADINGS = {
    "piece": "piece",
    "per_hour": "an hour",
    "per_hour_low": "range from",
    "per_hour_high": "to",
    "chance_over_next": "chance that the next is slower",
    "fair_per_hour": "fair pace",
    "raw_per_hour": "plain average",
    "worked_per_hour": "before unpicking",
    "per_session": "a session",
    "per_active_day": "an active day",
    "per_calendar_day": "a calendar day",
    "hours": "hours",
    "sessions": "sessions",
    "timed_sessions": "timed",
    "estimated": "estimated",
}


@dataclass(frozen=True)
class Pools:
    """The pieces' paces pooled: the rows of `means` (from `counted.piece_means`) are the values of `pooled`."""

    means: pd.DataFrame
    pooled: Pooled

    @property
    def log_pace(self) -> pd.Series:
        """By piece: the log of its stitches an hour, shrunk towards the stitcher's own."""
        return pd.Series(self.pooled.expected(), index=self.means.index)

    def chances(self, pieces: Iterable[str]) -> list[float]:
        """The chance that each of `pieces` goes faster than the one after it; NaN where either has no pace."""
        places = self.means.index.get_indexer(pd.Index(pieces))
        return [
            self.pooled.chance_above(a, b) if min(a, b) >= 0 else float("nan") for a, b in pairwise(places.tolist())
        ]


def pools(rows: pd.DataFrame) -> Pools:
    """The pools of `rows`, sessions from `counted.sessions`; of no piece where no session counts."""
    means = counted.piece_means(rows[rows["counts"]])
    # The log of a ratio is low by half its variance on average.
    return Pools(means, pool(means["log_pace"], means["variance"], means["df"], means["variance"] / 2.0))


def needle_hours(rows: pd.DataFrame, known: Pools) -> pd.Series:
    """Hours of every session; where it is not timed, worked out from its piece's pace (NaN: no pace known).

    rows: sessions from `counted.sessions`. known: their pools.
    """
    log_pace = known.log_pace
    pace = np.exp(rows["piece"].map(log_pace).fillna(log_pace.mean()))
    return rows["hours"].fillna(rows["worked"] / pace)


@dataclass(frozen=True)
class Paces:
    """How fast each piece goes.

    pieces: every piece that has a session, the fastest first. Columns: piece; per_hour, per_hour_low, per_hour_high
    (stitches kept an hour, shrunk towards the stitcher's own overall pace by as much as the piece's sessions leave
    open, with its 90 % interval; NaN where no session of the piece is timed); per_session, per_active_day (stitches;
    every session counts, estimated ones too); hours (all time written down); sessions; chance_over_next (0 to 1: that
    it really goes faster than the piece below it; NaN for the last); per_calendar_day (stitches, first to last
    session); fair_per_hour (what the piece would make at the stitcher's typical conditions: per_hour less what the
    supported effects of fabric, colours and the rest explain); raw_per_hour (stitches over hours of the timed sessions,
    not shrunk); worked_per_hour (the same before unpicking); timed_hours and timed_sessions (what the hourly figures
    rest on); estimated (sessions whose stitches were worked out from their time); stitches (all, kept).
    overall: the stitcher's own pace, stitches an hour (NaN where nothing is timed). not_credible: sessions left out as
    too fast to be true.
    """

    pieces: pd.DataFrame
    overall: float
    not_credible: int


def compare(diary: Diary, as_of: Day | None = None) -> pd.DataFrame:
    """Every piece that has a session by the end of the diary's day (or `as_of`), the fastest first: `Paces.pieces`."""
    return paces(diary.at(as_of)).pieces


def paces(diary: Diary) -> Paces:
    """How fast each piece goes, compared fairly.

    Unpicked stitches are taken off per_hour, and the time they took stays in: it is the pace at which the fabric fills.
    Untimed and estimated sessions never touch an hourly figure. Partial pooling: see `pooling.pool`.
    """
    return diary.once("paces", lambda: _paces(diary))


def _paces(diary: Diary) -> Paces:
    rows = counted.sessions(diary)
    known = pools(rows)
    low, high = known.pooled.window()
    hourly = pd.DataFrame({"per_hour": known.log_pace, "per_hour_low": low, "per_hour_high": high})
    out = _totals(rows).join(hourly.apply(np.exp))
    out["fair_per_hour"] = out["per_hour"] * np.exp(-factors.explained(diary, rows).reindex(out.index).fillna(0.0))
    out = out.rename_axis("piece").reset_index()
    out = out.sort_values(["per_hour", "piece"], ascending=[False, True], na_position="last", kind="stable")
    out["chance_over_next"] = np.array([*known.chances(out["piece"]), np.nan][: len(out)], float)
    overall = np.exp(known.pooled.weight @ known.pooled.middle) if len(known.means) else np.nan
    return Paces(out[COLUMNS].reset_index(drop=True), float(overall), int(rows["not_credible"].sum()))


def faster(diary: Diary, a: str, b: str) -> float:
    """The chance, 0 to 1, that piece `a` really goes faster than piece `b` (NaN where either has no timed session).

    Raises StitchlogError where either is not a piece of this diary, or both are the same.
    """
    a, b = diary.piece(a), diary.piece(b)
    if a == b:
        raise StitchlogError(f'"{a}" cannot be compared with itself; name two pieces')
    return pools(counted.sessions(diary)).chances([a, b])[0]


def _totals(rows: pd.DataFrame) -> pd.DataFrame:
    out = rows.groupby("piece").agg(
        stitches=("stitches", "sum"),
        sessions=("stitches", "size"),
        days=("date", "nunique"),
        first=("date", "min"),
        last=("date", "max"),
        hours=("hours", "sum"),
        estimated=("estimated", "sum"),
    )
    timed = rows[rows["counts"]].groupby("piece")
    sums = timed[["hours", "worked", "stitches"]].sum().reindex(out.index)
    out["timed_hours"] = sums["hours"].fillna(0.0)
    out["timed_sessions"] = timed.size().reindex(out.index, fill_value=0)
    out["raw_per_hour"] = sums["stitches"] / sums["hours"]
    out["worked_per_hour"] = sums["worked"] / sums["hours"]
    out["per_session"] = out["stitches"] / out["sessions"]
    out["per_active_day"] = out["stitches"] / out["days"]
    out["per_calendar_day"] = out["stitches"] / ((out["last"] - out["first"]).dt.days + 1)
    return out


def extremes(found: Paces, most: int = 7) -> pd.DataFrame:
    """The pieces of `paces` for a chart: `most` rows, the last of them for all pieces that have none of their own.

    The fastest and the slowest have a row, and those with the most timed hours.

    Columns as there, and pieces (how many stand in the row). The others' per_hour is their stitches over their
    hours, and from per_hour_low to per_hour_high lie their own paces. Pieces without a timed session are left out.
    """
    timed = found.pieces[found.pieces["per_hour"].notna()]
    named = timed.index
    if len(timed) > most:
        by_hours = timed.sort_values("timed_hours", ascending=False, kind="stable").index
        named = pd.Index([timed.index[0], timed.index[-1], *by_hours]).unique()[: most - 1]
    others = timed.drop(named)
    out = timed.loc[timed.index.isin(named)].assign(pieces=1)
    if len(others):
        together: dict[Any, Any] = {
            "piece": f"{words.number(len(others))} other pieces",
            "per_hour": float((others["raw_per_hour"] * others["timed_hours"]).sum() / others["timed_hours"].sum()),
            "per_hour_low": others["per_hour"].min(),
            "per_hour_high": others["per_hour"].max(),
            "timed_hours": others["timed_hours"].sum(),
            "timed_sessions": others["timed_sessions"].sum(),
            "pieces": len(others),
        }
        out = pd.concat([out, pd.DataFrame([together])], ignore_index=True)
    return out.reset_index(drop=True)


def say_paces(found: Paces) -> str:
    """What `paces` shows, in a sentence or two."""
    pieces = found.pieces[found.pieces["per_hour"].notna()]
    if pieces.empty:
        return "No session in this diary is timed, so there is no pace to compare: write minutes beside the stitches."
    fastest = pieces.nlargest(1, "per_hour").iloc[0]
    if len(pieces) == 1:
        return f"On {fastest['piece']} you make {_an_hour(fastest)}."
    slowest = pieces.nsmallest(1, "per_hour").iloc[0]
    sure = fastest["per_hour_low"] > slowest["per_hour_high"]
    doubt = "" if sure else " Their ranges overlap, so the order may be chance."
    return (
        f"You make about {words.number(found.overall)} stitches an hour. {fastest['piece']} is fastest with "
        f"{_an_hour(fastest)}, {slowest['piece']} slowest with {_an_hour(slowest)}.{doubt}"
    )


def say_left_out(found: Paces) -> str:
    """What does not count towards stitches an hour, in a sentence; '' where all of it does."""
    frame = found.pieces
    estimated, hasty = int(frame["estimated"].sum()), found.not_credible
    untimed = int((frame["sessions"] - frame["timed_sessions"]).sum()) - estimated - hasty
    limit = words.number(counted.FASTEST_CREDIBLE)
    parts = [
        f"{words.count(number, 'session')} {why}"
        for number, why in (
            (untimed, "without a time or without cross stitches"),
            (estimated, "whose stitches are estimated from the time"),
            (hasty, f"too fast to be true, above {limit} an hour"),
        )
        if number > 0
    ]
    return f"Stitches an hour leave out {words.listed(parts)}." if parts else ""


def _an_hour(row: pd.Series) -> str:
    low, high = words.number(row["per_hour_low"]), words.number(row["per_hour_high"])
    return f"{words.number(row['per_hour'])} an hour ({low} to {high})"


def say_hours(hours: float) -> str:
    """Hours at the needle, no more exact than they are meant.

    >>> say_hours(86.8), say_hours(3.02), say_hours(1.66), say_hours(0.1)
    ('87 hours', '3 hours', '1 h 40 min', '10 minutes')
    """
    return words.count(hours, "hour") if hours >= 10 else words.duration(10 * max(round(hours * 6), 1))
