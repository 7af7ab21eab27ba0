"""From a file's bytes to text, rows and cells: encodings, separators, line ends, quotes. Lines are the file's own."""

from __future__ import annotations

import codecs
import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import NamedTuple

from stitchlog.errors import StitchlogError

DELIMITERS = (",", ";", "\t")

_FOREIGN = {
    b"PK\x03\x04": "a spreadsheet file",
    b"\xd0\xcf\x11\xe0": "a spreadsheet file",
    b"%PDF": "a PDF file",
    b"\x89PNG": "a picture",
    b"\xff\xd8\xff": "a picture",
    b"PAR1": "a Parquet file",
    b"\x1f\x8b": "a packed file",
}
# The mark of UTF-32 begins with that of UTF-16, so it stands first.
_MARKS = (
    (codecs.BOM_UTF8, "utf-8"),
    (codecs.BOM_UTF32_LE, "utf-32-le"),
    (codecs.BOM_UTF32_BE, "utf-32-be"),
    (codecs.BOM_UTF16_LE, "utf-16-le"),
    (codecs.BOM_UTF16_BE, "utf-16-be"),
)
# Stands for bytes that are no letter in the file's encoding, so that the row that holds them can be told.
DAMAGE = "\udcff"
_LINE_END = re.compile(r"\r\n|\r|\n")
_QUOTED = re.compile(r'"(?:[^"]++|"")*+"')


def _mark_damage(error: UnicodeError) -> tuple[str, int]:
    assert isinstance(error, UnicodeDecodeError)
    return DAMAGE, error.end


codecs.register_error("stitchlog-damage", _mark_damage)


@dataclass(frozen=True)
class Text:
    """A file's text. encoding, mark: how the file has it, and the byte order mark that it begins with.

    data: the file's bytes, where they are the text in UTF-8 and no more.
    """

    file: str
    text: str
    encoding: str
    mark: bytes = b""
    data: bytes | None = None

    @property
    def utf8(self) -> bytes:
        return self.text.encode() if self.data is None else self.data

    @property
    def newline(self) -> str:
        """The file's own line end; that of spreadsheets (CRLF) where it has none."""
        found = _LINE_END.search(self.text)
        return found[0] if found else "\r\n"


class Row(NamedTuple):
    """One row: the line it begins on, its cells (None: its quotes are wrong), and where it stands in the text.

    after, line_after: where the next row begins, and on which line.
    """

    line: int
    cells: list[str] | None
    start: int
    stop: int
    after: int
    line_after: int


def decode(data: bytes, file: str) -> Text:
    """The text of `data`: by its mark, else as UTF-8, else as Windows-1252. Bytes that are no letters become DAMAGE.

    Raises StitchlogError where it is no text at all.
    """
    for magic, what in _FOREIGN.items():
        if data.startswith(magic):
            raise StitchlogError(f"{file}: is {what}, not CSV; save it as CSV (UTF-8) from the spreadsheet")
    for mark, encoding in _MARKS:
        if data.startswith(mark):
            return Text(file, data[len(mark) :].decode(encoding, "stitchlog-damage"), encoding, mark)
    if data.count(b"\0", 0, 4096) * 4 > len(data[:4096]) > 0:
        raise StitchlogError(f"{file}: is not text that can be read; save it as CSV (UTF-8) from the spreadsheet")
    text = data.decode("utf-8", "stitchlog-damage")
    wrong = text.count(DAMAGE)
    # A file with as many letters that UTF-8 explains as bytes that it does not is UTF-8 that was damaged.
    if wrong and len(re.sub(r"[\x00-\x7f]+", "", text)) < 2 * wrong:
        return Text(file, data.decode("cp1252", "stitchlog-damage"), "cp1252")
    return Text(file, text, "utf-8", data=None if wrong else data)


def rows(text: str, delimiter: str, start: int = 0, line: int = 1) -> Iterator[Row]:
    """The rows of `text`, blank ones too. A quote that is not closed spoils its own line only."""
    at, opens = start, delimiter + '"'
    # Possessive, so that a quote that is never closed costs one pass and no more.
    cell = re.compile(rf'"((?:[^"]++|"")*+)" *(?=[{delimiter}\r\n]|\Z)|(?!")[^{delimiter}\r\n]*')
    while at < len(text):
        end = _LINE_END.search(text, at)
        stop, after = end.span() if end else (len(text), len(text))
        # A quote counts only where a cell begins with it.
        if text.find(opens, at, stop) < 0 and not text.startswith('"', at):
            row = Row(line, text[at:stop].split(delimiter), at, stop, after, line + 1)
        else:
            cells, closed = _quoted(text, at, delimiter, cell)
            if cells is None:
                row = Row(line, None, at, stop, after, line + 1)
            else:
                end = _LINE_END.match(text, closed)
                below = line + 1 + len(_LINE_END.findall(text, at, closed))
                row = Row(line, cells, at, closed, end.end() if end else len(text), below)
        yield row
        at, line = row.after, row.line_after


def _quoted(text: str, at: int, delimiter: str, cell: re.Pattern[str]) -> tuple[list[str] | None, int]:
    """The cells of a row with quotes in it and where it ends; None where a quote is open or has text after it."""
    cells: list[str] = []
    while found := cell.match(text, at):
        cells.append(found[0] if found[1] is None else found[1].replace('""', '"'))
        at = found.end()
        if not text.startswith(delimiter, at):
            return cells, at
        at += 1
    return None, at


def spans(text: str, row: Row, delimiter: str) -> list[tuple[int, int]]:
    """Where each cell of a row stands in the text, quotes included. A row whose quotes are wrong has none."""
    out: list[tuple[int, int]] = []
    if row.cells is None:
        return out
    at = row.start
    for _ in row.cells:
        quoted = _QUOTED.match(text, at) if text.startswith('"', at) else None
        stop = text.find(delimiter, quoted.end() if quoted else at, row.stop)
        out.append((at, row.stop if stop < 0 else stop))
        at = stop + 1
    return out


def is_blank(cells: list[str] | None) -> bool:
    return cells is not None and not any(map(str.strip, cells))
