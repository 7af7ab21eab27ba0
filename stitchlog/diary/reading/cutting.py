"""A file cut into columns of cells: at once where it is large and regular, row by row otherwise."""

from __future__ import annotations

from stitchlog.diary.reading.fast import cut_fast
from stitchlog.diary.reading.grid import Grid, cut_carefully, opening
from stitchlog.diary.reading.text import Text
from stitchlog.diary.schema import Table

# From this size on, text with regular rows is cut into cells by the library that reads a million rows in a blink.
FAST_FROM = 1 << 18


def cut(source: Text, table: Table) -> Grid | None:
    """The cells of a file; None where nothing is in it. Raises StitchlogError where its first row names no column."""
    found = opening(source, table)
    if found is None:
        return None
    if len(source.text) >= FAST_FROM:
        grid = cut_fast(source, *found)
        if grid is not None:
            return grid
    return cut_carefully(source, *found)
