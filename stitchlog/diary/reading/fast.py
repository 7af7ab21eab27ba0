"""Cutting a large, regular file into columns at once. Where it is not regular, `grid` goes row by row."""

from __future__ import annotations

from functools import cached_property

import numpy as np
import pyarrow as pa
import pyarrow.compute as pc
from pyarrow import csv as pacsv

from stitchlog.diary.reading.grid import Grid
from stitchlog.diary.reading.text import DAMAGE, Row, Text

_QUOTE, _LF, _CR = 34, 10, 13


def cut_fast(source: Text, head: Row, headings: list[str], delimiter: str) -> Grid | None:
    """The grid as the full reader gives it, or None where only the full reader can decide."""
    text = source.text
    # The library would take a mark at the beginning for that of a file.
    if DAMAGE in text or "\0" in text or text.startswith("\ufeff", head.after):
        return None
    body = _Body(source, head.after)
    if not len(body.data) or not body.quotes_are_regular(delimiter):
        return None
    names = [str(i) for i in range(len(head.cells or []))]
    try:
        table = pacsv.read_csv(
            pa.BufferReader(body.data),
            read_options=pacsv.ReadOptions(column_names=names, block_size=1 << 22),
            parse_options=pacsv.ParseOptions(
                delimiter=delimiter, newlines_in_values=body.breaks_in_quotes, ignore_empty_lines=False
            ),
            convert_options=pacsv.ConvertOptions(
                column_types=dict.fromkeys(names, pa.string()),
                strings_can_be_null=False,
                quoted_strings_can_be_null=False,
                check_utf8=False,
            ),
        )
    except pa.ArrowInvalid:
        return None
    beyond = table.columns[len(headings) :]
    if any(pc.any(pc.not_equal(pc.utf8_trim_whitespace(column), "")).as_py() for column in beyond):
        return None
    lines = np.arange(table.num_rows)
    if body.breaks_in_quotes:
        if len(body.starts) != table.num_rows:
            return None
        lines = np.searchsorted(body.line_ends, body.starts)
    kept = _not_blank(table.columns, table.num_rows)
    columns = table.columns[: len(headings)]
    if len(kept) < table.num_rows:
        columns = [column.take(kept) for column in columns]
    return Grid(headings, head.line, delimiter, columns, head.line_after + lines[kept], lambda i: body.raw(kept[i]))


def _not_blank(columns: list[pa.ChunkedArray], rows: int) -> np.ndarray:
    """Rows that hold more than blanks."""
    blank = np.arange(rows)
    for column in columns:
        cells = column if len(blank) == rows else column.take(blank)
        blank = blank[np.asarray(pc.or_(pc.equal(cells, ""), pc.utf8_is_space(cells)))]
        if not len(blank):
            return np.arange(rows)
    return np.delete(np.arange(rows), blank)


class _Body:
    """What stands below the headings, as UTF-8, without the line ends behind the last row."""

    def __init__(self, source: Text, begin: int) -> None:
        whole = source.utf8
        start, stop = len(source.text[:begin].encode()), len(whole)
        while stop > start and whole[stop - 1] in (_LF, _CR):
            stop -= 1
        self.data = memoryview(whole)[start:stop]
        self.bytes = np.frombuffer(self.data, dtype=np.uint8)
        self.quotes = np.flatnonzero(self.bytes == _QUOTE) if b'"' in whole else np.empty(0, dtype=np.int64)

    def quotes_are_regular(self, delimiter: str) -> bool:
        """Whether every quote opens or closes a whole cell, or is one of a pair inside it."""
        opening, closing = self.quotes[0::2], self.quotes[1::2]
        if len(opening) != len(closing):
            return False
        edges = np.array([ord(delimiter), _LF, _CR, _QUOTE], dtype=np.uint8)
        before = self.bytes[np.maximum(opening - 1, 0)]
        after = self.bytes[np.minimum(closing + 1, len(self.data) - 1)]
        opens = (opening == 0) | np.isin(before, edges)
        return bool(np.all(opens) and np.all((closing == len(self.data) - 1) | np.isin(after, edges)))

    @cached_property
    def line_ends(self) -> np.ndarray:
        """Where each line ends; at its LF where it has both CR and LF."""
        ends = np.flatnonzero((self.bytes == _LF) | (self.bytes == _CR))
        pair = (self.bytes[ends] == _CR) & (self.bytes[np.minimum(ends + 1, len(self.data) - 1)] == _LF)
        return np.asarray(ends[~pair])

    @cached_property
    def starts(self) -> np.ndarray:
        """Where each row begins: behind every line end that stands outside quotes."""
        outside = self.line_ends[np.searchsorted(self.quotes, self.line_ends) % 2 == 0]
        return np.append(0, outside + 1)

    @cached_property
    def breaks_in_quotes(self) -> bool:
        return len(self.quotes) > 0 and len(self.starts) <= len(self.line_ends)

    def raw(self, row: int) -> str:
        stop = self.starts[row + 1] if row + 1 < len(self.starts) else len(self.data)
        return str(self.data[self.starts[row] : stop], "utf-8").rstrip("\r\n")
