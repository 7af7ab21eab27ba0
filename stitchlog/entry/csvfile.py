"""One CSV file with rows added and cells changed, every byte that is not theirs left as it was."""

from __future__ import annotations

import csv
import datetime as dt
import io
from collections.abc import Mapping

from stitchlog.diary import names, schema
from stitchlog.diary.reading import text as texts
from stitchlog.diary.reading.grid import heading, opening
from stitchlog.errors import StitchlogError

# A cell as it is given: numbers are written with the file's own decimal mark, days as 2026-10-31, None as nothing.
Cell = str | float | int | dt.date | None


class CsvFile:
    """The text of one table's file while it is changed. `bytes` is what to write."""

    def __init__(self, file: str, data: bytes | None) -> None:
        self.file = file
        self.table = next(table for table in schema.TABLES if table.file == file)
        data = data or b""
        source = texts.decode(data, file)
        self._mark = source.mark
        self._encoding = source.encoding
        # Bytes that are no letters are carried through as they are.
        self._errors = "surrogatepass" if "16" in source.encoding or "32" in source.encoding else "surrogateescape"
        try:
            self.text = data[len(self._mark) :].decode(self._encoding, self._errors)
        except UnicodeError:
            raise StitchlogError(f"{file}: is damaged; open it in the spreadsheet and save it as CSV (UTF-8)") from None
        self._newline = source.newline
        if opening(source, self.table) is None:
            self.text = ",".join(self.table.names) + self._newline
        self._open()

    def _open(self) -> None:
        found = opening(texts.Text(self.file, self.text, self._encoding), self.table)
        assert found is not None
        self.head, self.headings, self.delimiter = found
        by_heading = {heading(n): c.name for c in self.table.columns for n in (c.name, *c.aliases)}
        bound = [by_heading.get(heading(written), heading(written)) for written in self.headings]
        self._at = {name: place for place, name in reversed(list(enumerate(bound)))}

    @property
    def bytes(self) -> bytes:
        """The file as it is to be written. Raises StitchlogError where its encoding has no such letter."""
        try:
            return self._mark + self.text.encode(self._encoding, self._errors)
        except UnicodeEncodeError as err:
            letter = self.text[err.start]
            raise StitchlogError(
                f"{self.file} is not UTF-8 and cannot hold {letter}; save it as CSV (UTF-8) once"
            ) from None

    def append(self, cells: Mapping[str, Cell]) -> None:
        """Add a row at the end."""
        placed = self._placed(cells)
        whole = self._quotes_all()
        row = [self._quoted(placed.get(place, ""), always=whole) for place in range(len(self.headings))]
        line = self.delimiter.join(row)
        closed = self.text.endswith(("\n", "\r")) or not self.text
        self.text += ("" if closed else self._newline) + line + self._newline

    def change(self, key: Mapping[str, str] | int, cells: Mapping[str, Cell]) -> bool:
        """Give cells of one row new values. Whether there is such a row.

        key: the line that the row begins on, or column -> name: the first row with these (compared as names).
        """
        if self._find(key) is None:
            return False
        placed = self._placed(cells)
        row = self._find(key)
        assert row is not None and row.cells is not None
        spans = texts.spans(self.text, row, self.delimiter)
        behind = {place: text for place, text in placed.items() if place >= len(spans)}
        if any(behind.values()):
            rest = [self._quoted(behind.get(place, "")) for place in range(len(spans), len(self.headings))]
            self._splice(row.stop, row.stop, self.delimiter + self.delimiter.join(rest))
        for place in sorted(placed.keys() - behind.keys(), reverse=True):
            start, stop = spans[place]
            if row.cells[place].strip() != placed[place].strip():
                self._splice(start, stop, self._quoted(placed[place], always=self.text[start : start + 1] == '"'))
        return True

    def remove(self, line: int) -> None:
        """Take the row that begins on this line out, its line end with it."""
        row = self._find(line)
        if row is not None:
            self._splice(row.start, row.after, "")

    def rename(self, column: str, old: str, new: str) -> None:
        """Write another name in every cell of a column that has this one (compared as names)."""
        place = self._at.get(column)
        if place is None:
            return
        found = texts.rows(self.text, self.delimiter, self.head.after, self.head.line_after)
        for row in reversed(list(found)):
            if row.cells and place < len(row.cells) and names.key_of(row.cells[place]) == names.key_of(old):
                start, stop = texts.spans(self.text, row, self.delimiter)[place]
                self._splice(start, stop, self._quoted(new, always=self.text[start : start + 1] == '"'))

    def rows(self) -> list[dict[str, str]]:
        """The rows below the headings as they are written, by column; those whose quotes are wrong are left out."""
        found = []
        for row in texts.rows(self.text, self.delimiter, self.head.after, self.head.line_after):
            if row.cells is not None and not texts.is_blank(row.cells):
                found.append({n: row.cells[p] if p < len(row.cells) else "" for n, p in self._at.items()})
        return found

    def written(self, value: Cell) -> str:
        """A value as this file has it."""
        if value is None:
            return ""
        if isinstance(value, str):
            return value
        if isinstance(value, dt.date):
            return value.isoformat()[:10]
        return f"{value:.10g}".replace(".", "," if self.delimiter == ";" else ".")

    def _find(self, key: Mapping[str, str] | int) -> texts.Row | None:
        found = texts.rows(self.text, self.delimiter, self.head.after, self.head.line_after)
        if isinstance(key, int):
            return next((row for row in found if row.line == key and row.cells), None)
        places = {self._at.get(self._name(name), -1): names.key_of(value) for name, value in key.items()}
        if -1 in places:
            return None
        for row in found:
            cells = row.cells
            if cells and all(p < len(cells) and names.key_of(cells[p]) == value for p, value in places.items()):
                return row
        return None

    def _name(self, name: str) -> str:
        return name if name in self._at else heading(name)

    def _placed(self, cells: Mapping[str, Cell]) -> dict[int, str]:
        """Place -> text of the cells, the file given the columns that it has not yet and that get a value."""
        texts_of = {name: self.written(value) for name, value in cells.items()}
        for name, text in texts_of.items():
            if text and self._name(name) not in self._at:
                self._add_column(name)
        return {self._at[self._name(n)]: text for n, text in texts_of.items() if self._name(n) in self._at}

    def _add_column(self, name: str) -> None:
        """A column behind the others, with an empty cell in every row that was not short already."""
        width, delimiter = len(self.headings), self.delimiter
        spare = texts.spans(self.text, self.head, delimiter)[width : width + 1]
        title = self._quoted(name, always=self._quotes_all())
        pieces: list[str] = []
        at = 0
        for row in texts.rows(self.text, delimiter, self.head.start, self.head.line):
            cells, spans = row.cells, texts.spans(self.text, row, delimiter)
            if cells is None or texts.is_blank(cells):
                continue
            if row.start == self.head.start:
                where, added = (spare[0], title) if spare else ((row.stop, row.stop), delimiter + title)
            elif len(cells) == width:
                where, added = (row.stop, row.stop), delimiter
            elif any(map(str.strip, cells[width:])):
                # A value too many stays one too many, and does not become one of the new column.
                where, added = (spans[width][0],) * 2, delimiter
            else:
                continue
            pieces += [self.text[at : where[0]], added]
            at = where[1]
        self.text = "".join([*pieces, self.text[at:]])
        self._open()

    def _splice(self, start: int, stop: int, text: str) -> None:
        self.text = self.text[:start] + text + self.text[stop:]

    def _quotes_all(self) -> bool:
        spans = texts.spans(self.text, self.head, self.delimiter)
        return all(self.text.startswith('"', start) for start, _ in spans)

    def _quoted(self, cell: str, always: bool = False) -> str:
        if always:
            return '"' + cell.replace('"', '""') + '"'
        out = io.StringIO()
        # The writer quotes line ends in cells only where they are in the line end that it is given.
        csv.writer(out, delimiter=self.delimiter, lineterminator="\r\n").writerow([cell, ""])
        return out.getvalue().removesuffix("\r\n").removesuffix(self.delimiter)
