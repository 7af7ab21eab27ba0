"""Which days a review covers, and which days it is held against."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import pandas as pd

from stitchlog import words
from stitchlog.errors import StitchlogError

ONE_DAY = pd.Timedelta(days=1)
_HALF_A_YEAR = 184  # days


@dataclass(frozen=True)
class Period:
    """The days from `start` to `end`, both included. Both are NaT where an empty diary has no day to speak of."""

    start: pd.Timestamp
    end: pd.Timestamp

    @property
    def length(self) -> int:
        """How many days."""
        return 0 if pd.isna(self.start) else (self.end - self.start).days + 1

    @property
    def eve(self) -> pd.Timestamp:
        """The day before."""
        return self.start - ONE_DAY

    @property
    def days(self) -> pd.DatetimeIndex:
        """Every day, as an index named `date`."""
        if pd.isna(self.start):
            return pd.DatetimeIndex([], name="date")
        return pd.date_range(self.start, self.end, name="date", unit="us")

    @property
    def months(self) -> int:
        """How many whole calendar months it is; 0 where it is not made of whole ones."""
        if self.length == 0 or self.start.day != 1 or (self.end + ONE_DAY).day != 1:
            return 0
        return (self.end.year - self.start.year) * 12 + self.end.month - self.start.month + 1

    @property
    def name(self) -> str:
        """As it would be said: 'October 2026', '3 to 9 October 2026'."""
        return words.period(self.start, self.end) if self.length else "no days yet"

    @property
    def before(self) -> Period:
        """What it is held against: as many whole months before, or as many days; a month or year so far, the same days.

        The first nine days of a month are held against the first nine of the month before, a year so far of more than
        half a year against the same days of the year before.
        """
        in_a_year = self.length and self.start.year == self.end.year
        if in_a_year and self.length > _HALF_A_YEAR and (self.start.month, self.start.day) == (1, 1):
            return self.year_before
        if self.months:
            return Period(self.start - pd.DateOffset(months=self.months), self.eve)
        if (
            self.length
            and self.start.day == 1
            and (self.start.year, self.start.month) == (self.end.year, self.end.month)
        ):
            first = self.start - pd.DateOffset(months=1)
            return Period(first, min(first + (self.end - self.start), self.eve))
        return Period(self.start - pd.Timedelta(days=self.length), self.eve)

    @property
    def year_before(self) -> Period:
        """This period a year earlier; whole months stay whole, in leap years too."""
        if self.length == 0:
            return self
        start = self.start - pd.DateOffset(years=1)
        if self.months:
            return Period(start, start + pd.DateOffset(months=self.months) - ONE_DAY)
        return Period(start, max(start, self.end - pd.DateOffset(years=1)))


# Of an empty diary.
_NO_DAY: Any = pd.NaT
NO_DAYS = Period(_NO_DAY, _NO_DAY)


def period(start: Any = None, end: Any = None, as_of: Any = None, last_day: Any = None) -> Period:
    """The period to review. Dates as text or Timestamps, both included.

    Neither given: the month of `last_day` (the diary's) where `as_of` is not given either, else the last whole month
    that is over at the end of the day `as_of` (on its own last day a month is over).
    `start` alone: up to the day it is seen from (`as_of`, else `last_day`), or to the end of the month where that lies
    before. `end` alone: from the first of that month. A period that `as_of` lies in ends there: what comes after has
    not been yet. Raises StitchlogError where a date cannot be read or the end lies before the start.
    """
    first, last, seen_from, last_day = _day(start), _day(end), _day(as_of), _day(last_day)
    if pd.isna(first) and pd.isna(last):
        if pd.isna(seen_from) and pd.isna(last_day):
            return NO_DAYS
        if pd.isna(seen_from):
            last = last_day + pd.offsets.MonthEnd(0)
        else:
            last = (seen_from + ONE_DAY).replace(day=1) - ONE_DAY
    if pd.isna(first):
        first = last.replace(day=1)
    if pd.isna(last):
        latest = last_day if pd.isna(seen_from) else seen_from
        last = latest if latest >= first else first + pd.offsets.MonthEnd(0)
    if last < first:
        raise StitchlogError(f"the period ends on {last.date()}, before it starts on {first.date()}; exchange the two")
    return Period(first, seen_from if first <= seen_from < last else last)


def bounds(start: Any, end: Any) -> Period:
    """The period between two days that are both given (NaT for both: no days)."""
    first, last = _day(start), _day(end)
    if pd.isna(first) and pd.isna(last):
        return NO_DAYS
    if pd.isna(first) or pd.isna(last):
        raise StitchlogError("a review needs a first and a last day; one of them is missing")
    return period(first, last)


def _day(value: Any) -> Any:
    if value is None or value == "":
        return pd.NaT
    try:
        stamp = pd.Timestamp(value)
    except (ValueError, TypeError):
        raise StitchlogError(f'"{value}" is not a day; write it as year-month-day, such as 2026-10-31') from None
    return stamp if pd.isna(stamp) else stamp.tz_localize(None).normalize().as_unit("us")
