import datetime as dt

import pytest

from stitchlog.diary.reading import dates
from stitchlog.diary.reading.problems import Wrong


@pytest.mark.parametrize(
    ("text", "day"),
    [
        ("2026-10-31", dt.date(2026, 10, 31)),
        (" 2026-10-31 ", dt.date(2026, 10, 31)),
        ("2026-1-5", dt.date(2026, 1, 5)),
        ("2026/10/31", dt.date(2026, 10, 31)),
        ("2026-10-31T19:30", dt.date(2026, 10, 31)),
        ("2026-10-31 00:00:00", dt.date(2026, 10, 31)),
        ("2026-10-31T19:30:00.5+02:00", dt.date(2026, 10, 31)),
        ("2028-02-29", dt.date(2028, 2, 29)),
        ("31 Oct 2026", dt.date(2026, 10, 31)),
        ("October 31, 2026", dt.date(2026, 10, 31)),
    ],
)
@pytest.mark.parametrize("order", [None, "iso", "day-first", "month-first", "mixed"])
def test_year_first_and_named_months_always_read(text, day, order):
    assert dates.read(text, order) == day


@pytest.mark.parametrize(
    ("text", "order", "day"),
    [
        ("03/04/2026", "day-first", dt.date(2026, 4, 3)),
        ("03/04/2026", "month-first", dt.date(2026, 3, 4)),
        ("3.4.2026", "day-first", dt.date(2026, 4, 3)),
        ("3-4-26", "day-first", dt.date(2026, 4, 3)),
        ("03/04/1998 20:15", "month-first", dt.date(1998, 3, 4)),
        ("03/04/98", "month-first", dt.date(1998, 3, 4)),
    ],
)
def test_other_orders_read_where_they_are_known(text, order, day):
    assert dates.read(text, order) == day


@pytest.mark.parametrize(
    ("text", "order", "code"),
    [
        ("03/04/2026", None, "unclear-date"),
        ("03/04/26", None, "unclear-date"),
        ("31/10/2026", "iso", "bad-date"),
        ("13/04/2026", "mixed", "mixed-dates"),
        ("04/13/2026", "day-first", "bad-date"),
        ("32/13/2026", None, "bad-date"),
        ("2026-02-29", None, "bad-date"),
        ("1900-02-29", None, "bad-date"),
        ("2026-13-01", None, "bad-date"),
        ("2026-00-10", None, "bad-date"),
        ("2026-10-31T25:00", None, "bad-date"),
        ("2026-10", None, "bad-date"),
        ("2026-W54-1", None, "bad-date"),
        ("2026-366", None, "bad-date"),
        ("46023", None, "serial-date"),
        ("46023.75", None, "serial-date"),
        ("yesterday", None, "bad-date"),
        ("31 Foo 2026", None, "bad-date"),
        ("\N{ARABIC-INDIC DIGIT TWO}026-10-31", None, "bad-date"),
    ],
)
def test_what_is_no_day_is_refused(text, order, code):
    with pytest.raises(Wrong) as fault:
        dates.read(text, order)
    assert fault.value.code == code


def test_a_serial_number_is_named_with_the_day_it_may_be():
    # 46023 is 2026-01-01 counting from 1900 (to_datetime(46023, unit="D", origin="1899-12-30") of pandas).
    with pytest.raises(Wrong, match="2026-01-01"):
        dates.read("46023")


@pytest.mark.parametrize(
    ("column", "declared", "order"),
    [
        (["03/04/2026", "13/04/2026"], None, "day-first"),
        (["03/04/2026", "04/13/2026"], None, "month-first"),
        (["13/04/2026", "04/13/2026"], None, "mixed"),
        (["03/04/2026", "2026-10-31"], None, None),
        # An impossible day proves nothing.
        (["03/04/2026", "30/02/2026"], None, None),
        (["03/04/2026", "45/02/2026"], None, None),
        # A year of two digits stands last, where the days are not in order with it standing first alone.
        (["31/10/26"], None, "day-first"),
        (["20/11/23", "02/12/23"], None, "day-first"),
        (["3.10.26", "13.10.26"], None, "day-first"),
        (["23/11/01", "23/11/02", "23/12/01", "23/12/20"], None, None),
        (["04/13/2026"], "day-first", "day-first"),
        ([], None, None),
    ],
)
def test_a_column_proves_its_order_or_does_not(column, declared, order):
    assert dates.order_of(column, declared) == order
