"""From a file's bytes to text, rows and cells: encodings, separators, line ends, quotes. Lines are the file's own."""

from __future__ import annotations

import codecs
import re
from collections.abc import Iterator
from dataclasses import dataclass

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
    """A file's text. mark: the byte order mark that it began with. damaged: whether some bytes were no letters."""

    file: str
    text: str
    encoding: str
    mark: bytes = b""
    damaged: bool = False

    @property
    def newline(self) -> str:
        """The file's own line end; that of the system's spreadsheets (CRLF) where it has none."""
        found = _LINE_END.search(self.text)
        return found[0] if found else "\r\n"


@dataclass(frozen=True)
class Row:
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
    try:
        return Text(file, data.decode("utf-8"), "utf-8")
    except UnicodeDecodeError:
        pass
    damaged = data.decode("utf-8", "stitchlog-damage")
    wrong = damaged.count("\udcff")
    right = sum(len(run) for run in re.findall(r"[^\x00-\x7f\udcff]+", damaged))
    if right >= wrong:
        return Text(file, damaged, "utf-8", damaged=True)
    return _decoded(data, file, "cp1252", b"")


def _decoded(data: bytes, file: str, encoding: str, mark: bytes) -> Text:
    try:
        return Text(file, data.decode(encoding), encoding, mark)
    except UnicodeDecodeError:
        return Text(file, data.decode(encoding, "stitchlog-damage"), encoding, mark, damaged=True)


def rows(text: str, delimiter: str, start: int = 0, line: int = 1) -> Iterator[Row]:
    """The rows of `text`, blank ones too. A quote that is not closed spoils its own line only."""
    at, size = start, len(text)
    while at < size:
        end = _LINE_END.search(text, at)
        stop, after = (end.start(), end.end()) if end else (size, size)
        if text.find('"', at, stop) < 0:
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
    return cells is not None and not any(cell.strip() for cell in cells)
