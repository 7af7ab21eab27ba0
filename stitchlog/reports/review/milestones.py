"""Milestones: what a period passed, and the next one that is within reach."""

from __future__ import annotations

import math
from typing import Any

import pandas as pd

from stitchlog import words
from stitchlog.diary.diary import Diary
from stitchlog.diary.frames import each_record
from stitchlog.model.period import ONE_DAY, Period, bounds
from stitchlog.reports.review.days import longest
from stitchlog.reports.review.wording import few

COLUMNS = ["kind", "piece", "value", "date", "left"]
# A piece with so many stitches is a giant: each of its tenths counts.
GIANT = 20_000
# So many are told, the rarest kinds first.
MOST = 5
_RANK = ("half", "month", "streak", "stitches", "tenth", "page", "year", "count")
_STREAK = 5  # days from which on a streak is worth telling
_MONTHS = 3  # earlier months that a best month is held against


def milestones(diary: Diary, start: Any, end: Any) -> pd.DataFrame:
    """What was passed between two days (both included), at most `MOST`, and in a last row the next one within reach.

    Columns: kind; piece ('' for the whole diary); value; date (the day it was passed, NaT for the next one); left
    (stitches still to go to the next one, or days where it is a year; NaN where it is passed).
    Kinds and their value: 'half' (of a piece; 0.5), 'tenth' (of a piece of GIANT stitches or more; the share), 'page'
    (of the chart; its number), 'stitches' (a round number in the whole diary), 'streak' (the longest yet; days),
    'month' (the best yet; stitches), 'count' (the first piece on a fabric of that count), 'year' (since its start;
    years). Within reach is what the pace of the last two months brings within a month.
    """
    span = bounds(start, end)
    if diary.sessions.empty or span.length == 0:
        return _frame([])
    seen = diary.sessions[diary.sessions["date"] <= span.end]
    marks = _marks(diary, seen, span)
    found = [m for m in marks if pd.notna(m["date"])]
    found += [*_streak(seen, span), *_best_month(seen, span), *_first_counts(diary, seen, span)]
    found += _years(diary, span, span.start, span.end)
    found.sort(key=lambda m: (_RANK.index(m["kind"]), m["date"]))
    coming = [m for m in marks if pd.isna(m["date"]) and m["months"] <= 1]
    coming += _years(diary, span, span.end + ONE_DAY, span.end + pd.DateOffset(months=1))
    return _frame([*found[:MOST], *_nearest(coming, span)])


def _frame(rows: list[dict[str, Any]]) -> pd.DataFrame:
    kinds: dict[str, Any] = {"kind": "str", "piece": "str", "value": float, "date": "datetime64[us]", "left": float}
    return pd.DataFrame(rows, columns=COLUMNS).astype(kinds)


def _nearest(coming: list[dict[str, Any]], span: Period) -> list[dict[str, Any]]:
    nearest = min(coming, key=lambda m: (m["months"], _RANK.index(m["kind"])), default=None)
    if nearest is None:
        return []
    return [{**nearest, "date": pd.NaT}]


def _marks(diary: Diary, seen: pd.DataFrame, span: Period) -> list[dict[str, Any]]:
    """Counts passed in the period (with a date), and the next of each kind that a month like the last two reaches."""
    recent = seen[seen["date"] > span.end - pd.DateOffset(months=2)].groupby("piece")["stitches"].sum() / 2
    now, old = diary.standing(span.end), diary.standing(span.eve).set_index("piece")["done"]
    total, before = seen["stitches"].sum(), seen.loc[seen["date"] < span.start, "stitches"].sum()
    step = _step(total)
    found = _crossed(seen, "", "stitches", [step * (math.floor(total / step) + k) for k in (0, 1)], before, total)
    out = [(m, recent.sum()) for m in found]
    pages = dict(zip(diary.pieces["piece"], diary.pieces["pages"], strict=True))
    worked = now[now["piece"].isin(seen.loc[seen["date"] >= span.start, "piece"]) & (now["total"] > 0)]
    for row in each_record(worked):
        piece, whole = row["piece"], row["total"]
        mine = seen[seen["piece"] == piece]
        shares = {"half": [0.5]}
        if whole >= GIANT:
            shares["tenth"] = [k / 10 for k in range(1, 10) if k != 5]
        if pages[piece] > 1:
            shares["page"] = [k / pages[piece] for k in range(1, int(pages[piece]))]
        for kind, parts in shares.items():
            reached = [p for p in parts if row["done"] >= p * whole][-1:] + [
                p for p in parts if row["done"] < p * whole
            ][:1]
            for mark in _crossed(mine, piece, kind, [p * whole for p in reached], old[piece], row["done"]):
                share = mark["value"] / whole
                mark["value"] = round(share * pages[piece]) if kind == "page" else round(share, 6)
                out.append((mark, recent.get(piece, 0.0)))
    return [mark | {"months": mark["left"] / pace if pace > 0 else math.inf} for mark, pace in out]


def _crossed(
    rows: pd.DataFrame, piece: str, kind: str, counts: list[float], before: float, after: float
) -> list[dict[str, Any]]:
    """Of these counts, those that the period passed (with the day) and those still ahead (with what is left)."""
    out = []
    for wanted in counts:
        about = {"kind": kind, "piece": piece, "value": wanted}
        if after < wanted:
            out.append(about | {"date": pd.NaT, "left": wanted - after})
        elif before < wanted and wanted > 0:
            by_day = rows.groupby("date")["stitches"].sum().cumsum()
            day = by_day.index[by_day >= wanted - (after - by_day.iloc[-1])]
            out.append(about | {"date": day[0], "left": math.nan})
    return out


def _step(total: float) -> int:
    """How far the round numbers of a diary of so many stitches lie apart."""
    return 1_000 if total < 10_000 else 5_000 if total < 50_000 else 10_000


def _streak(seen: pd.DataFrame, span: Period) -> list[dict[str, Any]]:
    days = pd.DatetimeIndex(seen["date"].unique())
    worked = pd.Series(True, index=days).reindex(pd.date_range(days[0], span.end), fill_value=False)
    best = longest(worked)
    older = longest(worked[: span.eve])
    if best[-1] < span.start or len(best) < _STREAK or older.empty or len(older) >= len(best):
        return []
    return [{"kind": "streak", "piece": "", "value": len(best), "date": best[-1]}]


def _best_month(seen: pd.DataFrame, span: Period) -> list[dict[str, Any]]:
    if span.months != 1:
        return []
    months = seen.groupby(seen["date"].dt.to_period("M"))["stitches"].sum()
    this = months.index == span.end.to_period("M")
    if not this.any() or (~this).sum() < _MONTHS or months[this].iloc[0] <= months[~this].max():
        return []
    return [{"kind": "month", "piece": "", "value": months[this].iloc[0], "date": span.end}]


def _first_counts(diary: Diary, seen: pd.DataFrame, span: Period) -> list[dict[str, Any]]:
    first = seen.groupby("piece")["date"].min()
    pieces = diary.pieces[diary.pieces["piece"].isin(first.index) & (diary.pieces["count"] > 0)]
    pieces = pieces.assign(first=first.reindex(pieces["piece"]).to_numpy(), before=pieces["done_before"].fillna(0) > 0)
    pieces = pieces.sort_values(["before", "first"], ascending=[False, True], kind="stable").drop_duplicates("count")
    new = pieces[(pieces["first"] >= span.start) & ~pieces["before"]]
    if len(new) == len(pieces):
        return []
    return [
        {"kind": "count", "piece": row["piece"], "value": row["count"], "date": row["first"]}
        for row in each_record(new)
    ]


def _years(diary: Diary, span: Period, first: pd.Timestamp, last: pd.Timestamp) -> list[dict[str, Any]]:
    """Pieces still on the go whose start is a whole number of years before a day from `first` to `last`."""
    now = diary.standing(span.end)
    out = []
    for row in each_record(now[(now["status"] == "on the go") & now["began"].notna()]):
        years = last.year - row["began"].year
        day = row["began"] + pd.DateOffset(years=years)
        if years > 0 and first <= day <= last:
            left = float((day - span.end).days)
            about = {"kind": "year", "piece": row["piece"], "value": years, "date": day}
            out.append(about | ({"left": left, "months": left / 30} if left > 0 else {}))
    return out


def say_milestones(frame: pd.DataFrame) -> list[str]:
    """A sentence for each milestone that was passed, and one for the next (frame of `milestones`)."""
    return [say_milestone(row) for row in each_record(frame)]


def say_milestone(row: dict[str, Any]) -> str:
    """One milestone in a sentence (row of `milestones`)."""
    if pd.isna(row["date"]):
        return _say_next(row)
    day, piece = words.day(row["date"], year=False), row["piece"]
    if row["kind"] == "half":
        return f"{piece} passed the halfway mark on {day}."
    if row["kind"] == "tenth":
        return f"{piece} passed {words.percent(row['value'])} on {day}."
    if row["kind"] == "page":
        return f"{piece}: you finished page {row['value']:g} of the chart on {day}."
    if row["kind"] == "stitches":
        return f"The diary passed {words.number(row['value'])} stitches on {day}."
    if row["kind"] == "streak":
        return f"{words.count(row['value'], 'day')} in a row to {day}: the longest streak yet."
    if row["kind"] == "month":
        return "It was the best month yet."
    if row["kind"] == "count":
        return f"{piece} is the first piece on {row['value']:g} count."
    return f"On {day} it was {few(row['value'], 'year')} since the start of {piece}."


def _say_next(row: dict[str, Any]) -> str:
    if row["kind"] == "year":
        years, when = few(row["value"], "year"), words.span(row["left"])
        return f"Next milestone: in {when} it will be {years} since the start of {row['piece']}."
    left = words.count(math.ceil(row["left"]), "stitch", "stitches")
    goal = {
        "half": f"the halfway mark of {row['piece']}",
        "tenth": f"{words.percent(row['value'])} of {row['piece']}",
        "page": f"the end of page {row['value']:g} of {row['piece']}",
        "stitches": f"{words.number(row['value'])} stitches in the diary",
    }[row["kind"]]
    return f"Next milestone: {goal}, {left} away."
