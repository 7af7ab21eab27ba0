"""What there is to ask a diary with code of one's own: frames, their columns and units, and where they are stored."""

from __future__ import annotations

from importlib.util import find_spec
from pathlib import Path

import pandas as pd

from stitchlog.diary import schema
from stitchlog.diary.diary import Diary
from stitchlog.errors import StitchlogError

FRAME_HEADINGS = {"frame": "frame", "rows": "rows", "holds": "a row is"}
COLUMN_HEADINGS = {"column": "column", "kind": "kind", "unit": "unit", "meaning": "meaning"}
_HOLDS = {
    "sessions": "a session, with what it counted worked out",
    "colours": "a colour of a session",
    "problems": "something that could not be read, or is worth a look",
    "left_out": "a row of a file that could not be read, word for word",
}
_COUNTED = ("full-stitch equivalents", "what the session counted, all kinds of stitches together, unpicked taken off")
# What frames have besides the columns of their files.
_MORE = {
    "piece": ("", "the piece"),
    "date": ("", "the day of the session"),
    "code": ("", "the code that tells it from others"),
    "severity": ("", "error: the row is left out; warning: it is kept"),
    "column": ("", "the column that it is about"),
    "value": ("", "what stands there, as written"),
    "reason": ("", "what is wrong with it"),
    "mend": ("", "how to put it right"),
    "row": ("", "the whole row, word for word"),
    "stitches": ("stitches", "how many of them had the colour; empty where not counted"),
    "estimated": ("", "whether the stitches are estimated from minutes"),
    "known": ("", "whether pieces.csv has it; the others only sessions name"),
    "file": ("", "the file it was read from"),
    "line": ("", "its line in that file"),
}
_KINDS = {"M": "day", "f": "number", "i": "whole number", "b": "yes or no"}


def frames(diary: Diary) -> pd.DataFrame:
    """The frames of a diary, `diary.sessions` and so on. Columns: frame (its name), rows, holds (what a row is)."""
    about = {table.name: table.meaning.removeprefix("a row ") for table in schema.TABLES} | {"sessions": ""} | _HOLDS
    names = [name for name, value in vars(diary).items() if isinstance(value, pd.DataFrame)]
    rows = [(name, len(getattr(diary, name)), about.get(name, "")) for name in names]
    return pd.DataFrame(rows, columns=list(FRAME_HEADINGS))


def columns(diary: Diary, frame: str) -> pd.DataFrame:
    """The columns of one frame of a diary. Columns: column, kind, unit (empty: none), meaning.

    frame: its name, as `sessions`. Raises StitchlogError where there is none of that name.
    """
    held = getattr(diary, frame, None)
    if not isinstance(held, pd.DataFrame):
        raise StitchlogError(f'there is no frame "{frame}"; there are {", ".join(frames(diary)["frame"])}')
    name = schema.DIARY.name if frame == "sessions" else frame
    table = next((t for t in schema.TABLES if t.name == name), None)
    known = {c.name: (c.unit, c.meaning) for c in table.columns} if table else {}
    if frame == "sessions":
        known |= {"stitches": _COUNTED}
    rows = []
    for column in held.columns:
        unit, meaning = known.get(column) or _MORE.get(column, ("", ""))
        rows.append((column, _KINDS.get(held[column].dtype.kind, "text"), unit, meaning))
    return pd.DataFrame(rows, columns=list(COLUMN_HEADINGS))


def store(diary: Diary) -> Path:
    """The folder with the diary's frames as Parquet files, a file each. Raises StitchlogError where there is none."""
    place = Path(diary.folder) / "store"
    if not (place / "sessions.parquet").exists():
        raise StitchlogError(f"{place}: there are no stored tables; write them with: stitchlog ingest {diary.folder}")
    return place


def need(*libraries: str) -> None:
    """Nothing, where the libraries are installed. Raises StitchlogError, one line, where one is not."""
    missing = [name for name in libraries if find_spec(name) is None]
    if missing:
        raise StitchlogError(
            f"{' and '.join(missing)} cannot be found here; to have them: python -m pip install 'stitchlog[explore]'"
        )
