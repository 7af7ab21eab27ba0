"""Days of ISO 8601 and their week and ordinal forms, held against published values."""

import datetime as dt

import pytest

from stitchlog.diary.reading import dates
from stitchlog.diary.reading.problems import Wrong

# Week dates from the Python documentation of date.isocalendar and the examples of the Kusto function week_of_year
# (restated pages; the others recomputed with the rule that week 1 holds the first Thursday).
WEEKS = [
    ("2003-12-29", "2004-W01-1"),
    ("2004-01-04", "2004-W01-7"),
    ("2013-12-30", "2014-W01-1"),
    ("2020-12-31", "2020-W53-4"),
    ("1970-01-01", "1970-W01-4"),
    ("2000-01-01", "1999-W52-6"),
    ("2005-01-01", "2004-W53-6"),
    ("2010-01-03", "2009-W53-7"),
    ("2026-01-01", "2026-W01-4"),
]


@pytest.mark.parametrize(("day", "week"), WEEKS)
def test_week_dates_and_basic_forms_are_the_same_day(day, week):
    expected = dt.date.fromisoformat(day)
    assert dates.read(week) == dates.read(week.replace("-", "")) == expected
    assert dates.read(day) == dates.read(day.replace("-", "")) == expected


@pytest.mark.parametrize(
    # Ordinal dates, from memory of ISO 8601: the day of the year; 1 March is 060, in leap years 061.
    ("ordinal", "day"),
    [("2026-001", "2026-01-01"), ("2026-060", "2026-03-01"), ("2028-061", "2028-03-01"), ("2028-366", "2028-12-31")],
)
def test_ordinal_dates(ordinal, day):
    assert dates.read(ordinal).isoformat() == day


def test_53_weeks_in_long_years_only():
    # Long years from 2004 to 2037, recomputed by counting: 2004, 2009, 2015, 2020, 2026, 2032, 2037.
    long = []
    for year in range(2004, 2038):
        try:
            dates.read(f"{year}-W53-1")
            long.append(year)
        except Wrong:
            pass
    assert long == [2004, 2009, 2015, 2020, 2026, 2032, 2037]


def test_every_day_of_400_years_reads():
    # The Gregorian calendar repeats after 400 years, 146,097 days (from memory); every 7th day keeps this quick.
    first = dt.date(2000, 1, 1)
    assert (dt.date(2400, 1, 1) - first).days == 146_097
    for n in range(0, 146_097, 7):
        day = first + dt.timedelta(days=n)
        assert dates.read(day.isoformat()) == day
