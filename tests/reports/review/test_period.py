import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stitchlog import StitchlogError
from stitchlog.reports import review


def _days(span):
    return str(span.start.date()), str(span.end.date())


@pytest.mark.parametrize(
    ("as_of", "expected"),
    [
        ("2026-10-31", ("2026-10-01", "2026-10-31")),  # on its last evening a month is over
        ("2026-10-30", ("2026-09-01", "2026-09-30")),
        ("2026-11-01", ("2026-10-01", "2026-10-31")),
        ("2026-01-15", ("2025-12-01", "2025-12-31")),
        ("2024-03-01", ("2024-02-01", "2024-02-29")),
    ],
)
def test_the_usual_period_is_the_last_month_that_is_over(as_of, expected):
    assert _days(review.period(as_of=as_of)) == expected


@pytest.mark.parametrize(
    ("start", "end", "as_of", "expected"),
    [
        ("2026-10-05", None, "2026-10-20", ("2026-10-05", "2026-10-20")),
        ("2026-10-05", None, "2026-09-20", ("2026-10-05", "2026-10-31")),
        (None, "2026-10-05", None, ("2026-10-01", "2026-10-05")),
        ("2026-10-05", "2026-10-05", None, ("2026-10-05", "2026-10-05")),
    ],
)
def test_one_end_may_be_left_out(start, end, as_of, expected):
    assert _days(review.period(start, end, as_of)) == expected


@pytest.mark.parametrize(
    ("as_of", "end"),
    [
        ("2026-10-20", "2026-10-20"),
        ("2026-10-31", "2026-10-31"),
        ("2026-11-05", "2026-10-31"),
        ("2026-09-05", "2026-10-31"),
    ],
)
def test_a_period_does_not_reach_beyond_the_day_it_is_seen_from(as_of, end):
    assert _days(review.period("2026-10-01", "2026-10-31", as_of)) == ("2026-10-01", end)


@pytest.mark.parametrize(("last_day", "month"), [("2026-10-31", "10"), ("2026-10-02", "10"), ("2026-11-01", "11")])
def test_where_nobody_says_the_day_it_is_the_month_of_the_newest_session(last_day, month):
    assert review.period(last_day=last_day).start == pd.Timestamp(f"2026-{month}-01")


def test_the_diarys_last_day_cuts_no_period():
    assert _days(review.period("2026-10-01", "2026-10-31", None, "2026-10-20")) == ("2026-10-01", "2026-10-31")


@pytest.mark.parametrize(("start", "end"), [("2026-10-02", "2026-10-01"), ("yesterday-ish", "2026-10-01"), ("", None)])
def test_a_period_that_cannot_be_is_refused_in_one_line(start, end):
    if start == "":
        assert review.period(start, end).length == 0  # neither day nor diary
        return
    with pytest.raises(StitchlogError) as told:
        review.period(start, end)
    assert "\n" not in str(told.value)


@pytest.mark.parametrize(
    ("start", "end", "before", "year_before"),
    [
        ("2026-10-01", "2026-10-31", ("2026-09-01", "2026-09-30"), ("2025-10-01", "2025-10-31")),
        ("2024-02-01", "2024-02-29", ("2024-01-01", "2024-01-31"), ("2023-02-01", "2023-02-28")),
        ("2025-02-01", "2025-02-28", ("2025-01-01", "2025-01-31"), ("2024-02-01", "2024-02-29")),
        ("2026-09-01", "2026-10-31", ("2026-07-01", "2026-08-31"), ("2025-09-01", "2025-10-31")),
        ("2026-01-01", "2026-12-31", ("2025-01-01", "2025-12-31"), ("2025-01-01", "2025-12-31")),
        ("2026-10-05", "2026-10-11", ("2026-09-28", "2026-10-04"), ("2025-10-05", "2025-10-11")),
        ("2024-02-29", "2024-02-29", ("2024-02-28", "2024-02-28"), ("2023-02-28", "2023-02-28")),
    ],
)
def test_what_a_period_is_held_against(start, end, before, year_before):
    span = review.period(start, end)
    assert (_days(span.before), _days(span.year_before)) == (before, year_before)


@given(st.dates(pd.Timestamp("1990-01-01").date(), pd.Timestamp("2090-01-01").date()), st.integers(0, 800))
def test_the_period_before_lies_before(start, length):
    span = review.period(start, pd.Timestamp(start) + pd.Timedelta(days=length))
    assert span.before.end < span.start
    in_a_month = span.start.day == 1 and span.end < span.start + pd.offsets.MonthBegin(1)
    year_so_far = (span.start.month, span.start.day) == (1, 1) and span.end.year == span.start.year and length > 180
    if not in_a_month and not year_so_far:
        assert span.before.end == span.start - pd.Timedelta(days=1)
        assert span.before.length == span.length or span.months
    assert span.year_before.start <= span.year_before.end < span.end
    assert len(span.days) == span.length


@pytest.mark.parametrize(
    ("start", "end", "before"),
    [
        ("2026-10-01", "2026-10-09", ("2026-09-01", "2026-09-09")),
        ("2026-03-01", "2026-03-30", ("2026-02-01", "2026-02-28")),
        ("2026-01-01", "2026-10-31", ("2025-01-01", "2025-10-31")),
        ("2026-01-01", "2026-03-31", ("2025-10-01", "2025-12-31")),
        ("2026-10-02", "2026-10-09", ("2026-09-24", "2026-10-01")),
    ],
)
def test_a_period_so_far_is_held_against_the_same_days(start, end, before):
    assert _days(review.period(start, end).before) == before
