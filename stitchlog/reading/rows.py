"""What a row must be as a whole, and beside the other rows of its file."""

from __future__ import annotations

from collections.abc import Callable, Mapping

import numpy as np

from stitchlog import names, tables
from stitchlog.reading.checks import Values
from stitchlog.reading.problems import brief

# report(code, rows, column, values, reasons)
Report = Callable[[str, np.ndarray, str, list[str], list[str]], None]

# What a session can count; one of them must be there.
COUNTED = ("stitches", "so_far", "minutes", *tables.FRACTIONS, "unpicked", "backstitch", "knots", "beads")


def check(
    table: tables.Table, columns: Mapping[str, Values], good: np.ndarray, lines: np.ndarray, report: Report
) -> None:
    """All checks of a table's rows. good: rows that no column has refused; only they are looked at."""
    if table is tables.DIARY:
        _something_counted(columns, good, report)
    if table is tables.EVENTS:
        _ends_after_it_starts(columns, good, report)
    if table is tables.PIECES:
        _finished_after_it_started(columns, good, report)
    if table.key:
        _once(table, columns, good, lines, report)


def _something_counted(columns: Mapping[str, Values], good: np.ndarray, report: Report) -> None:
    nothing = good.copy()
    for name in COUNTED:
        if name in columns:
            nothing &= np.isnan(columns[name].values)
    rows = np.flatnonzero(nothing)
    reason = "the session says neither stitches nor so_far nor minutes"
    report("no-count", rows, "stitches", [""] * len(rows), [reason] * len(rows))


def _ends_after_it_starts(columns: Mapping[str, Values], good: np.ndarray, report: Report) -> None:
    starts, ends = columns["starts"].values, columns["ends"].values
    rows = np.flatnonzero(good & (ends < starts))
    reasons = [f"it ends before it starts ({starts[i]})" for i in rows]
    report("ends-first", rows, "ends", [str(ends[i]) for i in rows], reasons)


def _finished_after_it_started(columns: Mapping[str, Values], good: np.ndarray, report: Report) -> None:
    if "started" not in columns or "finished" not in columns:
        return
    started, finished = columns["started"].values, columns["finished"].values
    rows = np.flatnonzero(good & (finished < started))
    reasons = [f"it was finished before it was started ({started[i]})" for i in rows]
    report("finished-first", rows, "finished", [str(finished[i]) for i in rows], reasons)


def _once(
    table: tables.Table, columns: Mapping[str, Values], good: np.ndarray, lines: np.ndarray, report: Report
) -> None:
    keys = zip(*(columns[name].values.to_pylist() for name in table.key), strict=True)
    first: dict[tuple[str, ...], int] = {}
    rows: list[int] = []
    for i, key in enumerate(keys):
        if good[i] and first.setdefault(tuple(names.key_of(part) for part in key), i) != i:
            rows.append(i)
    said = [" ".join(columns[name].values[i].as_py() for name in table.key) for i in rows]
    where = [first[tuple(names.key_of(columns[name].values[i].as_py()) for name in table.key)] for i in rows]
    reasons = [f'"{brief(s)}" stands in line {lines[w]} already' for s, w in zip(said, where, strict=True)]
    report("row-twice", np.array(rows, dtype=np.int64), table.key[-1], said, reasons)
