"""Everything that a review shows, asked once: page, notes and cards all tell from it."""

from __future__ import annotations

import math
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pandas as pd

from stitchlog.diary.diary import Diary
from stitchlog.model import pictures
from stitchlog.model.goals import goals
from stitchlog.model.period import ONE_DAY, Period, bounds
from stitchlog.reports.review import year as years
from stitchlog.reports.review.ahead import ahead
from stitchlog.reports.review.buying import bought, to_make_up, waiting
from stitchlog.reports.review.coming import next_month
from stitchlog.reports.review.credits import credits
from stitchlog.reports.review.days import calendar, compared, running
from stitchlog.reports.review.milestones import milestones
from stitchlog.reports.review.pieces import COLUMNS
from stitchlog.reports.review.standing import changes, flow, untouched
from stitchlog.reports.review.story import story


@dataclass(frozen=True)
class Recap:
    """A period, as the functions of the same names answer for it. `folder` is the diary's, for its pictures.

    story: with what `ahead` adds, and place (the piece's row in pieces.csv). goals: of every month of the period.
    next_month: of `coming`, the month after the period or the rest of its own. year: the days of the year up to the end
    of the period where it is told (a period of many months, or one that ends in December), else None; months, records,
    thread_metres: its months side by side, its records, its metres of thread (empty and NaN where it is not told).
    finishes: of the year where it is told, else of the period. undated: pictures whose day nothing says; to_photograph:
    pieces worked on without a picture. made_up: whether the diary ever says when a piece was framed or sewn up.
    """

    folder: Path
    period: Period
    compared: pd.DataFrame
    calendar: pd.DataFrame
    running: pd.DataFrame
    story: pd.DataFrame
    changes: pd.DataFrame
    flow: pd.DataFrame
    untouched: pd.DataFrame
    goals: pd.DataFrame
    milestones: pd.DataFrame
    bought: pd.DataFrame
    waiting: pd.DataFrame
    to_make_up: pd.DataFrame
    credits: pd.DataFrame
    coming: Period
    next_month: pd.DataFrame
    year: Period | None
    months: pd.DataFrame
    records: pd.DataFrame
    finishes: pd.DataFrame
    thread_metres: float
    made_up: bool
    to_photograph: list[str]
    undated: pd.DataFrame

    @property
    def pieces(self) -> pd.DataFrame:
        """The columns of `review.pieces` alone."""
        return self.story[COLUMNS]


def recap(diary: Diary, start: Any, end: Any) -> Recap:
    """All answers for the days from `start` to `end`, as the diary stood at the end of them."""
    span = bounds(start, end)
    days = (span.start, span.end)
    seen_at_its_end = span.length and (diary.day is None or diary.day > span.end)
    then = diary.at(span.end) if seen_at_its_end else diary
    told = story(then, *days)
    told["place"] = pd.Index(then.pieces["piece"]).get_indexer(told["piece"])
    year = years.year_of(span) if span.length > years.LONG or _ends_a_year(span) else None
    none = bounds(None, None)
    coming = _coming(span)
    all_year = (year.start, year.end) if year else (none.start, none.end)
    return Recap(
        folder=diary.folder,
        period=span,
        compared=compared(then, *days),
        calendar=calendar(then, *days),
        running=running(then, *days),
        story=ahead(then, told, span),
        changes=changes(then, *days),
        flow=flow(then, *days),
        untouched=untouched(then, *days),
        goals=_goals(then, span),
        milestones=milestones(then, *days),
        bought=bought(then, *days),
        waiting=waiting(then),
        to_make_up=to_make_up(then),
        credits=credits(then, told["piece"]),
        coming=coming,
        next_month=next_month(then, coming.start if coming.length else None),
        year=year,
        months=years.months(then, *all_year),
        records=years.records(then, *all_year),
        finishes=years.finishes(then, *(all_year if year else days)),
        thread_metres=years.thread_metres(then, *all_year) if year else math.nan,
        made_up=bool(then.pieces["made_up"].notna().any()),
        to_photograph=pictures.to_photograph(then, *days),
        undated=pictures.undated(then),
    )


def _ends_a_year(span: Period) -> bool:
    return bool(span.months) and span.end.month == 12


def _coming(span: Period) -> Period:
    """The month after the period; the rest of its own month where that is not over."""
    if not span.length:
        return span
    first = span.end + ONE_DAY
    return bounds(first, first + pd.offsets.MonthEnd(0))


def _goals(diary: Diary, span: Period) -> pd.DataFrame:
    """The goals of every month that the period touches."""
    months = list(pd.date_range(span.start.replace(day=1), span.end, freq="MS")) if span.length else []
    found = [goals(diary, month) for month in months]
    return pd.concat(found, ignore_index=True) if found else goals(diary, "2000-01").head(0)
