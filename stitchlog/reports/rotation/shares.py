"""What each piece got in a period, and what got nothing."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd
from scipy.special import entr

from stitchlog import words
from stitchlog.diary.diary import Day, Diary
from stitchlog.diary.frames import each_row
from stitchlog.errors import StitchlogError
from stitchlog.model.pace import counted, paces

MEASURES = {"stitches": "stitches", "hours": "hours", "days": "days with a session"}
# Fewer gaps between a piece's days than this do not make a habit.
LEAST_GAPS = 5
# A wait is unusual for a piece where it is longer than this share of the waits before.
UNUSUAL = 0.9

COLUMNS = ["piece", "stitches", "share", "want", "days_since", "sessions"]
COLUMNS += ["hours", "all_hours", "days", "below_want", "usual_gap", "gap_rank", "status"]

# What stands above the columns on a page.
HEADINGS = {
    "piece": "piece",
    "share": "share",
    "want": "wanted",
    "stitches": "stitches",
    "hours": "hours",
    "days": "days",
    "sessions": "sessions",
    "days_since": "days since",
    "usual_gap": "usual days between",
    "status": "is",
}


@dataclass(frozen=True)
class Balance:
    """What each piece got in a period.

    pieces: every piece with a session in the period, and every work in progress at its end; the largest share first.
    Columns: piece; stitches (kept); share (0 to 1, of `by`; what was only unpicked counts 0); want (as pieces.csv says;
    NaN); days_since (days from its last session to `end`; NaN: none yet); sessions; hours (all time written down);
    all_hours (with untimed sessions' worked out from the piece's pace; `by` "hours" shares these); days (with a
    session; a day with two pieces counts for both); below_want (want less share, NaN where nothing is wanted);
    usual_gap (the median of days from one day with the piece to the next, up to `end`); gap_rank (0 to 1: the share of
    those gaps that were shorter than days_since; NaN where there are fewer than five); status at `end`.
    effective_pieces: exp of the shares' Shannon entropy H: as many pieces of equal share would be as varied. evenness:
    H / ln S for the S pieces with a share (after Pielou 1966, J. Theor. Biol. 13:131-144, from memory; 1 where S is 1).
    Both are NaN where S is 0. touched: S. by: what shares are of. start, end: first and last day.
    """

    pieces: pd.DataFrame
    effective_pieces: float
    evenness: float
    touched: int
    by: str
    start: pd.Timestamp
    end: pd.Timestamp


def balance(diary: Diary, start: Day | None = None, end: Day | None = None, by: str = "stitches") -> Balance:
    """What each piece got from `start` to `end` (days, both included; None: the diary's first and last day).

    by: what shares are of: "stitches", "hours" or "days". A period that reaches beyond the day the diary is seen at
    ends there. Raises StitchlogError for another `by`, or where `end` lies before `start`.
    """
    if by not in MEASURES:
        raise StitchlogError(f'by: "{by}" is nothing to share out; write one of {", ".join(MEASURES)}')
    first, last = period(diary, start, end)
    then = diary.at(last)
    seen = counted.sessions(then)
    seen = seen.assign(needle=paces.needle_hours(seen, paces.pools(seen)))
    by_piece = seen[seen["date"] >= first].groupby("piece")
    sums = by_piece.agg(
        stitches=("stitches", "sum"),
        sessions=("stitches", "size"),
        hours=("hours", "sum"),
        all_hours=("needle", "sum"),
        days=("date", "nunique"),
    )
    standing = then.standing().set_index("piece")
    members = standing.index[(standing["status"] == "on the go") | standing.index.isin(sums.index)]
    out = sums.reindex(members).fillna(0.0).astype({"sessions": int, "days": int})
    amount = out["all_hours" if by == "hours" else by].clip(lower=0.0)
    out["share"] = amount / amount.sum() if amount.sum() > 0 else 0.0
    out["want"] = then.pieces.set_index("piece")["want"].reindex(members).astype(float)
    out["below_want"] = out["want"] - out["share"]
    out["days_since"] = (last - standing["last_session"].reindex(members)).dt.days.astype(float)
    out = out.join(_gaps(seen, out["days_since"])).join(standing["status"])
    out = out.rename_axis("piece").reset_index()
    out = out.sort_values(["share", "sessions", "piece"], ascending=[False, False, True], kind="stable")
    effective, evenness = diversity(out["share"].to_numpy())
    touched = int((out["share"] > 0).sum())
    return Balance(out[COLUMNS].reset_index(drop=True), effective, evenness, touched, by, first, last)


def diversity(shares: np.ndarray) -> tuple[float, float]:
    """Effective number and evenness of parts; parts of nothing do not count.

    >>> effective, evenness = diversity(np.array([30, 30, 20, 20]))
    >>> print(round(effective, 3), round(evenness, 4))
    3.92 0.9855
    """
    parts = np.asarray(shares, float)
    parts = parts[parts > 0] / parts.sum()
    if not len(parts):
        return float("nan"), float("nan")
    entropy = float(entr(parts).sum())
    return float(np.exp(entropy)), entropy / np.log(len(parts)) if len(parts) > 1 else 1.0


def period(diary: Diary, start: Day | None, end: Day | None) -> tuple[pd.Timestamp, pd.Timestamp]:
    """The first and last day of a period; what is not given is the diary's own.

    A diary seen at a day knows nothing later, so a period that reaches beyond it ends there.
    """
    first = pd.Timestamp(start) if start is not None else diary.first_day
    last = pd.Timestamp(end) if end is not None else diary.as_of
    if first > last:
        raise StitchlogError(f"the period ends on {words.day(last)}, before it starts on {words.day(first)}")
    if diary.day is not None and last > diary.day:
        last = max(diary.day, first)
    return first, last


def recent(diary: Diary, start: Day | None = None, end: Day | None = None) -> tuple[pd.Timestamp, pd.Timestamp]:
    """The period of a report: what is given, else the 13 weeks up to the diary's day."""
    last = pd.Timestamp(end) if end is not None else diary.as_of
    return (pd.Timestamp(start) if start is not None else last - pd.Timedelta(days=7 * 13 - 1)), last


def largest(found: Balance, most: int = 7) -> pd.DataFrame:
    """The pieces of `balance` for a chart: the `most` largest shares by name, the others as one row.

    Wanted shares count as much as given ones, so that a neglected piece is not lost among the others. Columns: piece,
    share, want, stitches, sessions, pieces (how many stand in the row).
    """
    kept = found.pieces.assign(weight=found.pieces[["share", "want"]].max(axis=1), pieces=1)
    named = kept.sort_values("weight", ascending=False, kind="stable").index[: most - 1 if len(kept) > most else most]
    others = kept.drop(named)
    out = kept.loc[kept.index.isin(named), ["piece", "share", "want", "stitches", "sessions", "pieces"]]
    if len(others):
        together = {
            "piece": f"{words.number(len(others))} other pieces",
            "share": others["share"].sum(),
            "want": others["want"].sum(min_count=1),
            "stitches": others["stitches"].sum(),
            "sessions": others["sessions"].sum(),
            "pieces": len(others),
        }
        out = pd.concat([out, pd.DataFrame([together])], ignore_index=True)
    return out.reset_index(drop=True)


def waiting(found: Balance) -> pd.DataFrame:
    """The works in progress of `balance` that were touched before, the longest waiting first."""
    pieces = found.pieces
    going = pieces[(pieces["status"] == "on the go") & pieces["days_since"].notna()]
    return going.sort_values("days_since", ascending=False, kind="stable").reset_index(drop=True)


def say_balance(found: Balance) -> str:
    """What `balance` shows, in a sentence or two."""
    if not found.touched:
        return "You stitched on no piece in this period."
    when = words.within(found.start, found.end)
    top = found.pieces.iloc[0]
    if found.touched == 1:
        return f"{when} you stitched on {top['piece']} alone."
    return (
        f"{when} you stitched on {words.count(found.touched, 'piece')}, most on {top['piece']}: "
        f"{words.percent(top['share'])} of your {MEASURES[found.by]}. "
        f"You spread your time over about {words.count(round(found.effective_pieces), 'piece')}."
    )


def say_wanted(found: Balance) -> str:
    """What got less and more than you wanted, in a sentence each; '' where no share is wanted."""
    wanted = found.pieces[found.pieces["want"].notna()]
    if wanted.empty:
        return ""
    low = wanted[wanted["below_want"] > 0.02].sort_values("below_want", ascending=False)
    high = wanted[wanted["below_want"] < -0.02].sort_values("below_want")
    parts = [
        f"{much} than you wanted: {words.listed(_wanted(r) for r in each_row(rows.head(3)))}."
        for much, rows in (("Less", low), ("More", high))
        if len(rows)
    ]
    return " ".join(parts) or "Every piece with a wanted share got about what you wanted."


def say_waiting(found: Balance) -> str:
    """Which works in progress have waited longer than is usual for them, in a sentence."""
    unusual = waiting(found)
    unusual = unusual[unusual["gap_rank"] > UNUSUAL]
    if unusual.empty:
        return "No work in progress has waited longer than usual."
    each = [
        f"{r.piece} ({words.span(r.days_since)}, usually {words.span(r.usual_gap)})" for r in each_row(unusual.head(4))
    ]
    more = f", and {words.number(len(unusual) - 4)} more in the table" if len(unusual) > 4 else ""
    return f"Waiting longer than usual: {words.listed(each)}{more}."


def _wanted(row: Any) -> str:
    return f"{row.piece} ({words.percent(row.share)} of {words.percent(row.want)})"


def _gaps(seen: pd.DataFrame, days_since: pd.Series) -> pd.DataFrame:
    days = seen[["piece", "date"]].drop_duplicates()
    gaps = days.assign(gap=days.groupby("piece")["date"].diff().dt.days).dropna()
    by = gaps.groupby("piece")["gap"]
    shorter = (gaps["gap"] < gaps["piece"].map(days_since).astype(float)).groupby(gaps["piece"]).mean()
    enough = by.size() >= LEAST_GAPS
    return pd.DataFrame({"usual_gap": by.median(), "gap_rank": shorter.where(enough)})
