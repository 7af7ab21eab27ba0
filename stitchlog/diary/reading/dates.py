"""Days as people and spreadsheets write them. ISO 8601 always reads; another order where it is declared or proved."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterable

from stitchlog.diary.reading.problems import Wrong, brief

DAY_FIRST, MONTH_FIRST, ISO = "day-first", "month-first", "iso"

_TIME = r"(?:[T ]\s*([0-9]{1,2}):([0-9]{2})(?::([0-9]{2})(?:[.,][0-9]+)?)?\s*(?:Z|[+-][0-9]{2}:?[0-9]{2})?)?\Z"
_YEAR_FIRST = re.compile(r"([0-9]{4})([-/.])([0-9]{1,2})\2([0-9]{1,2})" + _TIME)
# Rare forms: made into patterns when a file first needs them, so that a usual diary is read at once.
_BASIC_OR_WEEK = r"[0-9]{8}\Z|[0-9]{4}-W[0-9]{2}-[1-7]\Z|[0-9]{4}W[0-9]{2}[1-7]\Z"
_ORDINAL = r"([0-9]{4})-([0-9]{3})\Z"
_YEAR_LAST = r"([0-9]{1,2})([-/. ])([0-9]{1,2})\2([0-9]{4}|[0-9]{2})" + _TIME
_SERIAL = r"([0-9]{5})(?:[.,][0-9]+)?\Z"
_DAY_NAMED = r"([0-9]{1,2})[-. ]\s*([A-Za-z]{3,9})\.?[-, ]\s*([0-9]{4})\Z"
_NAMED_DAY = r"([A-Za-z]{3,9})\.? ([0-9]{1,2}),? ([0-9]{4})\Z"
MONTHS = (
    *("january", "february", "march", "april", "may", "june"),
    *("july", "august", "september", "october", "november", "december"),
)

# Where spreadsheets begin to count days (the system that starts in 1900; right from March 1900 on).
_SERIAL_BEGINS = dt.date(1899, 12, 30)


def order_of(texts: Iterable[str], declared: str | None = None) -> str | None:
    """How the days of one column that are not year-first are written: DAY_FIRST, MONTH_FIRST, "mixed", or None.

    Declared by the settings, or proved by the column: some day can only be read one way, none only the other way.
    A year of two digits may also stand first; where the days are in order only so, nothing is proved.
    """
    if declared:
        return declared
    proved = set()
    short: list[re.Match[str]] = []
    for text in texts:
        found = None if text[4:5] == "-" else re.match(_YEAR_LAST, text.strip())
        if found:
            readable = _both_ways(found)
            if len(readable) == 1:
                proved |= set(readable)
            if len(found[4]) == 2:
                short.append(found)
    if short and len(proved) == 1 and _year_first(short, next(iter(proved))):
        return None
    return "mixed" if len(proved) == 2 else next(iter(proved), None)


def read(text: str, order: str | None = None) -> dt.date:
    """The day that `text` says, `order` being what `order_of` found for its column. A time of day is dropped.

    >>> read("2026-10-31"), read("31/10/2026", DAY_FIRST), read("2026-W44-6")
    (datetime.date(2026, 10, 31), datetime.date(2026, 10, 31), datetime.date(2026, 10, 31))

    Raises Wrong.
    """
    text = text.strip()
    if found := _YEAR_FIRST.match(text):
        day = _day(int(found[1]), int(found[3]), int(found[4])) if _is_time(found.groups()[4:]) else None
    elif found := re.match(_YEAR_LAST, text):
        day = _other_order(text, found, order) if _is_time(found.groups()[4:]) else None
    else:
        day = _rare(text)
    if day is None:
        raise Wrong("bad-date", f'there is no day "{brief(text)}"')
    return day


def month(text: str) -> str:
    """The month that `text` says, as in 2026-10. Raises Wrong.

    >>> month("2026-10"), month("October 2026"), month("10/2026"), month("2026-10-31")
    ('2026-10', '2026-10', '2026-10', '2026-10')
    """
    text = text.strip()
    if found := re.match(r"([0-9]{4})[-/.]([0-9]{1,2})\Z|([0-9]{1,2})[-/.]([0-9]{4})\Z", text):
        text = f"{found[1] or found[4]}-{int(found[2] or found[3]):02}-01"
    elif found := re.match(r"([A-Za-z]{3,9})\.? ([0-9]{4})\Z", text):
        text = f"1 {found[1]} {found[2]}"
    return read(text).isoformat()[:7]


def _rare(text: str) -> dt.date | None:
    """A day in a form that few files have; None where it has the form and is no day."""
    if re.match(_BASIC_OR_WEEK, text):
        try:
            return dt.date.fromisoformat(text)
        except ValueError:
            return None
    if found := re.match(_ORDINAL, text):
        first, count = _day(int(found[1]), 1, 1), int(found[2])
        day = first + dt.timedelta(days=count - 1) if first and first.year < dt.MAXYEAR else None
        return day if day and count and day.year == int(found[1]) else None
    if found := re.match(_DAY_NAMED, text) or re.match(_NAMED_DAY, text):
        number, name = (found[1], found[2]) if found[1].isdigit() else (found[2], found[1])
        months = [i for i, m in enumerate(MONTHS, 1) if m.startswith(name.lower())]
        if len(months) == 1:
            return _day(int(found[3]), months[0], int(number))
    if found := re.match(_SERIAL, text):
        likely = _SERIAL_BEGINS + dt.timedelta(days=int(found[1]))
        raise Wrong("serial-date", f'"{brief(text)}" is a spreadsheet\'s serial number (perhaps {likely.isoformat()})')
    raise Wrong("bad-date", f'"{brief(text)}" is not a day')


def _other_order(text: str, found: re.Match[str], order: str | None) -> dt.date | None:
    ways = _both_ways(found)
    if order in (DAY_FIRST, MONTH_FIRST):
        return ways.get(order)
    if order == "mixed":
        raise Wrong("mixed-dates", f'"{brief(text)}": this column has some days written day first and some month first')
    if len(found[4]) == 4 and not ways:
        return None
    if order == ISO:
        raise Wrong("bad-date", f'"{brief(text)}" is not written as 2026-10-31, as stitchlog.toml says')
    raise Wrong("unclear-date", f'"{brief(text)}" may be day first or month first')


def _both_ways(found: re.Match[str]) -> dict[str, dt.date]:
    """Order -> the day that is meant, for each order in which it is one."""
    first, second, year = int(found[1]), int(found[3]), int(found[4])
    if len(found[4]) == 2:
        # The POSIX reading of two-digit years: 69 to 99 are 1969 to 1999.
        year += 1900 if year >= 69 else 2000
    ways = {DAY_FIRST: _day(year, second, first), MONTH_FIRST: _day(year, first, second)}
    return {order: day for order, day in ways.items() if day}


def _year_first(found: list[re.Match[str]], order: str) -> bool:
    """Whether days with two-digit years are in order with the year first, and are not in `order`."""
    first = [_day(2000 + int(f[1]), int(f[3]), int(f[4])) for f in found]
    other = [_both_ways(f).get(order) for f in found]
    return None not in first and first == sorted(first) and other != sorted(o for o in other if o)  # type: ignore[type-var]


def _is_time(parts: tuple[str | None, ...]) -> bool:
    hour, minute, second = (int(part or 0) for part in parts)
    return hour <= 24 and minute <= 59 and second <= 60


def _day(year: int, month: int, day: int) -> dt.date | None:
    try:
        return dt.date(year, month, day)
    except ValueError:
        return None
