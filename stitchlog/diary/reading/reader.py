"""A diary folder's CSV files, checked: every row is stored or left out, and every problem says where, what and why."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np
import pyarrow as pa
import pyarrow.compute as pc

from stitchlog.diary import schema
from stitchlog.diary.reading import checks, rows, sizes
from stitchlog.diary.reading import text as texts
from stitchlog.diary.reading.cutting import cut
from stitchlog.diary.reading.grid import Grid, heading
from stitchlog.diary.reading.problems import ERROR, ERRORS, Problems
from stitchlog.diary.settings import FILE as SETTINGS
from stitchlog.diary.settings import Settings, parsed
from stitchlog.errors import StitchlogError

LEFT_OUT_SCHEMA = pa.schema(
    [
        (name, pa.int64() if name == "line" else pa.string())
        for name in ("file", "line", "column", "value", "reason", "mend", "code", "row")
    ]
)

# From this size on, work is done side by side; before, starting that takes longer than it saves.
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

    @property
    def decimal_comma(self) -> bool:
        """Whether a comma may be the decimal mark: it may where it separates nothing."""
        return self.delimiter != ","


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
    problems: columns of `problems.SCHEMA`. left_out: a row for each row left out, with its first problem and its text.
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
        return int(self.left_out.num_rows)

    @property
    def read_rows(self) -> int:
        return sum(counts.read for counts in self.counts.values())


@dataclass(frozen=True)
class _File:
    table: pa.Table
    rows: int
    problems: pa.Table
    left_out: pa.Table
    written: Written | None = None


def read_folder(folder: Path, contents: Mapping[str, bytes] | None = None, settings: Settings | None = None) -> Reading:
    """Read and check all tables of a folder.

    contents: the bytes of its files, by name, where they are at hand (see `load`). settings: where they are not to be
    those of the folder. Raises StitchlogError, one line, where there is no diary.csv, its first row names no columns,
    or the settings do not parse.
    """
    if contents is None:
        contents = load(folder)
    if settings is None:
        settings = parsed(contents.get(SETTINGS, b""))
    files = {t.name: _read_file(t, contents.get(t.file), settings) for t in schema.TABLES}
    return Reading(
        folder=folder,
        settings=settings,
        tables={name: f.table for name, f in files.items()},
        problems=pa.concat_tables([f.problems for f in files.values()]),
        left_out=pa.concat_tables([f.left_out for f in files.values()]),
        counts={f"{name}.csv": Counts(f.rows, f.table.num_rows) for name, f in files.items()},
        written={f"{name}.csv": f.written for name, f in files.items() if f.written},
    )


def load(folder: Path) -> dict[str, bytes]:
    """The bytes of the folder's CSV files and of its settings, by name: all that a reading depends on.

    Raises StitchlogError where there is no diary.csv, or where a file is there and cannot be read.
    """
    if not folder.is_dir():
        raise StitchlogError(f"{folder}: is not a folder; make a diary folder with: stitchlog new DIR")
    out = {}
    for name in (*(table.file for table in schema.TABLES), SETTINGS):
        path = folder / name
        try:
            out[name] = path.read_bytes()
        except FileNotFoundError:
            continue
        except OSError as err:
            raise StitchlogError(
                f"{path}: cannot be read: {err.strerror}; close it elsewhere or change its rights"
            ) from None
    if schema.DIARY.file not in out:
        raise StitchlogError(f"{folder}: there is no diary.csv in this folder; make one with: stitchlog new DIR")
    return out


def _read_file(table: schema.Table, data: bytes | None, settings: Settings) -> _File:
    try:
        source = texts.decode(data or b"", table.file)
        grid = cut(source, table)
        if grid is None and table is schema.DIARY:
            raise StitchlogError(f"{table.file}: is empty; its first row must name at least {','.join(table.required)}")
    except StitchlogError as err:
        if table is schema.DIARY:
            raise
        return _unreadable(table, data or b"", str(err).partition(": ")[2])
    return _nothing(table, Problems(), []) if grid is None else _FileReader(table, source, grid, settings).read()


def _nothing(table: schema.Table, found: Problems, left_out: list[dict[str, Any]]) -> _File:
    """A file of which no row is stored. left_out: rows of LEFT_OUT_SCHEMA."""
    columns = {c.name: checks.nothing(c.kind, 0) for c in table.columns}
    stored = pa.table({**columns, "line": pa.array([], pa.int64())})
    return _File(stored, len(left_out), found.table(), pa.Table.from_pylist(left_out, LEFT_OUT_SCHEMA))


def _unreadable(table: schema.Table, data: bytes, reason: str) -> _File:
    """A side file without headings: one problem, and every row of it left out."""
    code = "unreadable-file"
    found = Problems()
    found.add(code, table.file, 1, "", "", reason)
    try:
        text = texts.decode(data, table.file).text
    except StitchlogError:
        return _nothing(table, found, [])
    same = {"file": table.file, "column": "", "value": "", "reason": reason, "mend": ERRORS[code], "code": code}
    left_out = [
        {**same, "line": row.line, "row": _printable(text[row.start : row.stop])}
        for row in texts.rows(text, ",")
        if not texts.is_blank(row.cells)
    ]
    return _nothing(table, found, left_out)


class _FileReader:
    """One file on its way from cells to a checked table."""

    def __init__(self, table: schema.Table, source: texts.Text, grid: Grid, settings: Settings) -> None:
        self.table = table
        self.source = source
        self.grid = grid
        self.settings = settings
        self.found = Problems()
        self.good = np.ones(len(grid), dtype=bool)

    def read(self) -> _File:
        known, other, names = self._bound()
        columns = self._columns(known)
        if self.table is schema.PIECES:
            columns |= _said_in_one(columns, known)
        for name, values in columns.items():
            for code, (at, written, reasons) in values.wrong.items():
                self._report(code, at, name, written, reasons, kept=not self._loses_its_row(name))
        rows.check(self.table, columns, self.good.copy(), self.grid.lines, self._report)
        self._shapes()
        found = self.found.table()
        found = found.take(np.argsort(found["line"].to_numpy(), kind="stable"))
        s, g = self.source, self.grid
        other_days = tuple(name for name, values in columns.items() if not values.iso)
        return _File(
            self._table(columns, other),
            len(g) + len(g.misfits),
            found,
            self._left_out(found),
            Written(s.encoding, s.mark, g.delimiter, s.newline, tuple(g.headings), names, other_days),
        )

    def _bound(self) -> tuple[dict[str, Any], dict[str, Any], tuple[str, ...]]:
        """Cells under the names of the table, cells under headings that it does not know, and every column's name."""
        by_heading = {heading(n): c.name for c in self.table.columns for n in (c.name, *c.aliases)}
        known: dict[str, Any] = {}
        other: dict[str, Any] = {}
        names: list[str] = []
        for place, (written, cells) in enumerate(zip(self.grid.headings, self.grid.columns, strict=True), 1):
            name = by_heading.get(heading(written), "")
            if name in known:
                known[name] = self._merged(name, known[name], cells)
                reason = f"there are two columns {name}; where one is empty the other counts"
                self._of_heading("column-twice", written, reason)
            elif name:
                known[name] = cells
            elif written or pc.any(pc.not_equal(pc.utf8_trim_whitespace(cells), "")).as_py():
                if not written:
                    self._of_heading("column-unnamed", "", f"column {place} has values and no heading")
                name = _free_name(written or f"column {place}", {*self.table.names, *_TAKEN, *other})
                other[name] = cells
            names.append(name)
        return known, other, tuple(names)

    def _of_heading(self, code: str, value: str, reason: str) -> None:
        self.found.add(code, self.table.file, self.grid.heading_line, value, value, reason)

    def _merged(self, name: str, first: Any, second: Any) -> Any:
        """One column out of two of the same name: a row where they differ is left out."""
        a, b = pc.utf8_trim_whitespace(first), pc.utf8_trim_whitespace(second)
        differ = pc.and_(pc.and_(pc.not_equal(a, ""), pc.not_equal(b, "")), pc.not_equal(a, b))
        clash = np.flatnonzero(np.asarray(differ))
        values = [f"{a[i].as_py()} / {b[i].as_py()}" for i in clash.tolist()]
        self._report("two-values", clash, name, values, f"the two columns {name} differ")
        return pc.if_else(pc.equal(a, ""), second, first)

    def _columns(self, known: dict[str, Any]) -> dict[str, checks.Values]:
        decimal_comma = self.grid.delimiter != ","
        wanted = [c for c in self.table.columns if c.name in known]

        def read(column: schema.Column) -> checks.Values:
            values = checks.read_column(column, known[column.name], decimal_comma, self.settings.date_order)
            _ = values.stored  # worked out here, where columns are read side by side
            return values

        if len(self.grid) < MANY_ROWS:
            return {c.name: read(c) for c in wanted}
        from concurrent.futures import ThreadPoolExecutor

        # Side by side, for the heavy part of it runs outside the interpreter's lock.
        with ThreadPoolExecutor() as pool:
            return dict(zip((c.name for c in wanted), pool.map(read, wanted), strict=True))

    def _report(
        self,
        code: str,
        at: np.ndarray,
        column: str,
        values: list[str] | str,
        reasons: list[str] | str,
        kept: bool = False,
    ) -> None:
        if code in ERRORS and not kept:
            self.good[at] = False
        self.found.many(code, self.table.file, self.grid.lines[at], column, values, reasons, kept)

    def _loses_its_row(self, column: str) -> bool:
        """Whether a cell of this column that cannot be read leaves out its row: in the diary, and where it must be."""
        return self.table is schema.DIARY or column in self.table.required

    def _shapes(self) -> None:
        """Rows that do not fit the headings, and how the file is written."""
        for misfit in self.grid.misfits:
            value = _printable(misfit.value)
            self.found.add(misfit.code, self.table.file, misfit.line, "", value, misfit.reason)
        reason = "the row has fewer values than there are columns; the rest is taken as empty"
        self._report("short-row", np.array(self.grid.short, dtype=np.int64), "", "", reason)
        if self.source.encoding == "cp1252":
            self.found.add("old-encoding", self.table.file, 1, "", "", "the file is not UTF-8; read as Windows-1252")

    def _left_out(self, found: pa.Table) -> pa.Table:
        """The rows with errors, each with its first one and its text. found: problems in order of lines."""
        errors = found.filter(pc.equal(found["severity"], ERROR))
        lines, first = np.unique(errors["line"].to_numpy(), return_index=True)
        misfits = {m.line: m.raw for m in self.grid.misfits}
        places = np.searchsorted(self.grid.lines, lines).tolist()
        raw = [
            misfits[line] if line in misfits else self.grid.raw(place)
            for line, place in zip(lines.tolist(), places, strict=True)
        ]
        row = pa.array([_printable(text) for text in raw], pa.string())
        return errors.take(first).append_column("row", row).select(LEFT_OUT_SCHEMA.names)

    def _table(self, columns: dict[str, checks.Values], other: dict[str, Any]) -> pa.Table:
        size = len(self.grid)
        out = {
            c.name: columns[c.name].stored if c.name in columns else checks.nothing(c.kind, size)
            for c in self.table.columns
        }
        if self.table is not schema.DIARY:
            # A few names on many rows stay a dictionary; elsewhere they are plain text.
            out = {n: c.dictionary_decode() if isinstance(c, pa.DictionaryArray) else c for n, c in out.items()}
        table = pa.table({**out, **other, "line": self.grid.lines})
        return table if self.good.all() else table.filter(self.good)


def _said_in_one(columns: dict[str, checks.Values], known: dict[str, Any]) -> dict[str, checks.Values]:
    """`over` where `count` says it, `width` and `height` where `size` does; what has a column of its own goes first."""
    parts: list[tuple[str, str, Any, int]] = [
        ("over", "count", sizes.count_over, 1),
        ("width", "size", sizes.size, 0),
        ("height", "size", sizes.size, 1),
    ]
    out = {}
    for name, source, read, place in parts:
        if source in columns:
            said = [read(text) for text in known[source].to_pylist()]
            values = np.array([both[place] if both else None for both in said], dtype=float)
            own = columns.get(name)
            there = values if own is None else np.where(np.isnan(own.values), values, own.values)
            out[name] = checks.Values(there, own.wrong if own else {})
    return out


def _free_name(written: str, taken: set[str]) -> str:
    name, n = written, 2
    while name in taken:
        name, n = f"{written} ({n})", n + 1
    return name


def _printable(text: str) -> str:
    """Text that can be stored: bytes that were no letters are shown as the usual mark for them."""
    return text.replace(texts.DAMAGE, "\N{REPLACEMENT CHARACTER}")
