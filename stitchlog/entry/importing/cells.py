"""Cells as people write them: `~150`, `53 (frogged 30)`, `1h20`, `12 %`, a tick, a word."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterable
from dataclasses import dataclass

from stitchlog.diary.reading import numbers
from stitchlog.diary.reading.problems import Wrong, brief
from stitchlog.entry.importing.workbook import Value

_MINUTES_A_DAY = 24 * 60
NUMBER, NOTHING, TICK, WORDS = "number", "nothing", "tick", "words"

_NOTHING = {"-", "--", "\N{EN DASH}", "\N{EM DASH}", ".", "/", "n/a", "na", "none", "nil", "nothing", "no", "0"}
_TICKS = {"x", "yes", "y", "ok", "ja", "oui", "si", "sí", "done", "\u2713", "\u2714", "\u2611", "\u2705", "\u00d7"}
_ABOUT = re.compile(
    r"^(?:~|\u2248|ca?\.?\s+|c(?=\d)|about\s+|around\s+|approx\.?\s*|circa\s+|etwa\s+|env\.?\s+|\+/-\s*|±)", re.I
)
_UNSURE = re.compile(r"\s*(?:\?+|ish|-ish|\(\?\)|or so|approx\.?)$", re.I)
_UNIT = re.compile(r"\s*(?:stitches|stitch|sts?|x'?s|crosses|stiche|points|steken|puntadas|punti)\.?$", re.I)
_FROGGED = re.compile(
    r"^(?P<done>.*?)[\s,;]*[(\[]?\s*"
    r"(?:(?:frogged|unpicked|ripped(?: out)?|rip|frog|took out|getrennt)\s*:?\s*(?P<a>[\d.,' ]*\d)"
    r"|(?P<b>[\d.,' ]*\d)\s*(?:frogged|unpicked|ripped(?: out)?|taken out|getrennt)"
    r"|[-\u2212]\s*(?P<c>[\d.,' ]*\d)(?=\s*[)\]]))"
    r"(?:\s*(?:sts?|stitches))?\s*[)\]]?$",
    re.I,
)
_REMARK = re.compile(r"^([^()]*\d[^()]*?)\s*\(([^()]*[^\W\d][^()]*)\)$")
_HOURS = re.compile(
    r"^(\d+(?:[.,]\d+)?)\s*(?:h|hr|hrs|hours?|std|stunden?|heures?|horas?|uur|ore?)\.?\s*(?:and\s+)?(?:(\d{1,2})\s*(?:m|min|mins|minutes?|minuten|minuti|minutos)?\.?)?$",
    re.I,
)
_MINUTES = re.compile(r"^(\d+(?:[.,]\d+)?)\s*(?:m|min|mins|minutes?|minuten|minuti|minutos|')\.?$", re.I)
_CLOCK = re.compile(r"^(\d{1,2}):([0-5]\d)(?::[0-5]\d)?$")
_SUM = re.compile(r"^\d+(?:\s*\+\s*\d+)+$")
_THREE = re.compile(r"\d{1,3}([.,])\d{3}(?!\d)")


@dataclass(frozen=True)
class Reading:
    """What one cell says. value: the number where there is one. words: what else is in it, for the session's note."""

    kind: str
    value: float = 0.0
    approximate: bool = False
    unpicked: float = 0.0
    percent: bool = False
    words: str = ""


@dataclass(frozen=True)
class Marks:
    """What `.` and `,` mean in a sheet, where it proves that: the decimal mark, and the mark that groups thousands."""

    decimal: str = ""
    groups: str = ""


def marks_of(texts: Iterable[str], whole: bool = True) -> Marks:
    """What the numbers among the texts prove of the two marks.

    whole: they count stitches, which come in quarters: three digits that are no quarter can only group thousands.
    """
    decimal: set[str] = set()
    groups: set[str] = set()
    for text in texts:
        for found in re.findall(r"\d[\d.,]*\d", text):
            kinds = {mark for mark in ".," if mark in found}
            if len(kinds) == 2:
                last = max(found.rfind("."), found.rfind(","))
                decimal.add(found[last])
                groups.add("." if found[last] == "," else ",")
            elif kinds:
                (mark,) = kinds
                if found.count(mark) > 1:
                    if re.fullmatch(rf"\d{{1,3}}(?:{re.escape(mark)}\d{{3}})+", found):
                        groups.add(mark)
                elif not _THREE.fullmatch(found):
                    decimal.add(mark)
                elif whole and found[-3:] not in ("250", "500", "750", "000"):
                    groups.add(mark)
    one_decimal = decimal.pop() if len(decimal) == 1 else ""
    one_group = groups.pop() if len(groups) == 1 else ""
    if one_decimal and one_decimal == one_group:
        return Marks()
    if one_decimal and not one_group:
        one_group = "." if one_decimal == "," else ","
    if one_group and not one_decimal:
        one_decimal = "." if one_group == "," else ","
    return Marks(one_decimal, one_group)


def amount(text: str, marks: Marks) -> float:
    """The number that plain digits say. Raises Wrong, where `1.234` may be a thousand or a thousandth too."""
    bare = text.strip()
    if marks.groups and _THREE.fullmatch(bare.lstrip("+-")):
        bare = bare.replace(marks.groups, "")
    if not marks.decimal and "." not in bare:
        # A comma groups thousands where nothing in the sheet says otherwise.
        return numbers.read(bare)
    return numbers.read(bare, decimal_comma=marks.decimal != ".")


def number(value: Value, marks: Marks = Marks()) -> Reading:
    """What a cell that should count something says. Raises Wrong where it is a number that can be read two ways.

    >>> number("53 (frogged 30)").unpicked, number("~150").approximate, number("sick").kind, number("12 %").percent
    (30.0, True, 'words', True)
    """
    if isinstance(value, bool):
        return Reading(TICK if value else NOTHING)
    if isinstance(value, int | float):
        return Reading(NUMBER, float(value)) if value else Reading(NOTHING)
    if not isinstance(value, str):
        raise Wrong("bad-number", f'"{brief(shown(value))}" is a day or a time, not a number')
    text = " ".join(value.split())
    word = text.casefold().rstrip(".!")
    if not text or word in _NOTHING:
        return Reading(NOTHING)
    if word in _TICKS:
        return Reading(TICK)
    if not any(c.isdecimal() for c in text):
        return Reading(WORDS, words=text)
    return _with_digits(text, marks)


def _with_digits(text: str, marks: Marks) -> Reading:
    if found := _FROGGED.match(text):
        gone = amount(found["a"] or found["b"] or found["c"], marks)
        rest = found["done"].strip()
        done = number(rest, marks) if rest else Reading(NUMBER)
        if done.kind in (NUMBER, NOTHING):
            return Reading(NUMBER, done.value, done.approximate, gone, done.percent, done.words)
        raise Wrong("bad-number", f'"{brief(text)}" is not a number')
    if found := _REMARK.match(text):
        inner = _with_digits(found[1], marks)
        return Reading(NUMBER, inner.value, inner.approximate, inner.unpicked, inner.percent, found[2].strip())
    bare, approximate = _UNSURE.sub("", text), False
    bare = _ABOUT.sub("", bare)
    approximate = bare != text
    bare = _UNIT.sub("", bare).strip()
    percent = bare.endswith("%") or bare.startswith("%")
    bare = bare.strip("% ")
    if _SUM.match(bare):
        return Reading(NUMBER, float(sum(int(part) for part in bare.split("+"))), approximate)
    read = amount(bare, marks)
    if not read and not percent:
        return Reading(NOTHING)
    return Reading(NUMBER, read, approximate, percent=percent)


def minutes(value: Value, marks: Marks = Marks(), hours: bool = False) -> float | None:
    """The minutes a cell says, of one day; None where it says none. hours: plain numbers are hours. Raises Wrong.

    >>> minutes("1h20"), minutes("1:20"), minutes("90 min"), minutes(1.5, hours=True)
    (80.0, 80.0, 90.0, 90.0)
    """
    found = _minutes(value, marks, hours)
    if found is not None and not 0 <= found <= _MINUTES_A_DAY:
        raise Wrong("too-large", f'"{brief(shown(value))}" is no time at the needle on one day')
    return round(found, 2) if found else None


def _minutes(value: Value, marks: Marks, hours: bool) -> float | None:
    if isinstance(value, dt.timedelta):
        return round(value.total_seconds() / 60, 2) or None
    if isinstance(value, dt.datetime):
        # An hour and more in a cell shown as a time: spreadsheets count it from the first day they know.
        return round((value - dt.datetime(1899, 12, 31)).total_seconds() / 60 % 1440, 2) or None
    if isinstance(value, dt.time):
        return float(value.hour * 60 + value.minute) or None
    if isinstance(value, dt.date):
        raise Wrong("bad-number", f'"{brief(shown(value))}" is a day, not a time at the needle')
    if isinstance(value, str):
        text = _UNSURE.sub("", _ABOUT.sub("", " ".join(value.split())))
        if found := _HOURS.match(text):
            return float(found[1].replace(",", ".")) * 60 + float(found[2] or 0)
        if found := _MINUTES.match(text):
            return float(found[1].replace(",", "."))
        if found := _CLOCK.match(text):
            return float(int(found[1]) * 60 + int(found[2]))
        value = text
    read = number(value, marks)
    if read.kind == NUMBER:
        return round(read.value * 60, 2) if hours else read.value
    if read.kind == WORDS:
        raise Wrong("bad-number", f'"{brief(read.words)}" is not a time at the needle')
    return None


def shown(value: Value) -> str:
    """A value as its reader would see it in the cell."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return f"{value:.10g}"
    if isinstance(value, dt.datetime) and value.time() == dt.time():
        return value.date().isoformat()
    return value.isoformat(" ") if isinstance(value, dt.datetime) else str(value)
