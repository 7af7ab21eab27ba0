"""Everything the plan's page shows of a period, worked out once."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import pandas as pd

from stitchlog.diary.diary import Diary
from stitchlog.errors import StitchlogError
from stitchlog.model.commitments.stages import marks
from stitchlog.reports.plan.capacity import judge, lay_out, what_helps
from stitchlog.reports.plan.course import course
from stitchlog.reports.plan.lengths import lengths
from stitchlog.reports.plan.prompts import COLUMNS, away, bag, prompts


@dataclass(frozen=True)
class Outlook:
    """A period's plan.

    start, end, as_of; fit (`capacity`), helps (`what_helps`), marks (what was begun and finished), course, event (the
    one packed for, '' none), prompts, bag, lengths.
    """

    start: pd.Timestamp
    end: pd.Timestamp
    as_of: pd.Timestamp
    fit: pd.DataFrame
    helps: pd.DataFrame
    marks: pd.DataFrame
    course: pd.DataFrame
    event: str
    prompts: pd.DataFrame
    bag: pd.DataFrame
    lengths: pd.DataFrame


def outlook(
    diary: Diary,
    start: Any = None,
    end: Any = None,
    as_of: Any = None,
    event: str | None = None,
    paths: int = 2000,
    seed: int = 0,
) -> Outlook:
    """The plan of a period (None: the month that begins the day after `as_of`), packed for `event` (None: the first one
    of the period that has prompts). Raises StitchlogError where the diary has no day, or the period ends before it
    begins."""
    day = diary.last_day if as_of is None else pd.Timestamp(as_of)
    if pd.isna(day):
        raise StitchlogError("there is no session in this diary yet; write one in diary.csv, or say as_of")
    begin, last = coming_month(day, start, end)
    laid_out = lay_out(diary, begin, last, day, paths, seed)
    fit = judge(laid_out)
    name = away(diary, begin, last) if event is None else event
    asked = prompts(diary, name, day) if name else pd.DataFrame(columns=COLUMNS)
    return Outlook(
        start=begin,
        end=last,
        as_of=day,
        fit=fit,
        helps=what_helps(laid_out),
        marks=marks(diary, fit),
        course=course(diary, fit, laid_out.days),
        event=name,
        prompts=asked,
        bag=bag(diary, asked),
        lengths=lengths(diary, day),
    )


def coming_month(day: pd.Timestamp, start: Any = None, end: Any = None) -> tuple[pd.Timestamp, pd.Timestamp]:
    """First and last day of the period: as given, else a month from the day after `day`.

    >>> [d.date().isoformat() for d in coming_month(pd.Timestamp("2026-10-31"))]
    ['2026-11-01', '2026-11-30']
    """
    begin = pd.Timestamp(start) if start else day + pd.Timedelta(days=1)
    if end and not start:
        begin = min(begin, pd.Timestamp(end).replace(day=1))
    last = pd.Timestamp(end) if end else begin + pd.DateOffset(months=1) - pd.Timedelta(days=1)
    if last < begin:
        raise StitchlogError(f"the period ends on {last.date()}, before it begins on {begin.date()}; turn them round")
    return begin, last
