"""What can be wrong with a row: a stable code, its severity, and the fix that a person can make."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import pyarrow as pa

COLUMNS = ("severity", "code", "file", "line", "column", "value", "reason", "mend")
SCHEMA = pa.schema([(name, pa.int64() if name == "line" else pa.string()) for name in COLUMNS])

ERROR, WARNING = "error", "warning"

_DECLARE = 'write date_order = "day-first" or date_order = "month-first" in stitchlog.toml, or write days as 2026-10-31'

# Code -> fix. An error leaves its row out; in side files one in a cell that need not be there leaves out that cell.
ERRORS = {
    # The shape of a row or a file.
    "unreadable-file": "save it again as CSV (UTF-8), with the names of the columns in its first row",
    "too-many-values": 'put text that has a separator in it in double quotes ("like, this"), or name the extra column',
    "open-quote": 'close the double quote, with nothing after it; inside quoted text write a double quote twice ("")',
    "control-character": "type the row again; it holds a character that no spreadsheet shows",
    "bad-bytes": "type the damaged letters again and save as CSV (UTF-8)",
    "two-values": "keep one of the two columns of the same name, or the same value in both",
    # One value.
    "missing": "fill it in; delete the row if it is not a session, such as a line of totals",
    "bad-number": "write digits only, as in 120 or 12.5; leave it empty if you did not count",
    "percent-number": "write it in a column percent, or write the stitches here instead",
    "unclear-number": "write it without a thousands separator, as in 1234",
    "shortened-number": "show the cell as a plain number in the spreadsheet, and save again",
    "negative": "write stitches taken out in the column unpicked, without the minus; otherwise correct the number",
    "not-whole": "write a whole number",
    "too-large": "look for one digit too many",
    "bad-fabric": "write the threads or blocks per inch, as in 14; leave it empty if you don't know",
    "bad-share": "write a number from 0 to 1, as in 0.8, or a percentage, as in 80%",
    "bad-over": "write 1 or 2",
    "bad-date": "write the day as 2026-10-31",
    "unclear-date": _DECLARE,
    "mixed-dates": _DECLARE,
    "serial-date": "show the cell as a date (2026-10-31) in the spreadsheet, and save again",
    "bad-hex": "write # and six digits or letters a to f, as in #8fae5d",
    "bad-kind": "write one of these words, or leave the cell empty",
    "bad-percent": "write 0 to 100, as in 45 or 45%",
    "bad-size": "write the stitches across and down, as in 150 x 200",
    "bad-month": "write the month as 2026-10",
    "bad-yes-no": "write yes or no",
    "no-count": "write stitches, so_far, percent or minutes; delete the row if you stitched nothing",
    # Rows beside each other.
    "row-twice": "keep one row of it",
    "ends-first": "swap the two days, or correct the wrong one",
}

# A warning keeps its row.
WARNINGS = {
    "short-row": "if the last columns are meant to be empty, nothing; otherwise look for a missing separator",
    "column-twice": "give one of the two columns another heading",
    "column-unnamed": "give the column a heading, or delete its values",
    "old-encoding": "save as CSV (UTF-8) once; until then letters with accents are read as Windows-1252",
    "odd-year": "check the year; the row counts as it is",
    "zero-minutes": "leave minutes empty if you did not time the session",
    "bad-colour-count": "write colours as code:stitches with ; between, as in B12:120; B14",
    "unknown-piece": "write it in pieces.csv, or spell it as it is written there",
    "unknown-event": "write it in events.csv, or spell it as it is written there",
    "finished-first": "check the days started and finished",
    "no-target": "write the target in stitches",
    "no-pace": "time a session whose stitches you count; until then this session counts 0 stitches",
    "count-fell": "if you took stitches out, nothing; otherwise look for a wrong count",
    "no-total": "write the piece's total, or its size, in pieces.csv; until then this session counts 0 stitches",
    "counts-disagree": "keep stitches or so_far; for now stitches counts",
    "first-count": "write what you stitched before the diary began in pieces.csv, column done_before",
    "beyond-total": "check the piece's total, or the counts",
    "odd-pace": "check stitches and minutes; the row counts as it is",
    "long-day": "check the minutes of that day; the rows count as they are",
    "session-twice": "if there were two such sessions, nothing; otherwise delete one row",
    "day-ahead": "check the day; the row counts as it is",
    "name-twice": "if they are two pieces, nothing; otherwise spell both the same way",
    "row-of-totals": "delete the row if it is a total; for now it counts as a session",
    "share-so-far": "write it as a percentage in a column percent, if it is a share of the piece",
    "piece-no-total": "write its total, or its size, in pieces.csv; until then there is no forecast for it",
    "finished-early": "check its total, and whether sessions are missing from the diary",
    "photo-outside": "copy the picture into the diary folder and write its path from there; it is not shown now",
}

MENDS = {**ERRORS, **WARNINGS}


class Wrong(Exception):
    """One value that cannot be what its column wants: a code of MENDS and the reason in words."""

    def __init__(self, code: str, reason: str) -> None:
        super().__init__(reason)
        self.code = code
        self.reason = reason


def brief(text: str, most: int = 40) -> str:
    """A value as it is quoted in a reason: on one line, cut where it is long."""
    line = " ".join(text.split())
    return line if len(line) <= most else line[: most - 1] + "…"


class Problems:
    """Problems as they are found, a list a column, so that a million of them stay cheap."""

    def __init__(self) -> None:
        self._columns: dict[str, list[Any]] = {name: [] for name in COLUMNS}

    def add(self, code: str, file: str, line: int, column: str, value: str, reason: str) -> None:
        self.many(code, file, [line], column, [value], [reason])

    def many(
        self,
        code: str,
        file: str,
        lines: Iterable[int],
        column: str,
        values: list[str] | str,
        reasons: list[str] | str,
        kept: bool = False,
    ) -> None:
        """Adds one problem for many rows; values, reasons: one a row, or one text for all.

        kept: whether the rows are kept without the cell, where the code would otherwise leave them out.
        """
        severity = ERROR if code in ERRORS and not kept else WARNING
        at = [int(line) for line in lines]
        told = {"severity": severity, "code": code, "file": file, "column": column, "mend": MENDS[code]}
        for name, said in {**told, "line": at, "value": values, "reason": reasons}.items():
            self._columns[name] += [said] * len(at) if isinstance(said, str) else said

    def table(self) -> pa.Table:
        """The problems in the order in which they were found: columns as SCHEMA has them."""
        return pa.table(self._columns, SCHEMA)
