"""A spreadsheet file as plain cells: `.xlsx`, `.xlsm`, `.xls`, `.xlsb`, `.ods`, `.csv`, `.tsv`. It is only ever read.

Formulas count by the value stored with them; macros, links to other files and charts are never followed.
"""

from __future__ import annotations

import datetime as dt
import io
import zipfile
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from stitchlog.diary.reading import text as texts
from stitchlog.errors import StitchlogError

Value = str | float | int | bool | dt.date | dt.datetime | dt.time | dt.timedelta

WORKBOOKS = (".xlsx", ".xlsm", ".xlsb", ".xls", ".ods")
TEXTS = (".csv", ".tsv", ".txt")

# What a workbook may come to, unpacked, and how far its parts may be packed: more is no stitcher's diary.
_MOST_BYTES = 600_000_000
_MOST_PACKED = 300
_MOST_CELLS = 20_000_000
# Rows of a text file that show which separator it has.
_SAMPLE = 50


@dataclass(frozen=True)
class Sheet:
    """One sheet: its name and its rows of values ('' where empty), from its first row and column on.

    merged: the ranges of merged cells as (first row, first column, last row, last column), counted from 0.
    """

    name: str
    rows: list[list[Value]]
    merged: tuple[tuple[int, int, int, int], ...] = ()


def column_letter(column: int) -> str:
    """The letter of a column counted from 0.

    >>> column_letter(0), column_letter(27)
    ('A', 'AB')
    """
    letters = ""
    column += 1
    while column:
        column, rest = divmod(column - 1, 26)
        letters = chr(65 + rest) + letters
    return letters


def open_sheets(path: Path) -> list[Sheet]:
    """The sheets of a file that hold anything. Raises StitchlogError, one line, where it cannot be read."""
    try:
        data = path.read_bytes()
    except FileNotFoundError:
        raise StitchlogError(f"{path}: there is no such file") from None
    except OSError as err:
        raise StitchlogError(f"{path}: cannot be read: {err.strerror}; close it elsewhere or copy it") from None
    kind = path.suffix.casefold()
    if kind in TEXTS:
        sheets = [_of_text(data, path)]
    elif kind in WORKBOOKS or data[:2] in (b"PK", b"\xd0\xcf"):
        sheets = _of_workbook(data, path)
    else:
        raise StitchlogError(f"{path.name}: is not a spreadsheet; give a {', '.join(WORKBOOKS)}, .csv or .tsv file")
    return [sheet for sheet in sheets if sheet.rows]


def _of_workbook(data: bytes, path: Path) -> list[Sheet]:
    import python_calamine as calamine

    _safe_to_unpack(data, path)
    try:
        book = calamine.CalamineWorkbook.from_filelike(io.BytesIO(data))
        sheets = []
        for about in book.sheets_metadata:
            # Charts and macro sheets hold no table.
            if about.typ == calamine.SheetTypeEnum.WorkSheet:
                sheets.append(_of_sheet(book.get_sheet_by_name(about.name), about.name, path))
        return sheets
    except calamine.PasswordError:
        raise StitchlogError(f"{path.name}: has a password; save a copy without one, and import that") from None
    except (calamine.CalamineError, calamine.XmlError, calamine.ZipError, OSError, ValueError) as err:
        if b"E\0n\0c\0r\0y\0p\0t" in data[:1_000_000] or "password" in str(err).casefold():
            raise StitchlogError(f"{path.name}: has a password; save a copy without one, and import that") from None
        why = " ".join(str(err).split())[:120]
        raise StitchlogError(f"{path.name}: cannot be read as a workbook ({why}); save it again, or as CSV") from None


def _safe_to_unpack(data: bytes, path: Path) -> None:
    if data[:2] != b"PK":
        return
    try:
        parts = zipfile.ZipFile(io.BytesIO(data)).infolist()
    except (zipfile.BadZipFile, ValueError, OSError):
        raise StitchlogError(f"{path.name}: is damaged; open it in the spreadsheet and save it again") from None
    size = sum(part.file_size for part in parts)
    if size > _MOST_BYTES or (size > _MOST_BYTES / 10 and size > _MOST_PACKED * len(data)):
        raise StitchlogError(
            f"{path.name}: is far too large when unpacked; save the sheet with your sessions on its own"
        )


def _of_sheet(sheet: object, name: str, path: Path) -> Sheet:
    if sheet.total_height * max(sheet.total_width, 1) > _MOST_CELLS:  # type: ignore[attr-defined]
        raise StitchlogError(f'{path.name}: sheet "{name}" has too many cells; save the rows you use on their own')
    rows = sheet.to_python(skip_empty_area=False)  # type: ignore[attr-defined]
    try:
        ranges = sheet.merged_cell_ranges or []  # type: ignore[attr-defined]
    except Exception:
        # Some kinds of file do not say which cells are merged.
        ranges = []
    merged = tuple((*first, *last) for first, last in ranges if first != last)
    return Sheet(name, _trimmed(rows), merged)


def _of_text(data: bytes, path: Path) -> Sheet:
    text = texts.decode(data, path.name).text
    first = text.partition("\n")[0].strip()
    head = first if first.casefold().startswith("sep=") and len(first) == 5 else ""
    delimiter = head[4:] or _delimiter(text)
    rows: list[list[Value]] = []
    for row in texts.rows(text, delimiter):
        # Lines are the file's own, so that a place can be named.
        rows += [[] for _ in range(row.line - 1 - len(rows))]
        cells = row.cells if row.cells is not None else text[row.start : row.stop].split(delimiter)
        rows.append([cell.strip() for cell in cells])
    if head and rows:
        rows[0] = []
    return Sheet(path.stem, _trimmed(rows))


def _delimiter(text: str) -> str:
    """The separator that cuts most rows into the same number of cells, more than one."""

    def regular(delimiter: str) -> tuple[int, int]:
        widths: dict[int, int] = {}
        for row, _ in zip(texts.rows(text, delimiter), range(_SAMPLE), strict=False):
            width = len(row.cells or [])
            if width > 1:
                widths[width] = widths.get(width, 0) + 1
        best = max(widths.items(), key=lambda item: (item[1], item[0]), default=(0, 0))
        return best[1], best[0]

    return max(texts.DELIMITERS, key=regular)


def _trimmed(rows: Iterable[list[Value]]) -> list[list[Value]]:
    """Rows without the empty ones at the end, nor empty cells at theirs; blank text is empty."""
    out: list[list[Value]] = []
    last = 0
    for row in rows:
        cells = ["" if isinstance(cell, str) and not cell.strip() else cell for cell in row]
        while cells and cells[-1] == "" and isinstance(cells[-1], str):
            cells.pop()
        out.append(cells)
        if cells:
            last = len(out)
    return out[:last]
