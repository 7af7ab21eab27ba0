"""A file as columns of text: headings, a column of cells each, the line of every row, and the rows that do not fit."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from typing import Any, NamedTuple

import numpy as np
import pyarrow as pa

from stitchlog.diary.reading import text as texts
from stitchlog.diary.reading.problems import brief
from stitchlog.diary.reading.text import DAMAGE, Row, Text
from stitchlog.diary.schema import Table
from stitchlog.errors import StitchlogError

_SEPARATOR_LINE = re.compile(r"sep=[,;\t]\s*?(\r\n|\r|\n)", re.IGNORECASE)


class Misfit(NamedTuple):
    """A row that is left out for its shape: its line, a code of the registry, the value, the reason, the row."""

    line: int
    code: str
    value: str
    reason: str
    raw: str


@dataclass(frozen=True)
class Grid:
    """headings: as written, one a column. columns: Arrow text, one a heading. lines: the line that each row begins on.
    raw: the text of a row, verbatim. short: rows with cells missing at their end."""

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


def opening(source: Text, table: Table) -> tuple[Row, list[str], str] | None:
    """The first row that is not blank, its headings, and the separator under which it names most columns of the table.

    None where nothing is in the file.
    """
    names = {heading(n) for c in table.columns for n in (c.name, *c.aliases)}
    first = _SEPARATOR_LINE.match(source.text)
    start, line = (first.end(), 2) if first else (0, 1)
    best, most, separator = None, -1, ""
    for delimiter in texts.DELIMITERS:
        rows = texts.rows(source.text, delimiter, start, line)
        row = next((row for row in rows if not texts.is_blank(row.cells)), None)
        if row is None:
            return None
        known = sum(heading(cell) in names for cell in row.cells or [])
        if known > most:
            best, most, separator = row, known, delimiter
    assert best is not None
    where, want = f"{source.file}:{best.line}", ",".join(table.required)
    headings = [cell.replace(DAMAGE, "\N{REPLACEMENT CHARACTER}").strip() for cell in best.cells or []]
    if not most:
        says = brief(" ".join(headings))
        # Under its own separator the row has more headings that look like columns.
        cuts = ([cell.strip() for cell in " ".join(best.cells or []).split(d)] for d in texts.DELIMITERS)
        headings = max(headings, *cuts, key=lambda cut: len(looks_like(cut, table)))
        raise StitchlogError(
            f'{where}: the first row, "{says}", does not name the columns; {_likely(headings, table)}rename its '
            f"headings to at least {want}"
        )
    have = set(map(heading, headings))
    for column in table.columns:
        if column.required and not {heading(n) for n in (column.name, *column.aliases)} & have:
            raise StitchlogError(
                f"{where}: there is no column {column.name}; {_likely(headings, table, have)}the first row must "
                f"name at least {want}"
            )
    while not headings[-1]:
        headings.pop()
    return best, headings, separator


def _likely(written: list[str], table: Table, known: Iterable[str] = ()) -> str:
    """What headings that are no columns look like, as advice: import the file, or rename them."""
    alike = [f'"{text}" looks like {name}' for text, name in looks_like(written, table) if name not in set(known)]
    return f"{'; '.join(alike)}: import the file from another place (stitchlog import), or " if alike else ""


def looks_like(written: Iterable[str], table: Table) -> list[tuple[str, str]]:
    """Headings that are no columns of the table, each with the column that its words, in six languages, stand for."""
    from stitchlog.diary import headings

    names = {heading(n) for c in table.columns for n in (c.name, *c.aliases)}
    among = headings.PIECE if table.name == "pieces" else headings.SESSION
    found = []
    for text in written:
        if text and heading(text) not in names:
            name, sure = headings.meaning(text, among)
            # A word among others says too little here.
            if sure != headings.AMONG and name in table.names:
                found.append((text, name))
    return found


def cut_carefully(source: Text, head: Row, headings: list[str], delimiter: str) -> Grid:
    """Row by row: what the fast way must agree with."""
    width, text = len(headings), source.text
    kept: list[list[str]] = []
    at: list[tuple[int, int, int]] = []
    short: list[int] = []
    misfits: list[Misfit] = []
    watch = DAMAGE in text or "\0" in text
    for row in texts.rows(text, delimiter, head.after, head.line_after):
        cells = row.cells
        if texts.is_blank(cells):
            continue
        if watch or cells is None or len(cells) > width:
            raw = text[row.start : row.stop]
            wrong = _misfit(cells, width, raw, delimiter)
            if wrong:
                misfits.append(Misfit(row.line, *wrong, raw))
                continue
        assert cells is not None
        if len(cells) < width:
            short.append(len(kept))
            cells = cells + [""] * (width - len(cells))
        kept.append(cells[:width])
        at.append((row.line, row.start, row.stop))
    columns = [pa.array([cells[i] for cells in kept], pa.string()) for i in range(width)]
    lines = np.array([line for line, _, _ in at], dtype=np.int64)
    return Grid(headings, head.line, delimiter, columns, lines, lambda i: text[slice(*at[i][1:])], short, misfits)


def _misfit(cells: list[str] | None, width: int, raw: str, delimiter: str) -> tuple[str, str, str] | None:
    """Why a row does not fit its file, if so: code, value, reason."""
    for letter, code, reason in (
        (DAMAGE, "bad-bytes", "some bytes of this row are no letters in the file's encoding"),
        ("\0", "control-character", "the row holds a NUL character"),
    ):
        if letter in raw:
            return code, next((cell for cell in cells or [] if letter in cell), raw), reason
    if cells is None:
        return "open-quote", raw[raw.find('"') :], "a double quote is not closed, or has text after it"
    extra = cells[width:]
    if any(cell.strip() for cell in extra):
        reason = f"the row has {len(cells)} values for {width} columns"
        return "too-many-values", delimiter.join(extra), reason
    return None
