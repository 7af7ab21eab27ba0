"""What was worked on in a period: a row a piece, in the order it happened."""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd

from stitchlog.diary.diary import Diary
from stitchlog.model.period import Period, bounds

COLUMNS = [
    "piece",
    "order",
    "stitches",
    "sessions",
    "days",
    "minutes",
    "before",
    "after",
    "before_share",
    "after_share",
]
COLUMNS += [
    "started",
    "finished",
    "total",
    "share",
    "first_session",
    "last_session",
    "days_since",
    "timed",
    "estimated",
]
COLUMNS += ["best_day", "best_stitches", "unpicked", "backstitch", "knots", "beads", "status"]

# What stands above the columns that a page shows.
HEADINGS = {
    "order": "",
    "piece": "piece",
    "stitches": "stitches",
    "sessions": "sessions",
    "days": "days",
    "minutes": "time",
    "before": "before",
    "after": "after",
    "before_share": "share before",
    "after_share": "share after",
    "started": "started",
    "finished": "finished",
}


def pieces(diary: Diary, start: Any, end: Any) -> pd.DataFrame:
    """Every piece with a session between `start` and `end` (days, both included), in the order of its first one there.

    Columns:
    piece; order (1, 2, ...); stitches (net full-stitch equivalents, estimated ones included); sessions (rows of the
    diary); days (different ones); minutes (of the timed sessions, NaN where none was timed);
    before, after (the piece's count at the end of the day before `start`, and at the end of `end`; stitches worked
    before the diary began are in both); before_share, after_share (of the piece's total, 0 to 1, NaN where that is
    unknown); started, finished (the day, where it falls into the period, else NaT; a piece that already stood as
    finished the day before does not finish again); total (stitches of the whole design); share (of all stitches of
    the period, 0 to 1; a piece from which more came out than went in has 0); first_session, last_session (in the
    period); days_since (from the last session before the period to the first one in it, NaN where the diary has
    none); timed, estimated (sessions with minutes; sessions whose stitches follow from their minutes); best_day,
    best_stitches (the day with most stitches, the first of equals; NaT and NaN where no day has any); unpicked
    (stitches); backstitch, knots, beads (in their own units); status (at the end of `end`, as in `Diary.standing`).
    """
    span = bounds(start, end)
    rows = diary.sessions[diary.sessions["date"].between(span.start, span.end)]
    by = rows.groupby("piece", sort=False)
    out = by.agg(
        sessions=("stitches", "size"),
        days=("date", "nunique"),
        first_session=("date", "min"),
        last_session=("date", "max"),
        timed=("minutes", "count"),
    ).join(by[["stitches", "estimated", "unpicked", "backstitch", "knots", "beads"]].sum())
    out["minutes"] = by["minutes"].sum(min_count=1)
    out["order"] = np.arange(1, len(out) + 1)
    _standings(out, diary, span)
    earlier = diary.sessions[diary.sessions["date"] < span.start].groupby("piece")["date"].max()
    out["days_since"] = (out["first_session"] - earlier.reindex(out.index)).dt.days.astype(float)
    _best_days(out, rows)
    positive = out["stitches"].clip(lower=0.0)
    out["share"] = positive / positive.sum() if positive.sum() > 0 else 0.0
    return out.rename_axis("piece").reset_index()[COLUMNS]


def _standings(out: pd.DataFrame, diary: Diary, span: Period) -> None:
    old = diary.standing(span.eve).set_index("piece").reindex(out.index)
    new = diary.standing(span.end).set_index("piece").reindex(out.index)
    out["before"], out["after"] = old["done"], new["done"]
    out["before_share"], out["after_share"] = old["share"], new["share"]
    out["total"], out["status"] = new["total"], new["status"]
    out["started"] = new["began"].where(new["began"].between(span.start, span.end))
    ends_here = new["finished"].between(span.start, span.end) & old["finished"].isna()
    out["finished"] = new["finished"].where(ends_here)


def _best_days(out: pd.DataFrame, rows: pd.DataFrame) -> None:
    days = rows.groupby(["piece", "date"], as_index=False)["stitches"].sum()
    days = days[days["stitches"] > 0].sort_values(["stitches", "date"], ascending=[False, True], kind="stable")
    best = days.drop_duplicates("piece").set_index("piece").reindex(out.index)
    out["best_day"], out["best_stitches"] = best["date"], best["stitches"]
