"""The days of one column of a sheet: real dates as they are, text in the order that the column proves."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterable, Sequence
from itertools import pairwise

from stitchlog.diary import headings
from stitchlog.diary.reading import dates
from stitchlog.diary.reading.problems import Wrong, brief
from stitchlog.entry.importing.workbook import Value

DAY_FIRST, MONTH_FIRST = dates.DAY_FIRST, dates.MONTH_FIRST
YEAR_FIRST = "year-first"

_WEEKDAY = re.compile(r"^[^\W\d]{2,10}\.?,?\s+(?=\d)")
_TIME = re.compile(r"[T ]\s*\d{1,2}:\d{2}(:\d{2}([.,]\d+)?)?\s*(am|pm|Z)?$", re.I)
_SHORT = re.compile(r"(\d{1,4})\s*([-/. ])\s*(\d{1,2})\s*\2\s*(\d{4}|\d{2})$")
_NAMED = re.compile(
    r"(\d{1,2})(?:st|nd|rd|th|\.)?[-\s]*(?:de\s+|of\s+)?([^\W\d]{3,12})\.?,?[-\s]*(?:de\s+)?(\d{4}|\d{2})$", re.I
)
_NAMED_FIRST = re.compile(r"([^\W\d]{3,12})\.?[-\s]*(\d{1,2})(?:st|nd|rd|th)?,?[-\s]+(\d{4}|\d{2})$", re.I)
# Spreadsheets' own count of days, where a cell lost its look: 1990 to 2079.
_SERIALS = (32874, 65745)


def looks_like(value: Value) -> bool:
    """Whether a cell may hold a day, whatever its order."""
    if isinstance(value, dt.date):
        return True
    if not isinstance(value, str):
        return False
    return bool(readings(value))


def readings(value: str) -> dict[str, dt.date]:
    """Order -> the day that text says in it; under "" where it says the same in any order."""
    text = _TIME.sub("", value.strip()).strip()
    weekday = _WEEKDAY.match(text)
    if weekday and headings.month_of(weekday[0])[1] is None:
        text = text[weekday.end() :]
    for pattern, day, month in ((_NAMED, 1, 2), (_NAMED_FIRST, 2, 1)):
        if found := pattern.match(text):
            _, number = headings.month_of(found[month])
            made = _made(_year(found[3]), number or 0, int(found[day]))
            return {"": made} if made else {}
    if found := _SHORT.match(text):
        one, two, three = found[1], found[3], found[4]
        if len(one) == 4:
            made = _made(int(one), int(two), int(three)) if len(three) == 2 else None
            return {"": made} if made else {}
        if len(one) > 2:
            return {}
        ways = {
            DAY_FIRST: _made(_year(three), int(two), int(one)),
            MONTH_FIRST: _made(_year(three), int(one), int(two)),
        }
        if len(three) == 2 and len(one) == 2:
            ways[YEAR_FIRST] = _made(_year(one), int(two), int(three))
        return {order: made for order, made in ways.items() if made}
    try:
        return {"": dates.read(text)}
    except Wrong:
        return {}


_LACKS_YEAR = re.compile(
    r"(\d{1,2})(?:st|nd|rd|th)?([-/. ]\s?)(\d{1,2}|[^\W\d]{3,12})\.?\Z|([^\W\d]{3,12})\.?\s(\d{1,2})\Z", re.I
)


def lacks_year(text: str) -> bool:
    """Whether text is a day and a month without their year.

    >>> lacks_year("3 Jan"), lacks_year("31/1"), lacks_year("31.1."), lacks_year("3 owls")
    (True, True, True, False)
    """
    found = _LACKS_YEAR.match(text.strip())
    return bool(found and readings(with_year(text, 2000)))


def with_year(text: str, year: int) -> str:
    """The day and month of text with a year behind them."""
    bare = text.strip()
    found = re.match(r"\d{1,2}([-/.])\s?\d{1,2}\.?\Z", bare)
    return f"{bare.rstrip('.')}{found[1]}{year}".replace(" ", "") if found else f"{bare.rstrip('.')} {year}"


def order_of(values: Iterable[Value]) -> str | None:
    """The order of a column's days written as text: DAY_FIRST, MONTH_FIRST or YEAR_FIRST; "" where all are clear.

    None where it is not proved: no cell can be read one way only, or some contradict each other.
    """
    ways = [found for value in values if isinstance(value, str) and (found := readings(value)) and "" not in found]
    if not ways:
        return ""
    fits = [order for order in (DAY_FIRST, MONTH_FIRST, YEAR_FIRST) if all(order in found for found in ways)]
    if YEAR_FIRST in fits and len(fits) > 1:
        # A year of two digits stands first only where the rows are then in order, and otherwise are not.
        fits = _by_sequence(ways, fits)
    return fits[0] if len(fits) == 1 else None


def _by_sequence(ways: Sequence[dict[str, dt.date]], fits: list[str]) -> list[str]:
    steps = {order: sum((b[order] - a[order]).days in range(0, 60) for a, b in pairwise(ways)) for order in fits}
    others = [order for order in fits if order != YEAR_FIRST]
    enough = len(ways) >= 4 and steps[YEAR_FIRST] >= 0.9 * (len(ways) - 1)
    return [YEAR_FIRST] if enough and all(steps[o] <= 0.5 * (len(ways) - 1) for o in others) else others


def read(value: Value, order: str | None) -> dt.date:
    """The day that a cell says, its column being written in `order`. Raises Wrong."""
    if isinstance(value, dt.datetime):
        return value.date()
    if isinstance(value, dt.date):
        return value
    if isinstance(value, str):
        ways = readings(value)
        if "" in ways:
            return ways[""]
        if order and order in ways:
            return ways[order]
        if ways:
            raise Wrong("unclear-date", f'"{brief(value)}" may be {" or ".join(d.isoformat() for d in ways.values())}')
        if re.fullmatch(r"\d{5}", value.strip()):
            value = float(value)
    if isinstance(value, float | int) and not isinstance(value, bool) and _SERIALS[0] <= value < _SERIALS[1]:
        return dt.date(1899, 12, 30) + dt.timedelta(days=int(value))
    raise Wrong("bad-date", f'"{brief(str(value))}" is not a day')


def unclear(values: Iterable[Value]) -> tuple[str, dict[str, dt.date]] | None:
    """The first cell that reads differently in two orders, and its readings."""
    for value in values:
        ways = readings(value) if isinstance(value, str) else {}
        both = {order: day for order, day in ways.items() if order in (DAY_FIRST, MONTH_FIRST)}
        if len(set(both.values())) == 2:
            return str(value), both
    return None


def _year(digits: str) -> int:
    year = int(digits)
    # The POSIX reading of two-digit years: 69 to 99 are 1969 to 1999.
    return year if len(digits) == 4 else year + (1900 if year >= 69 else 2000)


def _made(year: int, month: int, day: int) -> dt.date | None:
    try:
        return dt.date(year, month, day)
    except ValueError:
        return None
