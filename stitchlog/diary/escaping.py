"""What leaves the folder is safe: cells that a spreadsheet would run as formulas, and paths of pictures.

A spreadsheet runs a cell that begins with `=`, `+`, `-`, `@`, a tab or a line end as a formula (the list of the OWASP
page on CSV injection). Such cells of text columns get an apostrophe in front, and so do those that begin with one, so
that `restore` gives back exactly what was there. Numbers, also as text, stay as they are.
"""

from __future__ import annotations

import csv
import io
import re
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import pandas as pd
    import pyarrow as pa

_RUNS = ("=", "+", "-", "@", "\t", "\r", "\n", "'", "\uff1d", "\uff0b", "\uff0d", "\uff20")
_NUMBER = r"[+-]?[0-9]+(?:[.,][0-9]+)?\Z"
_PICTURES = (".png", ".jpg", ".jpeg", ".webp", ".gif", ".bmp", ".tif", ".tiff", ".heic", ".heif")


def cell(text: str) -> str:
    """`text` as a spreadsheet shows it and does not run it.

    >>> cell("=1+1"), cell("-12.5"), cell("'tis"), cell("Otter Creek")
    ("'=1+1", '-12.5', "''tis", 'Otter Creek')
    """
    if text.lstrip(" ").startswith(_RUNS) and not re.match(_NUMBER, text):
        return "'" + text
    return text


def restore(text: str) -> str:
    """The text that `cell` was given.

    >>> restore(cell("=1+1")), restore("Otter Creek")
    ('=1+1', 'Otter Creek')
    """
    return text[1:] if text.startswith("'") else text


def to_csv(frame: pd.DataFrame, path: str | Path) -> None:
    """The frame as CSV for spreadsheets: days as 2026-10-31, text neutralised, numbers as they are, no index."""
    out = frame.copy()
    out.columns = [cell(str(name)) for name in frame.columns]
    for place in range(out.shape[1]):
        column = frame.iloc[:, place]
        if column.dtype.kind == "M":
            whole = (column.dropna() == column.dropna().dt.normalize()).all()
            out.isetitem(place, column.dt.strftime("%Y-%m-%d" if whole else "%Y-%m-%dT%H:%M:%S").array)
        elif column.dtype.kind not in "biufc":
            out.isetitem(place, column.map(lambda value: cell(value) if isinstance(value, str) else value).array)
    text = out.to_csv(index=False, lineterminator="\r\n")
    # Spreadsheets take a file for UTF-8 by its mark; without letters that need it the mark would only be in the way.
    Path(path).write_bytes(text.encode("utf-8" if text.isascii() else "utf-8-sig"))


def csv_text(table: pa.Table) -> str:
    """An Arrow table of text and numbers as CSV for spreadsheets."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(table.column_names)
    rows = zip(*(column.to_pylist() for column in table.columns), strict=True)
    writer.writerows([cell(value) if isinstance(value, str) else value for value in row] for row in rows)
    return out.getvalue()


def inside(folder: str | Path, photo: str) -> Path | None:
    """The picture that a diary names, where it is a picture inside the folder; None where it is not.

    Neither `..` nor an absolute path nor a link may lead out of the folder.
    """
    if not photo.strip() or "\0" in photo:
        return None
    root = Path(folder).resolve()
    try:
        path = (root / photo.strip().replace("\\", "/")).resolve()
        fits = path.is_relative_to(root) and is_picture(path) and path.is_file()
    except (OSError, ValueError, RuntimeError):
        return None
    return path if fits else None


def is_picture(path: Path) -> bool:
    """Whether a file is a picture by its name."""
    return path.suffix.lower() in _PICTURES


def leaves(photo: str) -> bool:
    """Whether a picture's path leads out of the folder by its spelling alone.

    >>> leaves("photos/otter.jpg"), leaves("../x.jpg"), leaves("C:/x.jpg"), leaves("a/../../x.jpg")
    (False, True, True, True)
    """
    parts = photo.strip().replace("\\", "/")
    if parts.startswith(("/", "~")) or re.match(r"[A-Za-z][A-Za-z0-9+.-]*:", parts):
        return True
    depth = 0
    for part in parts.split("/"):
        depth += -1 if part == ".." else part not in ("", ".")
        if depth < 0:
            return True
    return False
