"""A file as columns of text: headings, a column of cells each, the line of every row, and the rows that do not fit."""

from __future__ import annotations

import gc
import re
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import pyarrow as pa

from stitchlog.errors import StitchlogError
from stitchlog.reading import text as texts
from stitchlog.reading.text import Row, Text
from stitchlog.tables import Table

# From this size on, text with regular rows is cut into cells by the library that reads a million rows in a blink.
FAST_FROM = 1 << 18

_SEPARATOR_LINE = re.compile(r"sep=([,;\t])\s*\Z", re.IGNORECASE)
_LINE_END = re.compile(r"\r\n|\r|\n")


@dataclass(frozen=True)
class Misfit:
    """A row that is left out for its shape: its line, a code of the registry, the value, the reason, the row."""

    line: int
    code: str
    value: str
    reason: str
    raw: str


@dataclass(frozen=True)
class Grid:
    """headings: as written, one a column. lines: the line that each row begins on. short: rows with cells missing.
    raw: the text of a row, verbatim."""

    headings: list[str]
    heading_line: int
    delimiter: str
    columns: list[Any]
    lines: np.ndarray
    raw: Callable[[int], str]
    short: list[int] = field(default_factory=list)
    misfits: list[Misfit] = field(default_factory=list)

    def __len__(self) -> int:
        return len(self.lines)


def heading(name: str) -> str:
    """A heading as columns are named: `Three quarter` and `three-quarter` are `three_quarter`."""
    return re.sub(r"[\s\-]+", "_", name.strip().lstrip("\ufeff").casefold())


def cut(source: Text, table: Table) -> Grid | None:
    """The cells of a file; None where nothing is in it. Raises StitchlogError where its first row names no column."""
    found = _head(source, table)
    if found is None:
        return None
    head, delimiter = found
    assert head.cells is not None
    headings = [texts.DAMAGE.sub("\N{REPLACEMENT CHARACTER}", cell).strip() for cell in head.cells]
    while headings and not headings[-1]:
        headings.pop()
    if len(source.data) >= FAST_FROM:
        from stitchlog.reading.fast import cut_fast

        grid = cut_fast(source, head, headings, delimiter)
        if grid is not None:
            return grid
    return _cut_carefully(source, head, headings, delimiter)


def _head(source: Text, table: Table) -> tuple[Row, str] | None:
    """The first row that is not blank, and the separator under which it names the most columns of the table."""
    found = _named_most(source.opening, table)
    if len(source.opening) < len(source.data) and (found is None or found[1].stop >= len(source.opening)):
        found = _named_most(source.text, table)
    if found is None:
        return None
    known, row, delimiter = found
    have = {heading(c) for c in row.cells or []}
    lacking = [c.name for c in table.columns if c.required and not {heading(n) for n in (c.name, *c.aliases)} & have]
    want = ",".join(table.required)
    if not known:
        raise StitchlogError(
            f"{source.file}:{row.line}: the first row does not name the columns; it must have at least {want}"
        )
    if lacking:
        raise StitchlogError(
            f"{source.file}:{row.line}: there is no column {lacking[0]}; the first row must name at least {want}"
        )
    return row, delimiter


def _named_most(text: str, table: Table) -> tuple[int, Row, str] | None:
    names = {heading(n) for c in table.columns for n in (c.name, *c.aliases)}
    start, line = 0, 1
    first = text[: text.find("\n") + 1 or len(text)]
    if _SEPARATOR_LINE.match(first):
        start, line = len(first), 2
    best: tuple[int, Row, str] | None = None
    for delimiter in texts.DELIMITERS:
        row = next((r for r in texts.rows(text, delimiter, start, line) if not texts.is_blank(r.cells)), None)
        if row is None:
            return None
        known = sum(heading(c) in names for c in row.cells or [])
        if best is None or known > best[0]:
            best = (known, row, delimiter)
    return best


def _cut_carefully(source: Text, head: Row, headings: list[str], delimiter: str) -> Grid:
    """Row by row: what the fast way must agree with."""
    width = len(headings)
    kept: list[list[str]] = []
    lines: list[int] = []
    spans: list[tuple[int, int]] = []
    short: list[int] = []
    misfits: list[Misfit] = []
    text = source.text
    watch = source.damaged or "\0" in text
    with _uncollected():
        for row in texts.rows(text, delimiter, body_start(text, head), head.line + heading_lines(text, head)):
            cells = row.cells
            if texts.is_blank(cells):
                continue
            if watch or cells is None or len(cells) > width:
                raw = text[row.start : row.stop]
                wrong = _misfit(cells, headings, raw, delimiter)
                if wrong:
                    misfits.append(Misfit(row.line, *wrong, raw))
                    continue
            assert cells is not None
            if len(cells) < width:
                short.append(len(kept))
                cells = cells + [""] * (width - len(cells))
            kept.append(cells[:width])
            lines.append(row.line)
            spans.append((row.start, row.stop))
    columns = [pa.array(column, pa.string()) for column in zip(*kept, strict=True)] if kept else []
    columns = columns or [pa.array([], pa.string()) for _ in headings]

    def raw_row(i: int) -> str:
        return text[spans[i][0] : spans[i][1]]

    return Grid(headings, head.line, delimiter, columns, np.array(lines, dtype=np.int64), raw_row, short, misfits)


@contextmanager
def _uncollected() -> Iterator[None]:
    """Without the search for cycles, which goes through all rows again and again, and finds none."""
    was = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was:
            gc.enable()


def _misfit(cells: list[str] | None, headings: list[str], raw: str, delimiter: str) -> tuple[str, str, str] | None:
    """Why a row does not fit its file, if so: code, value, reason."""
    if raw and texts.DAMAGE.search(raw):
        cell = next((c for c in cells or [raw] if texts.DAMAGE.search(c)), raw)
        return "bad-bytes", cell, "some bytes of this row are no letters in the file's encoding"
    if "\0" in raw:
        cell = next((c for c in cells or [raw] if "\0" in c), raw)
        return "control-character", cell, "the row holds a NUL character"
    if cells is None:
        return "open-quote", raw[raw.find('"') :], "a double quote is not closed, or has text after it"
    extra = cells[len(headings) :]
    if any(cell.strip() for cell in extra):
        reason = f"the row has {len(cells)} values for {len(headings)} columns"
        return "too-many-values", delimiter.join(extra), reason
    return None


def body_start(text: str, row: Row) -> int:
    """Where the row below `row` begins."""
    found = _LINE_END.match(text, row.stop)
    return found.end() if found else len(text)


def heading_lines(text: str, row: Row) -> int:
    """How many lines the row takes."""
    return 1 + len(_LINE_END.findall(text, row.start, row.stop))
