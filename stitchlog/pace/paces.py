"""Which piece goes how fast, and how sure that is."""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np
import pandas as pd

from stitchlog import words
from stitchlog.diary import Diary
from stitchlog.errors import StitchlogError
from stitchlog.pace import counted, factors
from stitchlog.pace.counted import FASTEST_CREDIBLE as FASTEST
from stitchlog.pace.pooling import Pooled, pool

# The chance that every window of this module holds.
CHANCE = 0.90

COLUMNS = ["piece", "per_hour", "per_hour_low", "per_hour_high", "per_session", "per_active_day", "hours", "sessions"]
EXTRA = [
    "chance_over_next",
    "per_calendar_day",
    "fair_per_hour",
    "raw_per_hour",
    "worked_per_hour",
    "timed_hours",
    "timed_sessions",
]
EXTRA += ["estimated", "stitches"]

# What stands above the columns on a page.
HEADINGS = {
    "piece": "piece",
    "per_hour": "an hour",
    "per_hour_low": "window from",
    "per_hour_high": "to",
    "chance_over_next": "chance that the next is slower",
    "fair_per_hour": "fair pace",
    "raw_per_hour": "as divided",
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
    """The pieces' paces pooled: `pieces` names the positions of `pooled`; `means` is what went in."""

    pieces: pd.Index
    pooled: Pooled
    means: counted.PieceMeans

    def position(self, piece: str) -> int | None:
        place = int(self.pieces.get_indexer(pd.Index([piece]))[0])
        return place if place >= 0 else None


def pools(rows: pd.DataFrame) -> Pools | None:
    """The pools of `rows`, sessions from `counted.until`; None where no session counts."""
    means = counted.piece_means(rows[rows["counts"]])
    if not len(means.pieces):
        return None
    # The log of a ratio is low by half its variance on average.
    return Pools(means.pieces, pool(means.log_pace, means.variance, means.df, means.variance / 2.0), means)


def compare(diary: Diary, as_of: pd.Timestamp | str | None = None) -> pd.DataFrame:
    """Every piece that has a session by the end of the day `as_of` (None: the whole diary), the fastest first.

    Columns: piece; per_hour, per_hour_low, per_hour_high (stitches kept an hour, drawn towards the stitcher's own
    overall pace by as little as the piece's sessions allow, with the window that holds the true figure with a chance of
    90 %; NaN where no session of the piece is timed); per_session, per_active_day (stitches; every session counts,
    estimated ones too); hours (all time written down); sessions; chance_over_next (0 to 1: that it really
    goes faster than the piece below it; NaN for the last); per_calendar_day (stitches, first to last session);
    fair_per_hour (what the piece would make at the stitcher's typical conditions: per_hour less what the supported
    effects of cloth, colours and the rest explain); raw_per_hour (stitches over hours of the timed sessions, not drawn
    anywhere); worked_per_hour (the same before unpicking); timed_hours and timed_sessions (what the hourly figures rest
    on); estimated (sessions whose stitches were worked out from their time); stitches (all, kept).

    Unpicked stitches are taken off per_hour, and the time they took stays in: it is the pace at which the cloth fills.
    Untimed and estimated sessions never touch an hourly figure. Partial pooling: see `pooling.pool`.
    .attrs: overall, overall_low, overall_high (the stitcher's own pace, stitches an hour), stray (how far a session
    of an hour strays from its piece's pace, relative), not_credible (sessions left aside as too fast to be true).
    """
    rows = counted.until(diary, as_of)
    known = pools(rows)
    out = _totals(rows)
    if known is not None:
        low, high = known.pooled.window(CHANCE)
        paces = pd.DataFrame(
            {
                "per_hour": np.exp(known.pooled.expected()),
                "per_hour_low": np.exp(low),
                "per_hour_high": np.exp(high),
            },
            index=known.pieces,
        )
    else:
        paces = pd.DataFrame(columns=["per_hour", "per_hour_low", "per_hour_high"], dtype=float)
    out = out.join(paces)
    out["fair_per_hour"] = out["per_hour"] * np.exp(-factors.explained(diary, rows).reindex(out.index).fillna(0.0))
    out = out.rename_axis("piece").reset_index()
    out = out.sort_values(["per_hour", "piece"], ascending=[False, True], na_position="last", kind="stable")
    out["chance_over_next"] = _over_next(known, out["piece"])
    out = out[COLUMNS + EXTRA].reset_index(drop=True)
    out.attrs = {"not_credible": int(rows["not_credible"].sum()), **_overall(known)}
    return out


def faster(diary: Diary, a: str, b: str, as_of: pd.Timestamp | str | None = None) -> float:
    """The chance, 0 to 1, that piece `a` really goes faster than piece `b` (NaN where either has no timed session).

    Raises StitchlogError where either is not a piece of this diary, or both are the same.
    """
    a, b = diary.piece(a), diary.piece(b)
    if a == b:
        raise StitchlogError(f'"{a}" cannot be compared with itself; name two pieces')
    known = pools(counted.until(diary, as_of))
    if known is None:
        return float("nan")
    first, second = known.position(a), known.position(b)
    if first is None or second is None:
        return float("nan")
    return known.pooled.chance_above(first, second)


def _over_next(known: Pools | None, pieces: pd.Series) -> np.ndarray:
    if known is None:
        return np.full(len(pieces), np.nan)
    places = known.pieces.get_indexer(pd.Index(pieces))
    chances = [known.pooled.chance_above(a, b) if a >= 0 and b >= 0 else float("nan") for a, b in pairwise(places)]
    return np.array([*chances, float("nan")][: len(places)])


def _totals(rows: pd.DataFrame) -> pd.DataFrame:
    by = rows.groupby("piece")
    out = by.agg(
        stitches=("stitches", "sum"),
        sessions=("stitches", "size"),
        days=("date", "nunique"),
        first=("date", "min"),
        last=("date", "max"),
        hours=("hours", "sum"),
        estimated=("estimated", "sum"),
    )
    timed = (
        rows[rows["counts"]]
        .groupby("piece")
        .agg(
            timed_sessions=("hours", "size"),
            timed_hours=("hours", "sum"),
            worked=("worked", "sum"),
            kept=("stitches", "sum"),
        )
    )
    out = out.join(timed)
    out["raw_per_hour"] = out["kept"] / out["timed_hours"]
    out["worked_per_hour"] = out["worked"] / out["timed_hours"]
    out[["timed_sessions", "timed_hours"]] = out[["timed_sessions", "timed_hours"]].fillna(0)
    whole = ["sessions", "estimated", "timed_sessions"]
    out[whole] = out[whole].astype(int)
    out["per_session"] = out["stitches"] / out["sessions"]
    out["per_active_day"] = out["stitches"] / out["days"]
    out["per_calendar_day"] = out["stitches"] / ((out["last"] - out["first"]).dt.days + 1)
    return out


def _overall(known: Pools | None) -> dict[Hashable | None, Any]:
    """The family's mean, and the window of that mean."""
    if known is None:
        return {
            "overall": float("nan"),
            "overall_low": float("nan"),
            "overall_high": float("nan"),
            "stray": float("nan"),
        }
    low, high = np.exp(known.pooled.middle_window(CHANCE))
    middle = float(np.exp(known.pooled.weight @ known.pooled.middle))
    return {"overall": middle, "overall_low": low, "overall_high": high, "stray": known.means.stray}


def glance(frame: pd.DataFrame, most: int = 7) -> pd.DataFrame:
    """The frame of `compare` for a chart: `most` rows, the last of them for all pieces that have none of their own.

    The fastest and the slowest have a row, and those with the most timed hours.

    Columns as `compare`, and pieces (how many stand in the row). The others' per_hour is their stitches over their
    hours, and from per_hour_low to per_hour_high lie their own paces. Pieces without a timed session are left out.
    """
    timed = frame[frame["per_hour"].notna()]
    named = timed.index
    if len(timed) > most:
        by_hours = timed.sort_values("timed_hours", ascending=False, kind="stable").index
        named = pd.Index([timed.index[0], timed.index[-1], *by_hours]).unique()[: most - 1]
    others = timed.drop(named)
    out = timed.loc[timed.index.isin(named)].assign(pieces=1)
    if len(others):
        sums = others[["hours", "sessions", "timed_hours", "timed_sessions", "estimated", "stitches"]].sum()
        together: dict[Any, Any] = {
            "piece": f"{words.number(len(others))} other pieces",
            "per_hour": float((others["raw_per_hour"] * others["timed_hours"]).sum() / others["timed_hours"].sum()),
            "per_hour_low": others["per_hour"].min(),
            "per_hour_high": others["per_hour"].max(),
            "pieces": len(others),
        }
        out = pd.concat([out, pd.DataFrame([dict(sums) | together])], ignore_index=True)
    out = out.reset_index(drop=True)
    out.attrs = frame.attrs
    return out


def say_paces(frame: pd.DataFrame) -> str:
    """What `compare` or `glance` shows, in a sentence or two."""
    pieces = frame[frame["per_hour"].notna()]
    if "pieces" in pieces:
        pieces = pieces[pieces["pieces"] == 1]
    if pieces.empty:
        return "No session in this diary is timed, so there is no pace to compare: write minutes beside the stitches."
    about = frame.attrs
    fastest = pieces.iloc[int(pieces["per_hour"].argmax())]
    if len(pieces) == 1:
        return f"{fastest['piece']} makes {_an_hour(fastest)}."
    slowest = pieces.iloc[int(pieces["per_hour"].argmin())]
    sure = fastest["per_hour_low"] > slowest["per_hour_high"]
    doubt = "" if sure else ", but their windows overlap, so the order may be chance"
    return (
        f"You make about {words.number(about['overall'])} stitches an hour. {fastest['piece']} is fastest with "
        f"{_an_hour(fastest)}, {slowest['piece']} slowest with {_an_hour(slowest)}{doubt}."
    )


def say_left_aside(frame: pd.DataFrame) -> str:
    """What does not count towards stitches an hour, in a sentence; '' where all of it does."""
    untimed = int((frame["sessions"] - frame["timed_sessions"] - frame["estimated"]).sum())
    estimated, hasty = int(frame["estimated"].sum()), frame.attrs["not_credible"]
    untimed -= hasty
    parts = [
        text
        for number, text in (
            (untimed, f"{words.count(untimed, 'session')} without a time or without cross stitches"),
            (estimated, f"{words.count(estimated, 'session')} whose stitches are estimated from the time"),
            (hasty, f"{words.count(hasty, 'session')} too fast to be true, above {words.number(FASTEST)} an hour"),
        )
        if number > 0
    ]
    return f"Left out of stitches an hour: {words.listed(parts)}." if parts else ""


def _an_hour(row: pd.Series) -> str:
    low, high = words.number(row["per_hour_low"]), words.number(row["per_hour_high"])
    return f"{words.number(row['per_hour'])} an hour ({low} to {high})"
