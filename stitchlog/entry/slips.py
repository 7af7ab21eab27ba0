"""What reads well and may be a slip all the same: told by `check`, and never refused."""

from __future__ import annotations

import datetime as dt
import re
from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from itertools import combinations
from typing import Any

import pyarrow as pa

from stitchlog.diary import headings, names, schema
from stitchlog.diary.reading import checks
from stitchlog.diary.reading.problems import Problems, brief
from stitchlog.diary.reading.reader import Reading

# So alike (0 to 100) are two names that may be one, and so many names are compared at most.
_ALIKE, _MOST_NAMES = 90.0, 400
# A finished piece with less than this share of its total looks unfinished.
FAR_BELOW = 0.9
# A file with more sessions than a lifetime has is not looked through.
MOST_SESSIONS = 100_000
# Rows before one that is their sum, for it to be a total.
_SUMMED = 3

Row = Mapping[str, Any]
Tell = Callable[[str, str, int, str, Any, str], None]
_COUNTED = tuple(c.name for c in schema.DIARY.columns if c.kind in checks.NUMERIC)


def told(reading: Reading, today: dt.date | None = None) -> Reading:
    """The worked-out reading with these warnings among its problems. today: days after it are told."""
    if reading.tables["sessions"].num_rows > MOST_SESSIONS:
        return reading
    found = Problems()

    def tell(code: str, file: str, line: int, column: str, value: Any, reason: str) -> None:
        found.add(code, file, line, column, "" if value is None else str(value), reason)

    wanted = ["piece", "date", "line", "so_far", "stitches", *(n for n in _COUNTED if n not in ("so_far", "stitches"))]
    sessions: list[Row] = sorted(reading.tables["sessions"].select(wanted).to_pylist(), key=lambda row: row["line"])
    pieces = reading.tables["pieces"].to_pylist()
    _twice(sessions, tell)
    _of_days(sessions, today, tell)
    _totals(sessions, pieces, tell)
    _shares(sessions, tell)
    _of_pieces(sessions, pieces, tell)
    problems = pa.concat_tables([reading.problems, found.table()])
    files = {table.file: place for place, table in enumerate(schema.TABLES)}
    places = [files[file] for file in problems["file"].to_pylist()]
    lines = problems["line"].to_pylist()
    order = sorted(range(problems.num_rows), key=lambda i: (places[i], lines[i], i))
    return replace(reading, problems=problems.take(pa.array(order, pa.int64())))


def _twice(sessions: Iterable[Row], tell: Tell) -> None:
    first: dict[tuple[Any, ...], int] = {}
    for row in sessions:
        key = (row["piece"], row["date"], *(row[name] for name in _COUNTED))
        before = first.setdefault(key, row["line"])
        if before != row["line"]:
            said = f"{row['piece']}, {row['date'].date().isoformat()}"
            tell(
                "session-twice",
                schema.DIARY.file,
                row["line"],
                "piece",
                row["piece"],
                f"line {before} says the same: {said}",
            )


def _of_days(sessions: Iterable[Row], today: dt.date | None, tell: Tell) -> None:
    for row in sessions:
        day = row["date"].date()
        if today is not None and day > today:
            said = day.isoformat()
            tell("day-ahead", schema.DIARY.file, row["line"], "date", said, f"{said} is still to come")


def _totals(sessions: list[Row], pieces: list[Row], tell: Tell) -> None:
    """Rows that are named as totals, and rows that are the sum of all before them."""
    for row in pieces:
        if row["line"] and headings.is_total(row["piece"]):
            reason = f'"{brief(row["piece"])}" sounds like a row of totals'
            tell("row-of-totals", schema.PIECES.file, row["line"], "piece", row["piece"], reason)
    worked = 0.0
    for n, row in enumerate(sessions):
        if headings.is_total(row["piece"]):
            reason = f'"{brief(row["piece"])}" sounds like a row of totals'
            tell("row-of-totals", schema.DIARY.file, row["line"], "piece", row["piece"], reason)
        elif n >= _SUMMED and row["so_far"] is None and worked and abs(row["stitches"] - worked) < 1e-6:
            reason = f"{worked:,.10g} is the sum of all rows above"
            tell("row-of-totals", schema.DIARY.file, row["line"], "stitches", f"{row['stitches']:g}", reason)
        worked += row["stitches"]


def _shares(sessions: Iterable[Row], tell: Tell) -> None:
    for row in sessions:
        count = row["so_far"]
        if count is not None and 0 < count < 1:
            reason = f"a count so far of {count:g} is less than a stitch"
            tell("share-so-far", schema.DIARY.file, row["line"], "so_far", f"{count:g}", reason)


def _of_pieces(sessions: Iterable[Row], pieces: list[Row], tell: Tell) -> None:
    """Names nearly alike, works in progress with no total, and finished pieces far below theirs."""
    done: dict[str, float] = defaultdict(float)
    first: dict[str, int] = {}
    for row in sessions:
        done[row["piece"]] += row["stitches"]
        first.setdefault(row["piece"], row["line"])

    def where(row: Row) -> tuple[str, int]:
        known = bool(row["line"])
        return (schema.PIECES.file, row["line"]) if known else (schema.DIARY.file, first.get(row["piece"], 1))

    for one, other in combinations(pieces[:_MOST_NAMES], 2):
        if nearly(one["piece"], other["piece"]):
            reason = f'"{brief(other["piece"])}" is nearly "{brief(one["piece"])}"'
            tell("name-twice", *where(other), "piece", other["piece"], reason)
    for row in pieces:
        worked = done.get(row["piece"], 0.0) + (row["done_before"] or 0.0)
        if (
            not row["total"]
            and row["piece"] in first
            and row["finished"] is None
            and not headings.is_total(row["piece"])
        ):
            reason = f'no forecast for "{brief(row["piece"])}": add a total'
            tell("piece-no-total", *where(row), "total", None, reason)
        if row["finished"] is not None and row["total"] and worked < FAR_BELOW * row["total"]:
            reason = f"it is finished, at {worked:,.0f} of {row['total']:,.0f} stitches"
            tell("finished-early", *where(row), "finished", row["finished"].date().isoformat(), reason)


def nearly(one: str, other: str) -> bool:
    """Whether two names may be one: they differ by a slip of the hand, and not by a number.

    >>> nearly("Otter Creek", "Oter Creek"), nearly("Band 1", "Band 2")
    (True, False)
    """
    from rapidfuzz import fuzz

    a, b = names.key_of(one), names.key_of(other)
    if a == b or min(len(a), len(b)) < 5 or re.sub(r"\d+", "", a) == re.sub(r"\d+", "", b):
        return False
    return fuzz.ratio(a, b, score_cutoff=_ALIKE) > 0
