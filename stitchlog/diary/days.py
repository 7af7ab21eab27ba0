"""Days, weeks, months and years as people say them. `today` is always given: nothing here reads a clock."""

from __future__ import annotations

import calendar
import datetime as dt
import re

from stitchlog.diary.reading import dates
from stitchlog.diary.reading.problems import Wrong, brief
from stitchlog.diary.settings import WEEKDAYS
from stitchlog.errors import StitchlogError

Span = tuple[dt.date, dt.date]

_EXAMPLES = "write today, yesterday, monday, 15 Nov or 2026-11-15"
_AGO = re.compile(r"(\d{1,3}) days? ago\Z")
_NUMBERS = re.compile(r"(\d{1,2})[/.-](\d{1,2})\.?\Z")
_DAY_MONTH = re.compile(r"(\d{1,2})(?:st|nd|rd|th)?\.?[ -]?(?:of )?([a-z]{3,9})\.?\Z")
_MONTH_DAY = re.compile(r"([a-z]{3,9})\.?[ -]?(\d{1,2})(?:st|nd|rd|th)?\Z")
_ORDINAL = re.compile(r"(?<=\d)(?:st|nd|rd|th)\b")


def day(text: str | dt.date, today: dt.date, order: str | None = None, coming: bool = False) -> dt.date:
    """The day that is meant: today, yesterday, monday, 3 days ago, 15 Nov, 15/11, or any day as a diary has it.

    A weekday, and a day without a year, is the last one that is not after `today`; with `coming`, the next one that is
    not before it. order: `date_order` of the settings. Raises StitchlogError where it is no day, or might be two.

    >>> day("friday", dt.date(2026, 11, 1)).isoformat(), day("15/11", dt.date(2026, 11, 1)).isoformat()
    ('2026-10-30', '2025-11-15')
    >>> day("15 Nov", dt.date(2026, 11, 1), coming=True).isoformat()
    '2026-11-15'
    """
    if isinstance(text, dt.date):
        return text
    word = _tidy(text)
    near = {"today": 0, "now": 0, "tonight": 0, "yesterday": -1, "last night": -1, "tomorrow": 1}
    if word in near:
        return today + dt.timedelta(days=near[word])
    if found := _AGO.match(word):
        return today - dt.timedelta(days=int(found[1]))
    weekday = _weekday(word)
    if weekday is not None:
        return _on_weekday(weekday, word.startswith("last "), today, coming)
    try:
        parts = _day_and_month(word, order)
        if parts is None:
            word = _ORDINAL.sub("", word)
            return dates.read(word, dates.order_of([word], order))
    except Wrong as fault:
        raise StitchlogError(f"{fault.reason}; {_EXAMPLES}") from None
    years = range(today.year, today.year + 9) if coming else range(today.year, today.year - 9, -1)
    for year in years:
        try:
            found_day = dt.date(year, *reversed(parts))
        except ValueError:
            continue  # 29 February, where the year has none
        if found_day == today or (found_day > today) is coming:
            return found_day
    raise StitchlogError(f'there is no day "{brief(text)}"; {_EXAMPLES}')


def month(text: str, today: dt.date) -> Span:
    """The first and last day of the month that is meant: 2026-10, october, Oct 2026, 10/2026, this or last.

    A month without a year is the last one that had begun by `today`. Raises StitchlogError.

    >>> [d.isoformat() for d in month("last", dt.date(2026, 11, 15))]
    ['2026-10-01', '2026-10-31']
    """
    word = _tidy(text).removesuffix(" month")
    first = today.replace(day=1)
    if word in ("this", "this month", "last", "last month"):
        return _month(*_shifted(first, -1 if word.startswith("last") else 0))
    if found := re.match(r"(\d{4})[-/. ](\d{1,2})\Z|(\d{1,2})[-/. ](\d{4})\Z", word):
        year, number = int(found[1] or found[4]), int(found[2] or found[3])
        if 1 <= number <= 12 and year:
            return _month(year, number)
    if found := re.match(r"(?:last )?([a-z]{3,9})\.?(?:[-, ]+(\d{4}))?\Z|(\d{4})[- ]([a-z]{3,9})\Z", word):
        named = _named_month(found[1] or found[4])
        if named:
            year = int(found[2] or found[3] or today.year - (named > today.month))
            return _month(max(year, 1), named)
    raise StitchlogError(f'"{brief(text)}" is not a month; write it as in 2026-10, october or last')


def week(text: str, today: dt.date, starts: str = "monday") -> Span:
    """The first and last day of the week that is meant: this, last, or the one that a day lies in.

    starts: the first day of a week, as in the settings. Raises StitchlogError.

    >>> [d.isoformat() for d in week("this", dt.date(2026, 11, 1))]
    ['2026-10-26', '2026-11-01']
    """
    word = _tidy(text).removesuffix(" week")
    try:
        inside = today - dt.timedelta(days=7) if word == "last" else today if word == "this" else day(word, today)
    except StitchlogError:
        raise StitchlogError(f'"{brief(text)}" is not a week; write this, last, or a day in it') from None
    first = inside - dt.timedelta(days=(inside.weekday() - WEEKDAYS.index(starts)) % 7)
    return first, first + dt.timedelta(days=6)


def year(text: str, today: dt.date) -> Span:
    """The first and last day of the year that is meant: 2026, this or last. Raises StitchlogError."""
    word = _tidy(text).removesuffix(" year")
    number = {"this": today.year, "last": today.year - 1}.get(word)
    if number is None:
        if not re.match(r"[1-9]\d{3}\Z", word):
            raise StitchlogError(f'"{brief(text)}" is not a year; write it as in 2026, or last')
        number = int(word)
    return dt.date(number, 1, 1), dt.date(number, 12, 31)


def _tidy(text: str) -> str:
    return " ".join(text.casefold().split())


def _weekday(word: str) -> int | None:
    name = word.removeprefix("last ").removeprefix("on ")
    found = [i for i, known in enumerate(WEEKDAYS) if len(name) >= 3 and known.startswith(name)]
    return found[0] if found else None


def _on_weekday(weekday: int, last: bool, today: dt.date, coming: bool) -> dt.date:
    if coming and not last:
        return today + dt.timedelta(days=(weekday - today.weekday()) % 7)
    back = (today.weekday() - weekday) % 7
    # On a Monday "last monday" is a week ago, "monday" is today.
    return today - dt.timedelta(days=7 if last and not back else back)


def _day_and_month(word: str, order: str | None) -> tuple[int, int] | None:
    """Day and month where no year is said; None where it is written in another way. Raises Wrong."""
    if found := _NUMBERS.match(word):
        a, b = int(found[1]), int(found[2])
        ways = {dates.DAY_FIRST: (a, b), dates.MONTH_FIRST: (b, a)}
        if order in ways:
            return ways[order]
        fits = {way for way in ways.values() if way[1] <= 12}
        if len(fits) > 1:
            raise Wrong("unclear-date", f'"{brief(word)}" may be day first or month first')
        return next(iter(fits), (a, b))
    found = _DAY_MONTH.match(word)
    number, name = (found[1], found[2]) if found else ("", "")
    if not found and (found := _MONTH_DAY.match(word)):
        number, name = found[2], found[1]
    named = _named_month(name)
    return (int(number), named) if named else None


def _named_month(name: str) -> int:
    """1 to 12; 0 where no month begins so."""
    fits = [i for i, known in enumerate(dates.MONTHS, 1) if len(name) >= 3 and known.startswith(name)]
    return fits[0] if fits else 0


def _shifted(first: dt.date, months: int) -> tuple[int, int]:
    count = first.year * 12 + first.month - 1 + months
    return count // 12, count % 12 + 1


def _month(year: int, number: int) -> Span:
    return dt.date(year, number, 1), dt.date(year, number, calendar.monthrange(year, number)[1])
