"""Figures, days and the stitcher's own words as they are said aloud."""

from __future__ import annotations

import math
from typing import Any

import pandas as pd

from stitchlog import words

_SPELT = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")
# Deeds that a goal may begin with: "Finish the fox".
_DEEDS = frozenset(
    (
        *("add", "begin", "catch", "choose", "complete", "do", "draw", "find", "finish", "fit", "fix", "frame", "get"),
        *(
            "give",
            "go",
            "iron",
            "join",
            "keep",
            "kit",
            "learn",
            "leave",
            "log",
            "make",
            "move",
            "order",
            "pick",
            "plan",
        ),
        *("post", "press", "put", "reach", "read", "send", "set", "sew", "sort", "spend", "start", "stay", "stitch"),
        *("swap", "take", "tidy", "try", "use", "wash", "wind", "work", "write"),
    )
)


def spelt(number: float) -> str:
    """A whole number as it stands in a sentence: up to twelve in letters.

    >>> spelt(3), spelt(0), spelt(31)
    ('three', 'no', '31')
    """
    whole = round(number)
    return _SPELT[whole] if 0 <= whole < len(_SPELT) else words.number(number)


def few(number: float, one: str, many: str | None = None) -> str:
    """A number in letters with its noun.

    >>> few(1, "piece"), few(2, "finish", "finishes")
    ('one piece', 'two finishes')
    """
    return f"{spelt(number)} {one if round(number) == 1 else many or one + 's'}"


def rounded(number: float) -> str:
    """A count as people say it: to the stitch below a thousand, 'about' above.

    >>> rounded(253), rounded(1234.0), rounded(1250), rounded(27884)
    ('253', 'about 1,250', '1,250', 'about 27,900')
    """
    whole = round(number)
    unit = 1 if whole < 1000 else 50 if whole < 10_000 else 100
    near = round(whole / unit) * unit
    return f"{'' if near == whole else 'about '}{words.number(near)}"


def stitches(number: float) -> str:
    """A net count of stitches as it is said, also where more came out than went in.

    >>> stitches(1), stitches(1234), stitches(-44), stitches(0.2)
    ('1 stitch', 'about 1,250 stitches', '44 stitches fewer', 'no full stitches')
    """
    whole = round(number)
    if whole == 0:
        return "no full stitches"
    if whole < 0:
        return f"{stitches(-whole)} fewer"
    return f"{rounded(whole)} {'stitch' if whole == 1 else 'stitches'}"


def time(minutes: float) -> str:
    """Minutes as they are said.

    >>> time(38), time(62), time(95), time(374), time(2330)
    ('about 40 minutes', 'about an hour', 'about an hour and a half', 'about six hours', 'about 39 hours')
    """
    if minutes < 50:
        return f"about {max(5, round(minutes / 5) * 5)} minutes"
    halves = round(minutes / 30)
    if halves <= 3:
        return "about an hour" if halves == 2 else "about an hour and a half"
    hours, rest = divmod(halves, 2)
    if hours >= len(_SPELT):
        return f"about {words.number(round(minutes / 60))} hours"
    return f"about {_SPELT[hours]}{' and a half' if rest else ''} hours"


def rest(days: float) -> str:
    """A rest as it is said.

    >>> rest(1), rest(9), rest(18), rest(84), rest(400)
    ('one day', 'nine days', 'two and a half weeks', 'nearly three months', 'over a year')
    """
    if days < 14:
        return few(days, "day")
    halves = round(days / 3.5)
    if halves <= 12:
        weeks, half = divmod(halves, 2)
        return f"{_SPELT[weeks]}{' and a half' if half else ''} weeks"
    months = days / 30.44
    if months < 11.5:
        near = round(months)
        return f"{'nearly ' if near > months + 0.1 else 'over ' if near < months - 0.1 else ''}{few(near, 'month')}"
    years = days / 365.25
    if years < 1.75:
        return "a year" if abs(years - 1) < 0.05 else "over a year" if years > 1 else "nearly a year"
    return few(years, "year")


def day(value: Any, whole: bool = False) -> str:
    """A day as it is said in its own month ('the 14th'); in another with its month, where `whole`.

    >>> day("2026-10-14"), day("2026-10-01"), day("2026-10-22", whole=True)
    ('the 14th', 'the 1st', '22 October')
    """
    if whole:
        return words.day(value, year=False)
    number = pd.Timestamp(value).day
    ending = "th" if 11 <= number <= 13 else {1: "st", 2: "nd", 3: "rd"}.get(number % 10, "th")
    return f"the {number}{ending}"


def when(value: Any, seen_from: Any) -> str:
    """A day to come as it is said, as sure as it is.

    >>> when("2026-11-20", "2026-10-31"), when("2027-03-04", "2026-10-31"), when("2028-07-02", "2026-10-31")
    ('around 20 November', 'in early March 2027', 'in summer 2028')
    """
    said = words.sure_date(value, seen_from)
    exact = said[0].isdigit() and " " in said
    return f"around {words.day(value, year=False)}" if exact else f"in {said}"


def inside(text: str, piece: str = "") -> str:
    """The stitcher's own words inside a sentence: without their stop; the first word loses its capital.

    It keeps it where it begins the name of the `piece`, or has other capitals.

    >>> inside("Finish Teapot Weather."), inside("Otter to 60%", "Otter Creek"), inside("SAL section 4")
    ('finish Teapot Weather', 'Otter to 60%', 'SAL section 4')
    """
    text = " ".join(text.split()).rstrip(".!")
    first = text.split(" ")[0] if text else ""
    if first in ("", "I") or first.startswith("I'") or first[1:] != first[1:].lower():
        return text
    kept = piece != "" and first.casefold() == piece.split()[0].casefold()
    return text if kept else f"{text[0].lower()}{text[1:]}"


def is_deed(text: str) -> bool:
    """Whether a goal begins with what is done: 'Finish Teapot Weather'."""
    return bool(text.split()) and text.split()[0].lower() in _DEEDS


def some(names: list[str], most: int = 3) -> str:
    """Names in a sentence, the first `most` of them and how many more there are."""
    more = len(names) - most
    return words.listed([*names[:most], f"{spelt(more)} more"] if more > 1 else names)


def short(text: str, most: int = 18) -> str:
    """What was noted, in so many words at most: whole sentences where they fit, else cut."""
    text = " ".join(text.split())
    if len(text.split()) <= most:
        return text
    kept = ""
    for sentence in text.replace("? ", "?\n").replace(". ", ".\n").replace("! ", "!\n").split("\n"):
        if len(f"{kept} {sentence}".split()) > most:
            break
        kept = f"{kept} {sentence}".strip()
    return kept or f"{' '.join(text.split()[:most])} …"


def percent_of(share: float) -> str:
    """A share as it is said; '' where it is not known."""
    return "" if math.isnan(share) else words.percent(share)
