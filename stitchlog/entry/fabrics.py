"""A cut of fabric added to fabrics.csv."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

from stitchlog.diary import names, schema
from stitchlog.entry import asking
from stitchlog.entry.csvfile import Cell
from stitchlog.entry.writing import change
from stitchlog.errors import StitchlogError


def add_fabric(folder: str | Path, name: str, *, today: dt.date, **cells: Cell) -> str:
    """Append a cut to fabrics.csv and say which, in a line.

    cells: its columns besides the name; measures in centimetres, or with their unit (`18 in`). Raises StitchlogError
    where one cannot be read; then nothing is changed.
    """
    called = names.tidy(name)
    if not called:
        raise StitchlogError("the fabric has no name; write what you call it")
    with change(folder, today, f"fabric {called}") as files:
        before = files.read()
        typed = asking.cells_typed(schema.FABRICS, {c: v or None for c, v in cells.items()}, decimal_comma=False)
        files.append_rows(schema.FABRICS.file, [{"name": called, **typed}])
        asking.refuse_errors(before, files.read())
    return f"Added to the drawer: {called}"
