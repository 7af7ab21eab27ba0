"""Cutting a large, regular file into columns at once. Where it is not regular, `grid` goes row by row."""

from __future__ import annotations

import codecs
from functools import cached_property

import numpy as np
import pyarrow as pa
import pyarrow.compute as pc
from pyarrow import csv as pacsv

from stitchlog.reading.grid import Grid, body_start, heading_lines
from stitchlog.reading.text import Row, Text

_QUOTE, _LF, _CR = 34, 10, 13


def cut_fast(source: Text, head: Row, headings: list[str], delimiter: str) -> Grid | None:
    """The same grid as the careful way gives, or None where only that can tell."""
    body = _Body(source, head)
    if not len(body) or source.data.find(b"\0") >= 0 or not body.quotes_are_regular(delimiter):
        return None
    if source.data.startswith(codecs.BOM_UTF8, body.begin):
        return None  # the library would take it for the mark of a file
    assert head.cells is not None
    names = [str(i) for i in range(len(head.cells))]
    try:
        table = pacsv.read_csv(
            pa.BufferReader(body.buffer),
            read_options=pacsv.ReadOptions(column_names=names, block_size=1 << 22),
            parse_options=pacsv.ParseOptions(
                delimiter=delimiter,
                newlines_in_values=body.breaks_in_quotes,
                ignore_empty_lines=False,
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
    lines = body.lines(table.num_rows)
    if lines is None:
        return None
    beyond = table.columns[len(headings) :]
    if any(pc.any(pc.not_equal(pc.utf8_trim_whitespace(column), "")).as_py() for column in beyond):
        return None
    return Grid(headings, head.line, delimiter, table.columns[: len(headings)], lines, body.raw)


class _Body:
    """What stands below the headings, as UTF-8, without the line ends behind the last row."""

    def __init__(self, source: Text, head: Row) -> None:
        data = source.data
        self.data = data
        self.begin = len(source.opening[: body_start(source.opening, head)].encode("utf-8"))
        self.end = len(data)
        while self.end > self.begin and data[self.end - 1] in (_LF, _CR):
            self.end -= 1
        self.first_line = head.line + heading_lines(source.opening, head)
        self.quoted = data.find(b'"', self.begin, self.end) >= 0

    def __len__(self) -> int:
        return self.end - self.begin

    @cached_property
    def buffer(self) -> pa.Buffer:
        return pa.py_buffer(self.data).slice(self.begin, len(self))

    @cached_property
    def bytes(self) -> np.ndarray:
        return np.frombuffer(self.buffer, dtype=np.uint8)

    @cached_property
    def quotes(self) -> np.ndarray:
        return np.flatnonzero(self.bytes == _QUOTE) if self.quoted else np.empty(0, dtype=np.int64)

    def quotes_are_regular(self, delimiter: str) -> bool:
        """Whether every quote opens or closes a whole cell, or is one of a pair inside it."""
        if not self.quoted:
            return True
        at = self.quotes
        if len(at) % 2:
            return False
        opening, closing = at[0::2], at[1::2]
        edges = np.array([ord(delimiter), _LF, _CR, _QUOTE], dtype=np.uint8)
        before = self.bytes[np.maximum(opening - 1, 0)]
        after = self.bytes[np.minimum(closing + 1, len(self) - 1)]
        first, last = opening == 0, closing == len(self) - 1
        return bool(np.all(first | np.isin(before, edges)) and np.all(last | np.isin(after, edges)))

    @cached_property
    def line_ends(self) -> np.ndarray:
        """Where each line ends; at its LF where it has both CR and LF."""
        ends = np.flatnonzero((self.bytes == _LF) | (self.bytes == _CR))
        pair = (self.bytes[ends] == _CR) & (self.bytes[np.minimum(ends + 1, len(self) - 1)] == _LF)
        return ends[~pair]

    @cached_property
    def starts(self) -> np.ndarray:
        """Where each row begins: behind every line end that stands outside quotes."""
        ends = self.line_ends
        if self.quoted:
            ends = ends[np.searchsorted(self.quotes, ends) % 2 == 0]
        return np.concatenate([np.zeros(1, dtype=np.int64), ends + 1])

    def lines(self, rows: int) -> np.ndarray | None:
        """The line that each row begins on; None where the rows found are not the rows counted."""
        # Without line ends in quotes a row is a line, blank ones too.
        if not self.breaks_in_quotes:
            return np.arange(self.first_line, self.first_line + rows, dtype=np.int64)
        if len(self.starts) != rows:
            return None
        return self.first_line + np.searchsorted(self.line_ends, self.starts).astype(np.int64)

    def raw(self, row: int) -> str:
        start = self.starts[row]
        stop = self.starts[row + 1] if row + 1 < len(self.starts) else len(self)
        return self.data[self.begin + start : self.begin + stop].decode("utf-8").rstrip("\r\n")

    @cached_property
    def breaks_in_quotes(self) -> bool:
        return self.quoted and len(self.starts) <= len(self.line_ends)
