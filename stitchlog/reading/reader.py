"""A diary folder's CSV files, checked: every row is stored or left out, and every problem says where, what and why."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np
import pyarrow as pa
import pyarrow.compute as pc

from stitchlog import arrays, tables
from stitchlog.errors import StitchlogError
from stitchlog.reading import checks, rows
from stitchlog.reading import text as texts
from stitchlog.reading.grid import Grid, cut, heading
from stitchlog.reading.problems import COLUMNS, MENDS, Problems, severity
from stitchlog.settings import Settings

PROBLEM_SCHEMA = pa.schema([(name, pa.int64() if name == "line" else pa.string()) for name in COLUMNS])
LEFT_OUT_COLUMNS = ("file", "line", "column", "value", "reason", "mend", "code", "row")
LEFT_OUT_SCHEMA = pa.schema([(name, pa.int64() if name == "line" else pa.string()) for name in LEFT_OUT_COLUMNS])

# From this size on, columns are read side by side.
MANY_ROWS = 50_000

# Names that the tables give to columns of their own.
_TAKEN = ("line", "file", "estimated", "known")


@dataclass(frozen=True)
class Written:
    """How a file is written: what `add` keeps to and the standard description says."""

    encoding: str
    mark: bytes
    delimiter: str
    newline: str
    headings: tuple[str, ...]
    columns: tuple[str, ...]
    other_days: tuple[str, ...] = ()  # columns with days that are not written year-month-day


@dataclass(frozen=True)
class Counts:
    """Rows of one file: read = stored + left_out. Blank rows are no rows."""

    read: int = 0
    stored: int = 0

    @property
    def left_out(self) -> int:
        return self.read - self.stored


@dataclass(frozen=True)
class Reading:
    """What a folder's CSV files hold.

    tables: name -> Arrow table of the rows stored: the columns of `tables` (numbers, days as timestamps, text; null
    where a number or a day is empty; the diary's pieces as a dictionary), unknown columns as text, and `line`.
    problems: columns of PROBLEM_SCHEMA. left_out: a row for each row left out, with its first problem and its text.
    """

    folder: Path
    settings: Settings
    tables: Mapping[str, pa.Table]
    problems: pa.Table
    left_out: pa.Table
    counts: Mapping[str, Counts] = field(default_factory=dict)
    written: Mapping[str, Written] = field(default_factory=dict)

    @property
    def left_out_rows(self) -> int:
        return self.left_out.num_rows


@dataclass(frozen=True)
class _File:
    table: pa.Table
    counts: Counts
    problems: pa.Table
    left_out: pa.Table
    written: Written | None = None


def read_folder(folder: Path, settings: Settings, contents: Mapping[str, bytes] | None = None) -> Reading:
    """Read and check all tables of a folder. contents: the bytes of the files, by name, where they are at hand.

    Raises StitchlogError, one line, where there is no diary.csv or its first row names no columns.
    """
    if contents is None:
        contents = load(folder)
    files = {t.name: _read_file(t, contents.get(t.file), settings) for t in tables.TABLES}
    return Reading(
        folder=folder,
        settings=settings,
        tables={name: f.table for name, f in files.items()},
        problems=pa.concat_tables([f.problems for f in files.values()]),
        left_out=pa.concat_tables([f.left_out for f in files.values()]),
        counts={f"{name}.csv": f.counts for name, f in files.items()},
        written={f"{name}.csv": f.written for name, f in files.items() if f.written},
    )


def load(folder: Path) -> dict[str, bytes]:
    """The bytes of the folder's CSV files, by name.

    Raises StitchlogError where there is no diary.csv, or where a file is there and cannot be read.
    """
    if not folder.is_dir():
        raise StitchlogError(f"{folder}: is not a folder; make a diary folder with: stitchlog new DIR")
    out = {}
    for table in tables.TABLES:
        path = folder / table.file
        try:
            out[table.file] = path.read_bytes()
        except FileNotFoundError:
            continue
        except OSError as err:
            raise StitchlogError(
                f"{path}: cannot be read: {err.strerror}; close it elsewhere or mend its rights"
            ) from None
    if tables.DIARY.file not in out:
        raise StitchlogError(f"{folder}: there is no diary.csv in this folder; make one with: stitchlog new DIR")
    return out


def _read_file(table: tables.Table, data: bytes | None, settings: Settings) -> _File:
    if data is None:
        return _nothing(table)
    try:
        source = texts.decode(data, table.file)
        grid = cut(source, table)
        if grid is None and table is tables.DIARY:
            raise StitchlogError(f"{table.file}: is empty; its first row must name at least {','.join(table.required)}")
    except StitchlogError as err:
        if table is tables.DIARY:
            raise
        return _unreadable(table, data, str(err))
    return _nothing(table) if grid is None else _FileReader(table, source, grid, settings).read()


def _nothing(
    table: tables.Table, problems: pa.Table | None = None, left_out: pa.Table | None = None, rows: int = 0
) -> _File:
    columns = {c.name: checks.nothing(c.kind, 0) for c in table.columns}
    return _File(
        pa.table({**columns, "line": pa.array([], pa.int64())}),
        Counts(rows, 0),
        PROBLEM_SCHEMA.empty_table() if problems is None else problems,
        LEFT_OUT_SCHEMA.empty_table() if left_out is None else left_out,
    )


def _unreadable(table: tables.Table, data: bytes, message: str) -> _File:
    """A side file without headings: one problem, and every row of it left out."""
    reason = message.partition(": ")[2]
    found = Problems()
    found.add("unreadable-file", table.file, 1, "", "", reason)
    try:
        text = texts.decode(data, table.file).text
    except StitchlogError:
        return _nothing(table, pa.table(found.columns(), PROBLEM_SCHEMA))
    rows = [(n, line) for n, line in enumerate(text.splitlines(), 1) if line.strip()]
    size = len(rows)
    left_out = {
        "file": [table.file] * size,
        "line": [n for n, _ in rows],
        "column": [""] * size,
        "value": [""] * size,
        "reason": [reason] * size,
        "mend": [MENDS["unreadable-file"][1]] * size,
        "code": ["unreadable-file"] * size,
        "row": [_printable(line) for _, line in rows],
    }
    return _nothing(table, pa.table(found.columns(), PROBLEM_SCHEMA), pa.table(left_out, LEFT_OUT_SCHEMA), size)


class _FileReader:
    """One file on its way from cells to a checked table."""

    def __init__(self, table: tables.Table, source: texts.Text, grid: Grid, settings: Settings) -> None:
        self.table = table
        self.source = source
        self.grid = grid
        self.manner = checks.Manner(grid.delimiter in (";", "\t"), settings.date_order)
        self.found = Problems()
        self.good = np.ones(len(grid), dtype=bool)

    def read(self) -> _File:
        known, other = self._bind()
        columns = self._columns(known)
        there = self._not_blank(columns, other)
        self.good &= there
        for column in self.table.columns:
            if column.name in columns:
                self._values(column, columns[column.name], there)
        rows.check(self.table, columns, self.good.copy(), self.grid.lines, self._report)
        self._shapes(there)
        problems = self._sorted_problems()
        read = int(there.sum()) + len(self.grid.misfits)
        return _File(
            self._table(columns, other),
            Counts(read, int(self.good.sum())),
            problems,
            self._left_out(problems),
            self._written(tuple(name for name, values in columns.items() if not values.iso)),
        )

    def _columns(self, known: dict[str, Any]) -> dict[str, checks.Values]:
        wanted = [c for c in self.table.columns if c.name in known]

        def one(column: tables.Column) -> checks.Values:
            values = checks.read_column(column, known[column.name], self.manner)
            _ = values.stored  # worked out here, where columns are read side by side
            return values

        if len(self.grid) < MANY_ROWS:
            return {c.name: one(c) for c in wanted}
        from concurrent.futures import ThreadPoolExecutor

        # The heavy part of it runs outside the interpreter's lock.
        with ThreadPoolExecutor() as pool:
            return dict(zip((c.name for c in wanted), pool.map(one, wanted), strict=True))

    def _bind(self) -> tuple[dict[str, Any], dict[str, Any]]:
        """Cells under the names of the table, and under the headings that it does not know."""
        by_heading = {heading(n): c.name for c in self.table.columns for n in (c.name, *c.aliases)}
        known: dict[str, Any] = {}
        other: dict[str, Any] = {}
        self.names: list[str] = []
        for place, (written, cells) in enumerate(zip(self.grid.headings, self.grid.columns, strict=True), 1):
            name = by_heading.get(heading(written))
            if name in known:
                known[name] = self._merged(name, known[name], cells)
                self._once(
                    "column-twice", written, f"there are two columns {name}; where one is empty the other counts"
                )
            elif name:
                known[name] = cells
            else:
                if not written and not _any_text(cells):
                    self.names.append("")
                    continue
                if not written:
                    self._once("column-unnamed", "", f"column {place} has values and no heading")
                name = _free_name(written or f"column {place}", {*self.table.names, *_TAKEN, *other})
                other[name] = cells
            self.names.append(name)
        return known, other

    def _once(self, code: str, value: str, reason: str) -> None:
        self.found.add(code, self.table.file, self.grid.heading_line, value, value, reason)

    def _merged(self, name: str, first: Any, second: Any) -> Any:
        """One column out of two of the same name: a row where they differ is left out."""
        a, b = pc.utf8_trim_whitespace(first), pc.utf8_trim_whitespace(second)
        differ = pc.and_(pc.and_(pc.not_equal(a, ""), pc.not_equal(b, "")), pc.not_equal(a, b))
        clash = np.flatnonzero(np.asarray(differ))
        values = [f"{a[i].as_py()} / {b[i].as_py()}" for i in clash.tolist()]
        self._report("two-values", clash, name, values, [f"the two columns {name} differ"] * len(values))
        return pc.if_else(pc.equal(a, ""), second, first)

    def _not_blank(self, columns: dict[str, checks.Values], other: dict[str, Any]) -> np.ndarray:
        blank = np.ones(len(self.grid), dtype=bool)
        free = list(other.values())
        for values in columns.values():
            if values.empty is None:
                free.append(values.values)
            else:
                blank &= values.empty
        for cells in free:
            rows = np.flatnonzero(blank)
            if not len(rows):
                break
            text = pc.utf8_trim_whitespace(cells.take(arrays.of(rows)))
            blank[rows] = np.asarray(pc.equal(text, ""))
        return ~blank

    def _values(self, column: tables.Column, values: checks.Values, there: np.ndarray) -> None:
        for code, (held_by, texts_, reasons) in values.wrong.items():
            self._report(code, held_by, column.name, texts_, reasons)
        if not column.required:
            return
        empty = (
            values.empty
            if values.empty is not None
            else np.asarray(pc.equal(pc.utf8_trim_whitespace(values.values), ""))
        )
        lacking = np.flatnonzero(empty & there)
        size = len(lacking)
        self._report("missing", lacking, column.name, [""] * size, [f"{column.name} is empty"] * size)

    def _report(self, code: str, at: np.ndarray, column: str, values: list[str], reasons: list[str]) -> None:
        if not len(at):
            return
        if severity(code) == "error":
            self.good[at] = False
        self.found.many(code, self.table.file, self.grid.lines[at].tolist(), column, values, reasons)

    def _shapes(self, there: np.ndarray) -> None:
        """Rows that do not fit the headings, and how the file is written."""
        for misfit in self.grid.misfits:
            value = _printable(misfit.value)
            self.found.add(misfit.code, self.table.file, misfit.line, "", value, misfit.reason)
        short = [i for i in self.grid.short if there[i]]
        reason = "the row has fewer values than there are columns; the rest is taken as empty"
        self._report("short-row", np.array(short, dtype=np.int64), "", [""] * len(short), [reason] * len(short))
        if self.source.encoding == "cp1252":
            self.found.add("old-encoding", self.table.file, 1, "", "", "the file is not UTF-8; read as Windows-1252")

    def _sorted_problems(self) -> pa.Table:
        table = pa.table(self.found.columns(), PROBLEM_SCHEMA)
        return table.take(arrays.of(np.argsort(table["line"].to_numpy(), kind="stable"))) if table.num_rows else table

    def _left_out(self, problems: pa.Table) -> pa.Table:
        errors = problems.filter(pc.equal(problems["severity"], "error"))
        if not errors.num_rows:
            return LEFT_OUT_SCHEMA.empty_table()
        # Problems stand in order of lines.
        first = np.flatnonzero(np.diff(errors["line"].to_numpy(), prepend=-1))
        lines = errors["line"].to_numpy()[first]
        misfits = {m.line: m.raw for m in self.grid.misfits}
        places = np.searchsorted(self.grid.lines, lines)
        raw = [
            misfits[line] if line in misfits else self.grid.raw(place)
            for line, place in zip(lines.tolist(), places.tolist(), strict=True)
        ]
        table = errors.take(arrays.of(first)).append_column("row", pa.array([_printable(r) for r in raw], pa.string()))
        return table.select(LEFT_OUT_COLUMNS).cast(LEFT_OUT_SCHEMA)

    def _table(self, columns: dict[str, checks.Values], other: dict[str, Any]) -> pa.Table:
        size = len(self.grid)
        out = {
            c.name: columns[c.name].stored if c.name in columns else checks.nothing(c.kind, size)
            for c in self.table.columns
        }
        if self.table is not tables.DIARY:
            # A few names on many rows stay a dictionary; elsewhere they are plain text.
            out = {n: c.dictionary_decode() if isinstance(c, pa.DictionaryArray) else c for n, c in out.items()}
        table = pa.table({**out, **other, "line": arrays.of(self.grid.lines)})
        return table if self.good.all() else table.filter(arrays.of(self.good))

    def _written(self, other_days: tuple[str, ...]) -> Written:
        s, g = self.source, self.grid
        return Written(s.encoding, s.mark, g.delimiter, s.newline, tuple(g.headings), tuple(self.names), other_days)


def _any_text(cells: Any) -> bool:
    return bool(pc.any(pc.not_equal(pc.utf8_trim_whitespace(cells), "")).as_py())


def _free_name(written: str, taken: set[str]) -> str:
    name, n = written, 2
    while name in taken:
        name, n = f"{written} ({n})", n + 1
    return name


def _printable(text: str) -> str:
    """Text that can be stored: bytes that were no letters are shown as the usual mark for them."""
    return texts.DAMAGE.sub("\N{REPLACEMENT CHARACTER}", text).encode("utf-8", "replace").decode("utf-8")
