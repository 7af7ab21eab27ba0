"""Everything the plan's page shows of a period, worked out once."""

from __future__ import annotations

from dataclasses import dataclass

import pandas as pd

from stitchlog.diary.diary import Day, Diary
from stitchlog.errors import StitchlogError
from stitchlog.model.commitments.stages import marks
from stitchlog.reports.plan.capacity import Capacity, judge, lay_out, what_helps
from stitchlog.reports.plan.course import Course, course
from stitchlog.reports.plan.lengths import lengths
from stitchlog.reports.plan.prompts import Prompts, away, bag, prompts


@dataclass(frozen=True)
class Figures:
    """A period's plan.

    fit: whether it all fits. helps: of `what_helps`. marks: what was begun and finished. course: day by day. prompts:
    of the event packed for. bag: what to pack. lengths: a length of thread a day.
    """

    fit: Capacity
    helps: pd.DataFrame
    marks: pd.DataFrame
    course: Course
    prompts: Prompts
    bag: pd.DataFrame
    lengths: pd.DataFrame


def figures(
    diary: Diary,
    start: Day | None = None,
    end: Day | None = None,
    event: str | None = None,
    paths: int = 2000,
    seed: int = 0,
) -> Figures:
    """The plan of a period (None: the month that begins the day after the diary's), packed for `event`.

    event: None: the first one of the period that has prompts. Raises StitchlogError where the diary has no day, or the
    period ends before it begins.
    """
    if pd.isna(diary.as_of):
        raise StitchlogError("there is no session in this diary yet; log the first one, or say as_of")
    begin, last = coming_month(diary.as_of, start, end)
    laid_out = lay_out(diary, begin, last, paths, seed)
    fit = judge(laid_out)
    asked = prompts(diary, away(diary, begin, last) if event is None else event)
    return Figures(
        fit=fit,
        helps=what_helps(laid_out),
        marks=marks(diary, fit.goals),
        course=course(diary, fit, laid_out.days),
        prompts=asked,
        bag=bag(diary, asked.rows),
        lengths=lengths(diary),
    )


def coming_month(
    day: pd.Timestamp, start: Day | None = None, end: Day | None = None
) -> tuple[pd.Timestamp, pd.Timestamp]:
    """First and last day of the period: as given, else a month from the day after `day`.

    >>> [d.date().isoformat() for d in coming_month(pd.Timestamp("2026-10-31"))]
    ['2026-11-01', '2026-11-30']
    """
    begin = pd.Timestamp(start) if start else day + pd.Timedelta(days=1)
    if end and not start:
        begin = min(begin, pd.Timestamp(end).replace(day=1))
    last = pd.Timestamp(end) if end else begin + pd.DateOffset(months=1) - pd.Timedelta(days=1)
    if last < begin:
        raise StitchlogError(f"the period ends on {last.date()}, before it begins on {begin.date()}; swap the two days")
    return begin, last
