"""What may be asked of a report, and the one reader of it: for the command line, papermill and a hand at the cell.

A value is read as strictly, and as kindly, as a cell of a CSV file: "10,000" is a number, 2026-10-31 without quotes is
no day. What cannot be read is one sentence that names the parameter and gives an example.
"""

from __future__ import annotations

import datetime as dt
import math
import numbers
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from stitchlog.diary import days
from stitchlog.diary.reading import numbers as written
from stitchlog.diary.reading.problems import Wrong, brief
from stitchlog.errors import StitchlogError

PERIOD = ("start", "end")


@dataclass(frozen=True)
class Context:
    """What values are read with: `today`, and the `order` of days that the diary's settings declare."""

    today: dt.date
    order: str | None = None


@dataclass(frozen=True)
class Parameter:
    """How one parameter is read.

    read: gives the value, or raises Wrong with the reason. example: a value, as it is typed in a cell. optional:
    whether None, for the report's own choice, is a value.
    """

    read: Callable[[Any, Context], Any]
    example: str
    optional: bool = True


def _number(
    least: float = -math.inf, most: float = math.inf, above: float | None = None, whole: bool = False
) -> Callable[[Any, Context], float]:
    """Reads a number from `least` (or `above`, itself excluded) to `most`."""

    def read(value: Any, _: Context) -> float:
        if isinstance(value, str):
            text = value.strip()
            share = text.endswith("%") and most == 1
            number = written.read(text.removesuffix("%")) / (100 if share else 1)
        elif isinstance(value, numbers.Real) and not isinstance(value, bool):
            number = float(value)
        else:
            raise Wrong("bad-number", f"{_typed(value)} is not a number")
        if not math.isfinite(number):
            raise Wrong("bad-number", f"{_typed(value)} is not a number")
        if whole and number != round(number):
            raise Wrong("not-whole", f"{_typed(value)} is not a whole number")
        if above is not None and number <= above:
            raise Wrong("negative", f"{_typed(value)} is too small, it must be more than {above:g}")
        if number < least:
            raise Wrong("negative", f"{_typed(value)} is too small, the least is {least:,g}")
        if number > most:
            raise Wrong("too-large", f"{_typed(value)} is too large, the most is {most:,g}")
        return int(number) if whole else number

    return read


def _choice(*options: Any) -> Callable[[Any, Context], Any]:
    """Reads one of `options`; capitals and outer blanks do not matter."""

    def read(value: Any, _: Context) -> Any:
        for option in options:
            if str(value).strip().casefold() == str(option).casefold() and not isinstance(value, bool):
                return option
        *others, last = [_typed(option) for option in options]
        raise Wrong("bad-kind", f"{_typed(value)} is not one of {', '.join(others)} and {last}")

    return read


def _day(value: Any, context: Context) -> dt.date:
    if isinstance(value, dt.date) and value == value:  # NaT differs from itself
        return value.date() if isinstance(value, dt.datetime) else value
    if not isinstance(value, str):
        raise Wrong("bad-date", f"{_typed(value)} is not a day; put it in quotes")
    return days.day(value, context.today, context.order)


def _coming_day(value: Any, context: Context) -> dt.date:
    if isinstance(value, str):
        return days.day(value, context.today, context.order, coming=True)
    return _day(value, context)


def _text(value: Any, _: Context) -> str:
    if not isinstance(value, str) or not value.strip():
        raise Wrong("bad-kind", f"{_typed(value)} is not a text; put it in quotes")
    return value.strip()


def _flag(value: Any, _: Context) -> bool:
    said = {"true": True, "yes": True, "false": False, "no": False}.get(str(value).strip().casefold())
    if said is None:
        raise Wrong("bad-yes-no", f"{_typed(value)} is neither True nor False")
    return said


# By name, whichever report takes it.
PARAMETERS = {
    "as_of": Parameter(_day, '"2026-10-31"'),
    "start": Parameter(_day, '"2026-10-01"'),
    "end": Parameter(_day, '"2026-10-31"'),
    "done_by": Parameter(_coming_day, '"2026-12-24"'),
    "piece": Parameter(_text, '"Otter Creek"'),
    "event": Parameter(_text, '"Harvest weekend"'),
    "suits": Parameter(_text, '"travel"'),
    "by": Parameter(_choice("stitches", "hours", "days"), '"stitches"', optional=False),
    "tone": Parameter(_choice("talk", "journal"), '"talk"', optional=False),
    "order": Parameter(_choice("worked", "finishes-first", "biggest-change", "file"), '"worked"', optional=False),
    "times": Parameter(_text, '"cuts.txt"'),
    "size": Parameter(_choice("wide", "square", "tall"), '"wide"', optional=False),
    "overlay": Parameter(_flag, "True", optional=False),
    "clips": Parameter(_flag, "True", optional=False),
    "minutes": Parameter(_number(least=1, most=600), "20", optional=False),
    "stitches": Parameter(_number(above=0, most=written.LARGEST), "10000"),
    "width": Parameter(_number(above=0, most=100_000), "150"),
    "height": Parameter(_number(above=0, most=100_000), "200"),
    "count": Parameter(_number(above=0, most=100), "28"),
    "over": Parameter(_choice(1, 2), "2"),
    "colours": Parameter(_number(least=1, most=10_000, whole=True), "25"),
    "margin_in": Parameter(_number(least=0, most=100), "3.0", optional=False),
    "per_week": Parameter(_number(above=0, most=1_000_000), "500"),
    "share": Parameter(_number(above=0, most=1), "0.3"),
    "focus": Parameter(_flag, "True", optional=False),
    "paths": Parameter(_number(least=100, most=100_000, whole=True), "2000", optional=False),
    "seed": Parameter(_number(least=0, most=2**32 - 1, whole=True), "0", optional=False),
}


def read(asked: dict[str, Any], context: Context, named: Callable[[str], str] = str) -> dict[str, Any]:
    """The values of parameters, by their names: days as dates, numbers as numbers, None where the report chooses.

    `start` and `end` may each be a month or a year, and one of them alone then names the whole of it. Names that are
    not in PARAMETERS are a notebook's own and pass as they are. named: how a parameter is written where it was asked.
    Raises StitchlogError, one sentence that names the parameter and gives an example.
    """
    out = {name: _one(name, value, context, named) for name, value in asked.items() if name not in PERIOD}
    if any(name in asked for name in PERIOD):
        out |= _period(asked.get("start"), asked.get("end"), context, named)
    return out


def _one(name: str, value: Any, context: Context, named: Callable[[str], str]) -> Any:
    known = PARAMETERS.get(name)
    if known is None or (value is None and known.optional):
        return value
    try:
        return known.read(value, context)
    except Wrong as fault:
        raise StitchlogError(f"{named(name)}: {fault.reason}, as in {_example(name, named)}") from None
    except StitchlogError as fault:  # a day that is none, with its own examples
        raise StitchlogError(f"{named(name)}: {fault}") from None


def _period(start: Any, end: Any, context: Context, named: Callable[[str], str]) -> dict[str, dt.date | None]:
    """First and last day; both None where neither is asked for."""
    first, last = (_span(name, value, context, named) for name, value in zip(PERIOD, (start, end), strict=True))
    if first is None and last is None:
        return dict.fromkeys(PERIOD)
    if first is None or last is None:
        missing, whole = ("start", last) if first is None else ("end", first)
        assert whole is not None
        if whole[0] == whole[1]:
            other = "end" if missing == "start" else "start"
            raise StitchlogError(
                f"{named(missing)}: it goes together with {named(other)}, give both, as in {_example(missing, named)}"
            )
        return dict(zip(PERIOD, whole, strict=True))
    if first[0] > last[1]:
        raise StitchlogError(
            f"{named('start')}: {first[0]} is after {named('end')}, {last[1]}; swap them, as in "
            f"{_example('start', named)} and {_example('end', named)}"
        )
    return {"start": first[0], "end": last[1]}


def _span(name: str, value: Any, context: Context, named: Callable[[str], str]) -> days.Span | None:
    """The first and last day of what a value says: a day, a month or a year."""
    if value is None:
        return None
    if isinstance(value, str):
        for said in (days.month, days.year):
            try:
                return said(value, context.today)
            except StitchlogError:
                continue
    day = _one(name, value, context, named)
    return day, day


def _example(name: str, named: Callable[[str], str]) -> str:
    example, flag = PARAMETERS[name].example, named(name)
    return f"{flag} {example.strip(chr(34))}" if flag.startswith("--") else f"{name} = {example}"


def _typed(value: Any) -> str:
    """A value as it is typed in a cell, cut short where it is long."""
    return f'"{brief(value)}"' if isinstance(value, str) else brief(repr(value))
