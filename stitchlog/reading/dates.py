"""Days as people and spreadsheets write them. ISO 8601 always reads; another order where it is declared or proved."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterable

from stitchlog.reading.problems import Wrong, brief

DAY_FIRST, MONTH_FIRST, ISO = "day-first", "month-first", "iso"

_TIME = r"(?:[T ]\s*([0-9]{1,2}):([0-9]{2})(?::([0-9]{2})(?:[.,][0-9]+)?)?\s*(?:Z|[+-][0-9]{2}:?[0-9]{2})?)?\Z"
_YEAR_FIRST = re.compile(r"([0-9]{4})([-/.])([0-9]{1,2})\2([0-9]{1,2})" + _TIME)
# Rare forms: made into patterns when a file first needs them, so that a usual diary is read at once.
_BASIC = r"([0-9]{4})([0-9]{2})([0-9]{2})\Z"
_WEEK = r"([0-9]{4})-?W([0-9]{2})-?([1-7])\Z"
_ORDINAL = r"([0-9]{4})-([0-9]{3})\Z"
_YEAR_LAST = r"([0-9]{1,2})([-/. ])([0-9]{1,2})\2([0-9]{4}|[0-9]{2})" + _TIME
_SERIAL = r"([0-9]{5})(?:[.,][0-9]+)?\Z"
_DAY_NAMED = r"([0-9]{1,2})[-. ]\s*([A-Za-z]{3,9})\.?[-, ]\s*([0-9]{4})\Z"
_NAMED_DAY = r"([A-Za-z]{3,9})\.? ([0-9]{1,2}),? ([0-9]{4})\Z"
_MONTHS = (
    *("january", "february", "march", "april", "may", "june"),
    *("july", "august", "september", "october", "november", "december"),
)

# Where spreadsheets begin to count days (the system that starts in 1900; right from March 1900 on).
_SERIAL_BEGINS = dt.date(1899, 12, 30)


def order_of(texts: Iterable[str], declared: str | None = None) -> str | None:
    """How the days of one column that are not year-first are written: DAY_FIRST, MONTH_FIRST, "mixed", or None.

    Declared by the settings, or proved by the column: some day can only be read one way, none only the other way.
    Two-digit years prove nothing, for the year may then stand first.
    """
    if declared:
        return declared
    day_first = month_first = False
    for text in texts:
        if text[4:5] == "-":
            continue
        found = re.match(_YEAR_LAST, text.strip())
        if not found or len(found[4]) != 4:
            continue
        first, second, year = int(found[1]), int(found[3]), int(found[4])
        as_day_first, as_month_first = _day(year, second, first), _day(year, first, second)
        day_first |= as_day_first is not None and as_month_first is None
        month_first |= as_month_first is not None and as_day_first is None
    if day_first and month_first:
        return "mixed"
    return DAY_FIRST if day_first else MONTH_FIRST if month_first else None


def read(text: str, order: str | None = None) -> dt.date:
    """The day that `text` says, `order` being what `order_of` found for its column. A time of day is dropped.

    >>> read("2026-10-31"), read("31/10/2026", DAY_FIRST), read("2026-W44-6")
    (datetime.date(2026, 10, 31), datetime.date(2026, 10, 31), datetime.date(2026, 10, 31))

    Raises Wrong.
    """
    text = text.strip()
    found = _YEAR_FIRST.match(text)
    if found:
        return _checked(text, int(found[1]), int(found[3]), int(found[4]), found.groups()[4:])
    found = re.match(_YEAR_LAST, text)
    if found:
        return _other_order(text, found, order)
    return _rare(text)


def _rare(text: str) -> dt.date:
    if found := re.match(_BASIC, text):
        return _checked(text, int(found[1]), int(found[2]), int(found[3]))
    if found := re.match(_WEEK, text):
        try:
            return dt.date.fromisocalendar(int(found[1]), int(found[2]), int(found[3]))
        except ValueError:
            raise Wrong("bad-date", f'there is no week "{brief(text)}"') from None
    if found := re.match(_ORDINAL, text):
        first, count = _day(int(found[1]), 1, 1), int(found[2])
        if first and 1 <= count <= (366 if _day(first.year, 2, 29) else 365):
            return first + dt.timedelta(days=count - 1)
    if found := re.match(_DAY_NAMED, text) or re.match(_NAMED_DAY, text):
        day, name = (found[1], found[2]) if found[1].isdigit() else (found[2], found[1])
        months = [i for i, m in enumerate(_MONTHS, 1) if m.startswith(name.lower())]
        if len(months) == 1:
            return _checked(text, int(found[3]), months[0], int(day))
    if found := re.match(_SERIAL, text):
        likely = _SERIAL_BEGINS + dt.timedelta(days=int(found[1]))
        raise Wrong("serial-date", f'"{brief(text)}" is a spreadsheet\'s serial number (perhaps {likely.isoformat()})')
    raise Wrong("bad-date", f'"{brief(text)}" is not a day')


def _other_order(text: str, found: re.Match[str], order: str | None) -> dt.date:
    if order == "mixed":
        raise Wrong("mixed-dates", f'"{brief(text)}": this column has some days written day first and some month first')
    if order not in (DAY_FIRST, MONTH_FIRST):
        first, second = int(found[1]), int(found[3])
        if len(found[4]) == 4 and not _day(int(found[4]), first, second) and not _day(int(found[4]), second, first):
            raise Wrong("bad-date", f'there is no day "{brief(text)}"')
        if order == ISO:
            raise Wrong("bad-date", f'"{brief(text)}" is not written as 2026-10-31, as stitchlog.toml says')
        raise Wrong("unclear-date", f'"{brief(text)}" may be day first or month first')
    year = int(found[4])
    if len(found[4]) == 2:
        # The POSIX reading of two-digit years: 69 to 99 are 1969 to 1999.
        year += 1900 if year >= 69 else 2000
    day, month = (found[1], found[3]) if order == DAY_FIRST else (found[3], found[1])
    return _checked(text, year, int(month), int(day), found.groups()[4:])


def _checked(text: str, year: int, month: int, day: int, time: tuple[str | None, ...] = ()) -> dt.date:
    hour, minute, second = (int(t or 0) for t in (time or (0, 0, 0)))
    value = _day(year, month, day)
    if value is None or hour > 24 or minute > 59 or second > 60:
        raise Wrong("bad-date", f'there is no day "{brief(text)}"')
    return value


def _day(year: int, month: int, day: int) -> dt.date | None:
    try:
        return dt.date(year, month, day)
    except ValueError:
        return None
