"""Days and periods as people say them, seen from a Sunday."""

import datetime as dt

import pytest

from stitchlog.diary import days
from stitchlog.errors import StitchlogError

TODAY = dt.date(2026, 11, 1)


@pytest.mark.parametrize(
    ("said", "meant"),
    [
        ("today", "2026-11-01"),
        (" Yesterday", "2026-10-31"),
        ("last night", "2026-10-31"),
        ("3 days ago", "2026-10-29"),
        ("sunday", "2026-11-01"),
        ("last Sunday", "2026-10-25"),
        ("sat", "2026-10-31"),
        ("Monday", "2026-10-26"),
        ("15 Nov", "2025-11-15"),
        ("15 october", "2026-10-15"),
        ("1st of Nov", "2026-11-01"),
        ("Oct 15", "2026-10-15"),
        ("15/10", "2026-10-15"),
        ("10/15", "2026-10-15"),
        ("5/5", "2026-05-05"),
        ("15.10.", "2026-10-15"),
        ("29 feb", "2024-02-29"),
        ("15th Oct 2026", "2026-10-15"),
        ("5 Oct 2026", "2026-10-05"),
        ("2026-10-05", "2026-10-05"),
        (dt.date(2026, 10, 5), "2026-10-05"),
    ],
)
def test_a_day_that_was(said, meant):
    assert days.day(said, TODAY).isoformat() == meant


def test_a_day_to_come_and_the_order_of_the_settings():
    assert days.day("15 Nov", TODAY, coming=True) == dt.date(2026, 11, 15)
    assert days.day("monday", TODAY, coming=True) == dt.date(2026, 11, 2)
    assert days.day("3/10", TODAY, "day-first") == dt.date(2026, 10, 3)
    assert days.day("3/10", TODAY, "month-first") == dt.date(2026, 3, 10)


@pytest.mark.parametrize("said", ["3/10", "31/31", "30 feb", "whenever", "2026-02-30", "s", "", "32 Nov", "15 mar-may"])
def test_what_is_no_day_or_might_be_two_is_refused_by_what_was_typed(said):
    with pytest.raises(StitchlogError, match="write today") as refused:
        days.day(said, TODAY)
    assert said in str(refused.value)


@pytest.mark.parametrize(
    ("said", "first"),
    [
        ("2026-10", "2026-10-01"),
        ("october", "2026-10-01"),
        ("Oct 2025", "2025-10-01"),
        ("2025 oct", "2025-10-01"),
        ("10/2026", "2026-10-01"),
        ("december", "2025-12-01"),
        ("november", "2026-11-01"),
        ("last", "2026-10-01"),
        ("this month", "2026-11-01"),
    ],
)
def test_a_month(said, first):
    assert days.month(said, TODAY)[0].isoformat() == first


def test_a_month_ends_on_its_last_day_and_december_goes_before_january():
    assert days.month("feb 2024", TODAY)[1] == dt.date(2024, 2, 29)
    assert days.month("last", dt.date(2026, 1, 9)) == (dt.date(2025, 12, 1), dt.date(2025, 12, 31))


def test_a_week_and_a_year():
    assert days.week("last", TODAY) == (dt.date(2026, 10, 19), dt.date(2026, 10, 25))
    assert days.week("this", TODAY, "sunday") == (TODAY, dt.date(2026, 11, 7))
    assert days.week("5 Oct", TODAY)[0] == dt.date(2026, 10, 5)
    assert days.year("last", TODAY) == (dt.date(2025, 1, 1), dt.date(2025, 12, 31))


@pytest.mark.parametrize("said", ["octember", "2026-13", "ju", "0000-01", ""])
def test_what_is_no_month_is_refused_by_what_was_typed(said):
    with pytest.raises(StitchlogError, match=f'"{said}" is not a month'):
        days.month(said, TODAY)
    with pytest.raises(StitchlogError):
        days.year(said, TODAY)
