"""A piece added to pieces.csv or changed there: its total, cloth and days, cell by cell."""

from __future__ import annotations

import datetime as dt
import shlex
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pyarrow.compute as pc

from stitchlog.diary import days, names, schema
from stitchlog.diary.reading.reader import Reading
from stitchlog.entry import asking
from stitchlog.entry.asking import Doubtful
from stitchlog.entry.csvfile import Cell
from stitchlog.entry.slips import FAR_BELOW
from stitchlog.entry.writing import Files, change
from stitchlog.errors import StitchlogError

# What a new piece comes with.
DETAILS = ("total", "width", "height", "size", "count", "over", "strands", "fabric")
# Days that are still to come where nothing else is said.
_COMING = ("due",)


@dataclass(frozen=True)
class Changed:
    """What was said of a piece, by column, and where it stands: `done` of `total` stitches (None: not known)."""

    folder: Path
    piece: str
    new: bool
    cells: Mapping[str, Cell]
    done: float
    total: float | None

    def say(self) -> str:
        """One line: what was changed, what stands now, and the way back."""
        share = f" of {self.total:,.0f}, {min(self.done / self.total, 1.0):.0%}" if self.total else " so far"
        stands = f"{self.done:,.0f}{share}; " if self.done or self.total else ""
        way_back = f"undo: stitchlog undo {shlex.quote(str(self.folder))}" if self.cells or self.new else "as it was"
        return f"{self.what}; {stands}{way_back}"

    @property
    def what(self) -> str:
        """What was said of it, in words."""
        said = [f"{name.replace('_', ' ')} {_said(value)}" for name, value in self.cells.items()]
        return f"{'New piece: ' if self.new else ''}{self.piece}{': ' if said else ''}{', '.join(said)}"


def change_piece(
    folder: str | Path,
    name: str,
    *,
    today: dt.date,
    new: bool = False,
    yes: bool = False,
    picked_up: bool = False,
    rename: str | None = None,
    **cells: Cell,
) -> Changed:
    """Give a piece's row in pieces.csv new values, or begin one; cells that are not named stay byte for byte.

    name: the piece, a part of its name, or a new name that is near none. cells: columns of pieces.csv, as typed (an
    empty text empties the cell), days as people say them. picked_up: it is no longer set aside or finished. rename:
    its name from now on, in every table. yes: what looks like a slip is meant so.

    Raises `asking.Unsure`, `asking.Doubtful` or StitchlogError; then nothing is changed.
    """
    folder = Path(folder)
    with change(folder, today) as files:
        before = files.read()
        known = asking.pieces_known(before)
        # A name like no other is that of a new piece, and so is one that comes with what a piece begins with.
        surely_new = any(cells.get(detail) for detail in DETAILS) or not names.alike(name, known)
        piece, is_new = asking.piece_meant(name, known, new, surely_new)
        written = before.written.get(schema.PIECES.file)
        order = before.settings.date_order
        typed = {n: _day(n, v, today, order) for n, v in cells.items() if v is not None}
        meant = asking.cells_typed(schema.PIECES, typed, written is not None and written.decimal_comma)
        if picked_up:
            meant = {"finished": "", "set_aside": "", **meant}
        if rename and not is_new:
            _rename(files, known, piece, names.tidy(rename))
            piece, meant = names.tidy(rename), {"name": names.tidy(rename), **meant}
        files.set_cells(schema.PIECES.file, piece, {n: v for n, v in meant.items() if n != "name"})
        after = files.read()
        asking.refuse_errors(before, after)
        own = _row(after, piece)
        changed = Changed(folder, piece, is_new, meant, _done(after, own), own["total"] or None)
        asked = [] if yes else _doubts(after, changed, today) + asking.about_rows(before, after)
        if asked:
            raise Doubtful(asked)
        files.said = changed.what
    return changed


def _rename(files: Files, known: list[str], old: str, new: str) -> None:
    taken = [own for own in known if names.key_of(own) == names.key_of(new) and own != old]
    if taken or not new:
        raise StitchlogError(f'"{new}" is the name of another piece' if taken else "the new name is empty; write one")
    files.rename_piece(old, new)


def _day(column: str, value: Cell, today: dt.date, order: str | None) -> Cell:
    if schema.PIECES.column(column).kind != "date" or not isinstance(value, str) or not value.strip():
        return value
    return days.day(value, today, order, coming=column in _COMING)


def _doubts(after: Reading, changed: Changed, today: dt.date) -> list[str]:
    cells, piece = changed.cells, changed.piece
    asked: list[str] = []
    for name, value in cells.items():
        if isinstance(value, dt.date) and name not in _COMING:
            asked += asking.about_day(value, today)
    finished, aside = cells.get("finished"), cells.get("set_aside")
    if finished and changed.total and changed.done < FAR_BELOW * changed.total:
        asked.append(f"{piece} has {changed.done:,.0f} of {changed.total:,.0f} stitches.")
    last = _last_session(after, piece)
    for day, word in ((finished, "finished"), (aside, "set aside")):
        if isinstance(day, dt.date) and last and last > day:
            asked.append(f"{piece} has a session on {asking.say_day(last)}, after it was {word}.")
    return asked


def _row(reading: Reading, piece: str) -> dict[str, Any]:
    pieces = reading.tables["pieces"]
    found = pieces.filter(pc.equal(pieces["piece"], piece)).to_pylist()
    if not found:
        raise StitchlogError(f"nothing was written: the row of {piece} in pieces.csv cannot be read; stitchlog check")
    return dict(found[0])


def _done(reading: Reading, own: Mapping[str, Any]) -> float:
    sessions = reading.tables["sessions"]
    mine = sessions.filter(pc.equal(sessions["piece"], own["piece"])) if sessions.num_rows else sessions
    return (own["done_before"] or 0.0) + (pc.sum(mine["stitches"]).as_py() or 0.0)


def _last_session(reading: Reading, piece: str) -> dt.date | None:
    sessions = reading.tables["sessions"]
    mine = sessions.filter(pc.equal(sessions["piece"], piece)) if sessions.num_rows else sessions
    last = pc.max(mine["date"]).as_py() if mine.num_rows else None
    return last.date() if last else None


def _said(value: Cell) -> str:
    if value in (None, ""):
        return "none"
    if isinstance(value, dt.date):
        return asking.say_day(value)
    return f"{value:,.10g}" if isinstance(value, (int, float)) else str(value)
