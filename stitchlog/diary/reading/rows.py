"""What a row must be as a whole, and beside the other rows of its file."""

from __future__ import annotations

from collections.abc import Callable, Mapping

import numpy as np

from stitchlog.diary import names, schema
from stitchlog.diary.reading.checks import Values
from stitchlog.diary.reading.problems import brief

# report(code, rows, column, values, reasons)
Report = Callable[[str, np.ndarray, str, list[str] | str, list[str] | str], None]
Columns = Mapping[str, Values]

# What a session can count; one of them must be there.
_COUNTED = ("stitches", "so_far", "percent", "minutes", *schema.FRACTIONS, "unpicked", "backstitch", "knots", "beads")


def check(table: schema.Table, columns: Columns, good: np.ndarray, lines: np.ndarray, report: Report) -> None:
    """All checks of a table's rows. good: rows that no column has refused; only they are looked at."""
    if table is schema.DIARY:
        _something_counted(columns, good, report)
    if table is schema.EVENTS:
        _in_order(columns, good, "starts", "ends", "ends-first", "it ends before it starts", report)
    if table is schema.PIECES:
        reason = "it was finished before it was started"
        _in_order(columns, good, "started", "finished", "finished-first", reason, report)
    if table.key:
        _once(table, columns, good, lines, report)


def _something_counted(columns: Columns, good: np.ndarray, report: Report) -> None:
    nothing = good.copy()
    for name in _COUNTED:
        if name in columns:
            nothing &= np.isnan(columns[name].values)
    reason = "the session has no stitches, so_far, percent or minutes"
    report("no-count", np.flatnonzero(nothing), "stitches", "", reason)


def _in_order(
    columns: Columns, good: np.ndarray, first: str, last: str, code: str, reason: str, report: Report
) -> None:
    """The day in column `first` is not after the one in `last`."""
    if first in columns and last in columns:
        begins, ends = columns[first].values, columns[last].values
        rows = np.flatnonzero(good & (ends < begins))
        report(code, rows, last, [str(ends[i]) for i in rows], [f"{reason} ({begins[i]})" for i in rows])


def _once(table: schema.Table, columns: Columns, good: np.ndarray, lines: np.ndarray, report: Report) -> None:
    """No two rows have the same key."""
    keys = list(zip(*(columns[name].values.to_pylist() for name in table.key), strict=True))
    first: dict[tuple[str, ...], int] = {}
    rows: list[int] = []
    said: list[str] = []
    reasons: list[str] = []
    for i in np.flatnonzero(good).tolist():
        before = first.setdefault(tuple(map(names.key_of, keys[i])), i)
        if before != i:
            rows.append(i)
            said.append(" ".join(keys[i]))
            reasons.append(f'"{brief(said[-1])}" stands in line {lines[before]} already')
    report("row-twice", np.array(rows, dtype=np.int64), table.key[-1], said, reasons)
