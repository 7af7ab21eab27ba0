"""From a file's bytes to text, rows and cells: encodings, separators, line ends, quotes. Lines are the file's own."""

from __future__ import annotations

import codecs
import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

from stitchlog.errors import StitchlogError

# So much of a large file is looked at to find its headings.
_OPENING = 1 << 16
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
_MARKS = (
    (codecs.BOM_UTF8, "utf-8"),
    (codecs.BOM_UTF32_LE, "utf-32-le"),
    (codecs.BOM_UTF32_BE, "utf-32-be"),
    (codecs.BOM_UTF16_LE, "utf-16-le"),
    (codecs.BOM_UTF16_BE, "utf-16-be"),
)
# Stands for bytes that are no letter in the file's encoding, so that the row that holds them can be told.
DAMAGE = re.compile("[\udc80-\udcff]")
_LINE_END = re.compile(r"\r\n|\r|\n")
# Possessive, so that a quote that is never closed costs one pass and no more.
_QUOTED = re.compile(r'"([^"]*+(?:""[^"]*+)*+)"')


def _mark_damage(error: UnicodeError) -> tuple[str, int]:
    assert isinstance(error, UnicodeDecodeError)
    return "\udcff", error.end


codecs.register_error("stitchlog-damage", _mark_damage)


@dataclass(frozen=True)
class Text:
    """A file's text.

    data: the text as UTF-8. encoding, mark: how the file has it, and the byte order mark that it begins with.
    damaged_text: the text itself where some bytes were no letters; `data` is empty then.
    """

    file: str
    data: bytes
    encoding: str
    mark: bytes = b""
    damaged_text: str | None = None

    @property
    def damaged(self) -> bool:
        return self.damaged_text is not None

    @cached_property
    def text(self) -> str:
        return self.data.decode("utf-8") if self.damaged_text is None else self.damaged_text

    @cached_property
    def opening(self) -> str:
        """The text where it is short, else its first lines."""
        if self.damaged_text is not None or len(self.data) <= 2 * _OPENING:
            return self.text
        return self.data[:_OPENING].decode("utf-8", "ignore")

    @property
    def newline(self) -> str:
        """The file's own line end; that of spreadsheets (CRLF) where it has none."""
        found = _LINE_END.search(self.opening)
        return found[0] if found else "\r\n"


class Row(NamedTuple):
    """One row: the line it begins on, its cells (None: its quotes are wrong), and where it stands in the text."""

    line: int
    cells: list[str] | None
    start: int
    stop: int


def decode(data: bytes, file: str) -> Text:
    """The text of `data`. Raises StitchlogError where it is no text at all."""
    for magic, what in _FOREIGN.items():
        if data.startswith(magic):
            raise StitchlogError(f"{file}: is {what}, not CSV; save it as CSV (UTF-8) from the spreadsheet")
    for mark, encoding in _MARKS:
        if data.startswith(mark):
            return _decoded(data[len(mark) :], file, encoding, mark)
    if data.count(b"\0", 0, 4096) * 4 > len(data[:4096]) > 0:
        raise StitchlogError(f"{file}: is not text that can be read; save it as CSV (UTF-8) from the spreadsheet")
    if data.isascii() or _is_utf8(data):
        return Text(file, data, "utf-8")
    damaged = data.decode("utf-8", "stitchlog-damage")
    wrong = damaged.count("\udcff")
    right = sum(len(run) for run in re.findall(r"[^\x00-\x7f\udcff]+", damaged))
    if right >= wrong:
        return Text(file, b"", "utf-8", damaged_text=damaged)
    return _decoded(data, file, "cp1252", b"")


def _is_utf8(data: bytes) -> bool:
    try:
        data.decode("utf-8")
    except UnicodeDecodeError:
        return False
    return True


def _decoded(data: bytes, file: str, encoding: str, mark: bytes) -> Text:
    if encoding == "utf-8" and _is_utf8(data):
        return Text(file, data, encoding, mark)
    try:
        return Text(file, data.decode(encoding).encode("utf-8"), encoding, mark)
    except UnicodeError:
        return Text(file, b"", encoding, mark, damaged_text=data.decode(encoding, "stitchlog-damage"))


def rows(text: str, delimiter: str, start: int = 0, line: int = 1) -> Iterator[Row]:
    """The rows of `text`, blank ones too. A quote that is not closed spoils its own line only."""
    at, size, opens = start, len(text), delimiter + '"'
    while at < size:
        end = _LINE_END.search(text, at)
        stop, after = (end.start(), end.end()) if end else (size, size)
        # A quote counts only where a cell begins with it.
        if text.find(opens, at, stop) < 0 and not text.startswith('"', at):
            yield Row(line, text[at:stop].split(delimiter), at, stop)
            at, line = after, line + 1
            continue
        cells, closed = _quoted_row(text, at, delimiter)
        if cells is None:
            yield Row(line, None, at, stop)
            at, line = after, line + 1
            continue
        yield Row(line, cells, at, closed)
        line += 1 + len(_LINE_END.findall(text, at, closed))
        end = _LINE_END.match(text, closed)
        at = end.end() if end else size


def _quoted_row(text: str, at: int, delimiter: str) -> tuple[list[str] | None, int]:
    """The cells of a row with quotes in it and where it ends; None where a quote is open or has text after it."""
    cells: list[str] = []
    plain = re.compile(rf"[^{re.escape(delimiter)}\r\n]*")
    size = len(text)
    while True:
        if text.startswith('"', at):
            found = _QUOTED.match(text, at)
            if not found:
                return None, at
            cells.append(found[1].replace('""', '"'))
            at = found.end()
            while at < size and text[at] == " ":
                at += 1
            if at < size and text[at] not in (delimiter, "\r", "\n"):
                return None, at
        else:
            bare = plain.match(text, at)
            assert bare is not None
            cells.append(bare[0])
            at = bare.end()
        if at >= size or text[at] != delimiter:
            return cells, at
        at += 1


def is_blank(cells: list[str] | None) -> bool:
    return cells is not None and not any(map(str.strip, cells))
