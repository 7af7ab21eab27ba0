"""Numbers, days, spans and lists as people write them."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Iterable
from typing import Any

from stitchlog import rounding
from stitchlog.errors import StitchlogError

# The language of days and numbers, a CLDR locale name; `use` sets it from a diary's settings.
_language = "en_GB"
# Forms whose order of parts is the language's own.
_SKELETONS = ("MMMMd", "MMMd", "yMMMM")


def use(language: str) -> None:
    """Sets how days and numbers are written: an English locale, as in en_GB.

    Sentences are English, and half a page in another language would be worse than none. Raises StitchlogError where it
    is another language, or none.
    """
    global _language
    from babel import Locale, UnknownLocaleError

    try:
        english = Locale.parse(language, sep="-" if "-" in language else "_").language == "en"
    except (UnknownLocaleError, ValueError, TypeError):
        english = False
    if not english:
        raise StitchlogError(
            f'stitchlog.toml: language "{language}" cannot be used, pages are written in English; '
            "write en_GB, en_US or another English one"
        )
    _language = language.replace("-", "_")


def language() -> str:
    """The language of days and numbers, a CLDR locale name."""
    return _language


def number(value: float, digits: int = 0) -> str:
    """1234.5 -> '1,234' ('1,234.5' with digits=1); 'unknown' where there is none.

    >>> number(1234.5, 1), number(float("nan"))
    ('1,234.5', 'unknown')
    """
    if value is None or not math.isfinite(value):
        return "unknown"
    from babel.numbers import format_decimal

    pattern = "#,##0" + ("." + "0" * digits if digits else "")
    return _minus(format_decimal(round(rounding.steady(value), digits), pattern, locale=_language))


def count(value: float, one: str, many: str | None = None) -> str:
    """A number with its noun.

    >>> count(1, "stitch", "stitches"), count(2400, "stitch", "stitches")
    ('1 stitch', '2,400 stitches')
    """
    text = number(value)
    return f"{text} {one if text == '1' else many or one + 's'}"


def percent(share: float) -> str:
    """A share 0 to 1 as a percentage; small ones keep their meaning.

    >>> percent(0.314), percent(0.002), percent(1), percent(0.998)
    ('31%', 'under 1%', '100%', 'over 99%')
    """
    if share is None or not math.isfinite(share):
        return "unknown"
    share = rounding.steady(share)
    if 0 < share < 0.01:
        return f"under {_percent(0.01)}"
    if 0.99 < share < 1:
        return f"over {_percent(0.99)}"
    return _percent(share)


def chance(share: float) -> str:
    """An estimated chance 0 to 1 as a percentage: never quite none, never quite certain.

    >>> chance(0.0), chance(0.314), chance(1.0)
    ('under 1%', '31%', 'over 99%')
    """
    return percent(min(max(share, 0.001), 0.999) if math.isfinite(share) else share)


def day(value: Any, year: bool = True) -> str:
    """A day as written in a letter.

    >>> day("2026-03-03"), day("2026-03-03", year=False)
    ('3 March 2026', '3 March')
    """
    return _day(value, "long" if year else "MMMMd")


def short_day(value: Any, year: bool = True) -> str:
    """A day as written in a table or beside a mark.

    >>> short_day("2026-03-03"), short_day("2026-12-10", year=False)
    ('3 Mar 2026', '10 Dec')
    """
    return _day(value, "medium" if year else "MMMd")


def month(value: Any, year: bool = True) -> str:
    """The month that a day lies in.

    >>> month("2026-10-09"), month("2026-10-09", year=False)
    ('October 2026', 'October')
    """
    return _day(value, "yMMMM" if year else "LLLL")


def weekday(value: Any, short: bool = False) -> str:
    """The day of the week.

    >>> weekday("2026-10-09"), weekday("2026-10-09", short=True)
    ('Friday', 'Fri')
    """
    return _day(value, "ccc" if short else "cccc")


def period(start: Any, end: Any) -> str:
    """A period as it would be said: a whole month or year by its name.

    >>> period("2026-10-01", "2026-10-31"), period("2026-01-01", "2026-12-31"), period("2026-10-30", "2026-11-02")
    ('October 2026', '2026', '30 October to 2 November 2026')
    """
    a, b = _date(start), _date(end)
    if (a.month, a.day, b.month, b.day) == (1, 1, 12, 31):
        return str(a.year) if a.year == b.year else f"{a.year} to {b.year}"
    if a.day == 1 and (b + dt.timedelta(days=1)).day == 1:
        if (a.year, a.month) == (b.year, b.month):
            return month(a)
        return f"{month(a, year=a.year != b.year)} to {month(b)}"
    if a == b:
        return day(a)
    if (a.year, a.month) == (b.year, b.month) and day(b).startswith(f"{b.day} "):
        return f"{a.day} to {day(b)}"
    return f"{day(a, year=a.year != b.year)} to {day(b)}"


def within(start: Any, end: Any) -> str:
    """A period as a sentence begins with it.

    >>> within("2026-10-01", "2026-10-31"), within("2026-10-03", "2026-10-09"), within("2026-10-03", "2026-10-03")
    ('In October 2026', 'From 3 to 9 October 2026', 'On 3 October 2026')
    """
    name = period(start, end)
    if _date(start) == _date(end):
        return f"On {name}"
    return f"From {name}" if " to " in name else f"In {name}"


def between(a: Any, b: Any) -> str:
    """'between 3 March and 20 May 2026', the year said once where both share it."""
    return f"between {day(a, year=_date(a).year != _date(b).year)} and {day(b)}"


def likely(chance: float) -> str:
    """A chance in the one scale of words (IPCC guidance note on uncertainty, Mastrandrea et al. 2010, abridged).

    >>> likely(0.95), likely(0.66), likely(0.5), likely(0.2), likely(0.05)
    ('very likely', 'likely', 'about even', 'unlikely', 'very unlikely')
    """
    for least, text in ((0.9, "very likely"), (0.66, "likely"), (0.33, "about even"), (0.1, "unlikely")):
        if rounding.steady(chance) >= least:
            return text
    return "very unlikely"


def sure_date(value: Any, seen_from: Any) -> str:
    """A day to come, no more precise than so far ahead can be: the day within six weeks, a part of a month within a
    year, a season within five years, a year beyond; no day at all (NaT), or one beyond ten years, is only far away.

    >>> sure_date("2026-11-12", "2026-10-31"), sure_date("2027-03-04", "2026-10-31")
    ('12 November 2026', 'early March 2027')
    >>> sure_date("2029-04-01", "2026-10-31"), sure_date("2034-04-01", "2026-10-31")
    ('spring 2029', '2034')
    >>> sure_date("2040-01-01", "2026-10-31")
    'more than ten years away'
    """
    stamp, now = _date(value), _date(seen_from)
    if stamp != stamp or (days := (stamp - now).days) > 3653:
        return "more than ten years away"
    if days <= 42:
        return day(stamp)
    if days <= 365:
        part = "early" if stamp.day <= 10 else "mid" if stamp.day <= 20 else "late"
        return f"{part} {month(stamp)}"
    if days <= 1826:
        season = ("winter", "spring", "summer", "autumn")[stamp.month % 12 // 3]
        year = stamp.year - (stamp.month < 3)
        return f"winter {year}/{(year + 1) % 100:02d}" if season == "winter" else f"{season} {year}"
    return str(stamp.year)


def sure_range(first: Any, last: Any, seen_from: Any) -> str:
    """A range of days to come, as it stands in a sentence, each end as precise as it is sure.

    >>> sure_range("2026-11-12", "2027-03-04", "2026-10-31"), sure_range("2034-01-02", "2034-09-09", "2026-10-31")
    ('between 12 November 2026 and early March 2027', 'in 2034')
    """
    a, b = sure_date(first, seen_from), sure_date(last, seen_from)
    if a == b:
        return f"{'on' if a[0].isdigit() and ' ' in a else 'in'} {a}"
    return f"between {a} and {b}"


def listed(items: Iterable[str], joint: str = "and") -> str:
    """Items in a sentence.

    >>> listed(["a", "b", "c"]), listed(["a"]), listed([])
    ('a, b and c', 'a', '')
    """
    things = list(items)
    if len(things) < 2:
        return things[0] if things else ""
    return f"{', '.join(things[:-1])} {joint} {things[-1]}"


def duration(minutes: float) -> str:
    """Minutes at the needle as people say them.

    >>> duration(45), duration(60), duration(135)
    ('45 minutes', '1 hour', '2 h 15 min')
    """
    if minutes is None or not math.isfinite(minutes):
        return "not timed"
    whole = round(rounding.steady(minutes))
    hours, rest = divmod(whole, 60)
    if hours == 0:
        return count(whole, "minute")
    if rest == 0:
        return count(hours, "hour")
    return f"{number(hours)} h {rest:02d} min"


def ago(days: int) -> str:
    """How long ago, in the unit a person would use.

    >>> ago(0), ago(1), ago(9), ago(70), ago(800)
    ('today', 'yesterday', '9 days ago', '10 weeks ago', '2 years ago')
    """
    if days <= 0:
        return "today"
    if days == 1:
        return "yesterday"
    return f"{span(days)} ago"


def span(days: float) -> str:
    """A length of time in the unit a person would use.

    >>> span(9), span(70), span(400), span(800)
    ('9 days', '10 weeks', '13 months', '2 years')
    """
    whole = round(rounding.steady(days))
    if whole < 21:
        return count(whole, "day")
    if whole < 120:
        return count(round(whole / 7), "week")
    if whole < 700:
        return count(round(whole / 30.44), "month")
    return count(round(whole / 365.25), "year")


def _date(value: Any) -> dt.date:
    """Any day that pandas understands; what is one already needs no pandas, which takes long to load."""
    if isinstance(value, dt.date):
        return value
    import pandas as pd

    return pd.Timestamp(value)


def _day(value: Any, form: str) -> str:
    """A day in the form of that name, or in the CLDR pattern or skeleton."""
    stamp = _date(value)
    if stamp != stamp:  # NaT
        return "no day"
    from babel.dates import format_date, format_skeleton

    if form in _SKELETONS:
        return format_skeleton(form, stamp, locale=_language)
    return format_date(stamp, form, _language)


def _percent(share: float) -> str:
    from babel.numbers import format_percent

    return _minus(format_percent(round(float(share), 2), locale=_language))


def _minus(text: str) -> str:
    return text.replace("-", "\N{MINUS SIGN}")
