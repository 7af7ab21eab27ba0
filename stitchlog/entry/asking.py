"""What is asked before a byte is written: which piece is meant, and whether what looks like a slip is meant so.

Whoever calls catches `Unsure` and `Doubtful`, asks in its own manner, and calls again with the answer.
"""

from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Mapping
from typing import Any

import pyarrow.compute as pc

from stitchlog.diary import names, schema
from stitchlog.diary.reading import numbers
from stitchlog.diary.reading.problems import ERRORS, Wrong
from stitchlog.diary.reading.reader import Reading
from stitchlog.entry.csvfile import Cell
from stitchlog.errors import StitchlogError

# A session is asked about that is so many times the largest of so many before it.
UNUSUAL, AFTER_SESSIONS, LEAST_UNUSUAL = 3.0, 5, 500.0
EARLIEST = dt.date(1970, 1, 1)
# Warnings that a new row may bring and that hint at a slip of the hand.
_SLIPS = ("odd-pace", "long-day", "count-fell", "counts-disagree", "beyond-total", "first-count", "bad-colour-count")


class Unsure(StitchlogError):
    """It is not sure which piece is meant: `candidates` may be, or `name` is a new one."""

    def __init__(self, name: str, candidates: list[str]) -> None:
        self.name = name
        self.candidates = candidates
        hint = f"; the nearest: {', '.join(candidates)}" if candidates else ""
        super().__init__(f'there is no piece "{name}"{hint}; write its name in full, or --new for a new piece')


class Doubtful(StitchlogError):
    """What was typed may be a slip: `questions`, each to be answered with yes before it is written."""

    def __init__(self, questions: list[str]) -> None:
        self.questions = questions
        super().__init__(f"{' '.join(questions)} Nothing was written; to write it all the same, add --yes")


def piece_meant(name: str, known: list[str], new: bool = False, surely_new: bool = False) -> tuple[str, bool]:
    """The piece as the diary spells it, and whether it is a new one.

    The same name, accents or not, the only one that has it as a part, or the only one of which it is a slip. new: the
    caller says so. surely_new: what comes along says that it is new where no name is nearly this one.
    Raises Unsure where it might be several, or none.
    """
    tidy = names.tidy(name)
    if not tidy:
        raise StitchlogError("the piece has no name; write one")
    same = [own for own in known if names.key_of(own) == names.key_of(tidy)]
    if same:
        return same[0], False
    if new or not known:
        return tidy, True
    likely = names.meant(tidy, known) or names.slips(tidy, known)
    if len(likely) == 1:
        return likely[0], False
    if surely_new and not likely:
        return tidy, True
    raise Unsure(tidy, (likely or names.nearest(tidy, known))[:5])


def pieces_known(reading: Reading) -> list[str]:
    """The names of all pieces of a worked-out reading."""
    return [str(name) for name in reading.tables["pieces"]["piece"].to_pylist()]


def cells_typed(table: schema.Table, cells: Mapping[str, Any], decimal_comma: bool) -> dict[str, Cell]:
    """What was typed, by column, as it is to be written: numbers as numbers; what was left out is left out.

    Raises StitchlogError where what should be a number is none.
    """
    typed: dict[str, Cell] = {}
    for name, value in cells.items():
        if value is None:
            continue
        if name not in table.names:
            raise TypeError(f"{table.file} has no column {name}")
        kind = table.column(name).kind
        if not isinstance(value, str) or not value.strip() or kind not in ("count", "whole", "share", "percent"):
            typed[name] = value
            continue
        share = kind == "share" and value.strip().endswith("%")
        try:
            number = numbers.read(value.strip().removesuffix("%" if share or kind == "percent" else ""), decimal_comma)
        except Wrong as fault:
            raise StitchlogError(f"{name}: {fault.reason}; write digits only, as in 120") from None
        typed[name] = number / 100 if share else number
    return typed


def refuse_errors(before: Reading, after: Reading) -> None:
    """Raises StitchlogError where the change brings a row, or a cell, that cannot be read."""
    for problem in _new_problems(before, after):
        if problem["code"] in ERRORS:
            raise StitchlogError(f"nothing was written: {problem['column']}: {problem['reason']}; {problem['mend']}")
    for file, counts in after.counts.items():
        if counts.left_out > before.counts[file].left_out:
            raise StitchlogError(f"nothing was written: rows of {file} are not in order; to see them: stitchlog check")


def about_rows(before: Reading, after: Reading) -> list[str]:
    """What a change makes look like a slip, as questions."""
    asked = [f"{_sentence(p['reason'])}." for p in _new_problems(before, after) if p["code"] in _SLIPS]
    return list(dict.fromkeys(asked))


def about_day(day: dt.date, today: dt.date) -> list[str]:
    """A question where the day is still to come, or before anybody kept a diary here."""
    if day > today:
        return [f"{say_day(day, today)} has not come yet."]
    return [f"{say_day(day, today)} is a long time ago."] if day < EARLIEST else []


def about_session(before: Reading, row: Mapping[str, Any], after: Reading) -> list[str]:
    """Questions where the session is there already, far above any before it, or later than its piece's finish.

    row: the session as the worked-out reading `after` has it.
    """
    sessions = before.tables["sessions"]
    mine = sessions.filter(pc.equal(sessions["piece"], row["piece"])) if sessions.num_rows else sessions
    day = row["date"].date()
    said = ("stitches", "so_far", "percent", "minutes", *schema.FRACTIONS, "unpicked", "backstitch", "knots", "beads")
    asked = []
    for other in mine.filter(pc.equal(mine["date"], row["date"])).to_pylist() if mine.num_rows else []:
        if all(other[name] == row[name] for name in said):
            asked.append(f"{row['piece']} has this same session on {say_day(day)} already.")
            break
    if sessions.num_rows >= AFTER_SESSIONS and not row["estimated"] and row["so_far"] is None:
        largest = pc.max(sessions["stitches"]).as_py()
        if row["stitches"] > max(UNUSUAL * largest, LEAST_UNUSUAL):
            asked.append(f"{row['stitches']:,.0f} stitches is far above your largest session so far, {largest:,.0f}.")
    (piece,) = [p for p in after.tables["pieces"].to_pylist() if p["piece"] == row["piece"]]
    if piece["finished"] is not None and day > piece["finished"].date():
        asked.append(f"{row['piece']} was finished on {say_day(piece['finished'].date())}.")
    return asked


def say_day(day: dt.date, today: dt.date | None = None) -> str:
    """A day as people say it: 'today', 'yesterday' or '31 October 2026'."""
    if today is not None and 0 <= (today - day).days <= 1:
        return "yesterday" if day < today else "today"
    return f"{day.day} {day:%B %Y}"


def _new_problems(before: Reading, after: Reading) -> list[dict[str, Any]]:
    """The problems that the change brings; lines do not tell them apart, for a row taken out shifts those below it."""

    def key(problem: Mapping[str, Any]) -> tuple[Any, ...]:
        return problem["file"], problem["code"], problem["column"], problem["value"]

    known = Counter(map(key, before.problems.to_pylist()))
    fresh = []
    for problem in reversed(after.problems.to_pylist()):
        known[key(problem)] -= 1
        if known[key(problem)] < 0:
            fresh.append(problem)
    return fresh[::-1]


def _sentence(text: str) -> str:
    return text[:1].upper() + text[1:]
