"""Frames as tables of a page, whatever their columns are called and whether or not they have an index."""

from __future__ import annotations

import html
from typing import Any

import pandas as pd

from stitchlog.render import cells

# A table of more rows than this scrolls in a box of its own.
_TALL = 25


def plain(frame: Any) -> pd.DataFrame:
    """A frame whose columns have names and whose rows are numbered; an index that says something is a column of it.

    frame: of pandas, with any index and headings, styled or not; a series; or of a library that can turn its own into
    one (`to_pandas`).
    """
    if isinstance(frame, pd.io.formats.style.Styler):
        frame = frame.data  # type: ignore[attr-defined]
    if not isinstance(frame, pd.DataFrame | pd.Series):
        frame = frame.to_pandas()
    if isinstance(frame, pd.Series):
        frame = frame.to_frame("" if frame.name is None else frame.name)
    table: pd.DataFrame = frame
    if _is_plain(table):
        return table
    out = table.copy(deep=False)
    out.columns = pd.Index([_name(column) for column in table.columns], dtype="str")
    if not _is_numbered(table.index):
        for level in reversed(range(table.index.nlevels)):
            name = table.index.names[level]
            out.insert(0, "" if name is None else str(name), table.index.get_level_values(level), allow_duplicates=True)
    return out.reset_index(drop=True)


def to_html(
    caption: str, frame: pd.DataFrame, headings: dict[str, str] | None, shown: int, more: str, as_of: Any = None
) -> str:
    """A plain frame's first rows under their caption.

    more: the line below that says what is left out. as_of: see `cells.kind_of`.
    """
    if headings is not None:
        frame = frame[list(headings)]
    names = list(frame.columns)
    titles = list(headings.values()) if headings is not None else [name.replace("_", " ") for name in names]
    kinds = [cells.kind_of(name, frame.iloc[:, place], as_of) for place, name in enumerate(names)]
    first_names = not kinds[0].css.startswith(("num", "day"))
    head = "".join(
        f'<th scope="col"{cells.class_of(k)}>{html.escape(h)}</th>' if h else "<td></td>"
        for h, k in zip(titles, kinds, strict=True)
    )
    rows = frame.head(shown).itertuples(index=False, name=None)
    body = "".join(cells.row_of(kinds, row, first_names) for row in rows)
    return box(
        caption,
        f'<table class="data"><caption><span>{html.escape(caption)}</span></caption>'
        f"<thead><tr>{head}</tr></thead><tbody>{body}</tbody></table>{more}",
        tall=shown > _TALL,
    )


def styled(caption: str, frame: Any, shown: int, more: str) -> str:
    """A styled frame (a pandas `Styler`) with its own colours and formats."""
    table = frame.set_table_attributes('class="data"').set_caption(html.escape(caption)).to_html(max_rows=shown)
    return box(caption, table + more, tall=shown > _TALL)


def box(caption: str, table: str, tall: bool = False) -> str:
    """A table in a box that scrolls by itself and can be reached by keyboard."""
    label = html.escape(caption, quote=True)
    return f'<div class="wide{" tall" if tall else ""}" role="region" tabindex="0" aria-label="{label}">{table}</div>'


def _name(column: Any) -> str:
    parts = column if isinstance(column, tuple) else (column,)
    return " ".join(str(part) for part in parts if str(part))


def _is_numbered(index: pd.Index) -> bool:
    return isinstance(index, pd.RangeIndex) or (index.nlevels == 1 and index.name is None and index.dtype.kind in "iu")


def _is_plain(frame: pd.DataFrame) -> bool:
    return _is_numbered(frame.index) and all(isinstance(column, str) for column in frame.columns)
