"""A sheet's rows made ready to be understood: merged cells filled, years added to days that lack theirs."""

from __future__ import annotations

import datetime as dt

from stitchlog.diary import headings
from stitchlog.entry.importing import days
from stitchlog.entry.importing.layout import at, texts_of
from stitchlog.entry.importing.workbook import Sheet, Value

# Rows from the top in which days may stand side by side.
_TOP = 40


def prepared(sheet: Sheet) -> Sheet:
    """The sheet with these changes; its places stay as they are."""
    rows = _filled(sheet)
    _add_year(sheet, rows)
    return Sheet(sheet.name, rows, sheet.merged)


def _filled(sheet: Sheet) -> list[list[Value]]:
    """The rows with merged cells holding their text or day in each of them; numbers count once."""
    rows = [list(row) for row in sheet.rows]
    for top, left, bottom, right in sheet.merged:
        value = at(rows, top, left)
        # A title over several columns stays one cell.
        if left == right and isinstance(value, str | dt.date) and value != "":
            for r in range(top, min(bottom + 1, len(rows))):
                rows[r] += [""] * (right + 1 - len(rows[r]))
                rows[r][left] = value
    return rows


def _add_year(sheet: Sheet, rows: list[list[Value]]) -> None:
    """Days written without their year get the one that the sheet's name or its first lines say."""
    year = headings.month_of(sheet.name)[0]
    for row in rows[:3]:
        year = year or next((headings.month_of(text)[0] for _, text in texts_of(row) if len(texts_of(row)) == 1), None)
    if not year:
        return
    lines = [[(r, c) for r in range(len(rows))] for c in range(max(map(len, rows), default=0))]
    lines += [[(r, c) for c in range(len(rows[r]))] for r in range(min(len(rows), _TOP))]
    for line in lines:
        there = [(r, c, v) for r, c in line if isinstance(v := at(rows, r, c), str) and v.strip()]
        bare = [(r, c, text) for r, c, text in there if days.lacks_year(text)]
        if len(bare) >= 2 and len(bare) * 2 >= len(there):
            for r, c, text in bare:
                rows[r][c] = days.with_year(text, year)
