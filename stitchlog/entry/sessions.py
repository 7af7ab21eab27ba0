"""A session that is logged already, put right: another count, day or piece, or taken out."""

from __future__ import annotations

import datetime as dt
import shlex
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from stitchlog.diary import days, schema
from stitchlog.diary.reading.reader import Reading
from stitchlog.entry import asking
from stitchlog.entry.adding import count, decimal_comma, photo_path, session
from stitchlog.entry.asking import Doubtful
from stitchlog.entry.csvfile import Cell
from stitchlog.entry.writing import change
from stitchlog.errors import StitchlogError

FILE = schema.DIARY.file


@dataclass(frozen=True)
class Corrected:
    """What a session was and is, each as 'Otter Creek, 2 November 2026: 14 stitches'; now is '' where it is gone."""

    folder: Path
    was: str
    now: str

    def say(self) -> str:
        """One line, with the way back."""
        return f"{self.what}; undo: stitchlog undo {shlex.quote(str(self.folder))}"

    @property
    def what(self) -> str:
        """What was done, in words."""
        return f"{self.now} (was: {self.was})" if self.now else f"Took out {self.was}"


def correct(
    folder: str | Path,
    piece: str,
    *,
    today: dt.date,
    date: str | dt.date = "today",
    line: int | None = None,
    to_piece: str | None = None,
    to_date: str | dt.date | None = None,
    remove: bool = False,
    new: bool = False,
    yes: bool = False,
    **cells: Cell,
) -> Corrected:
    """Give the session of a piece on a day new values, move it, or take it out; its other cells stay byte for byte.

    line: the line of diary.csv where the day has several. to_piece, to_date: where it belongs. new: the piece is as
    `to_piece` writes it, even where none is called so. cells: columns of the diary, as typed (an empty text empties the
    cell). Raises `asking.Unsure`, `asking.Doubtful` or StitchlogError; then nothing is changed.
    """
    folder = Path(folder)
    with change(folder, today) as files:
        before = files.read()
        known, order = asking.pieces_known(before), before.settings.date_order
        name, unknown = asking.piece_meant(piece, known)
        if unknown:
            raise StitchlogError(f'there is no piece "{name}" in this diary; no session is logged yet')
        at = _line(before, name, days.day(date, today, order), line)
        was = _said(session(before, at))
        if remove:
            files.remove_row(FILE, at)
        else:
            if cells.get("photo"):
                cells["photo"] = photo_path(str(cells["photo"]), folder)
            typed = asking.cells_typed(schema.DIARY, cells, decimal_comma(before, schema.DIARY))
            if to_piece:
                typed["piece"], _ = asking.piece_meant(to_piece, known, new)
            if to_date:
                typed["date"] = days.day(to_date, today, order)
            files.set_row(FILE, at, typed)
        after = files.read()
        asking.refuse_errors(before, after)
        if after.counts[FILE].stored != before.counts[FILE].stored - remove:
            raise StitchlogError(
                "nothing was written: the rows around it are not in order; to see them: stitchlog check"
            )
        corrected = Corrected(folder, was, "" if remove else _said(session(after, at)))
        asked = [] if yes or remove else _doubts(before, after, at, today)
        if asked:
            raise Doubtful(asked)
        files.said = corrected.what
    return corrected


def _doubts(before: Reading, after: Reading, line: int, today: dt.date) -> list[str]:
    day = session(after, line)["date"].date()
    moved = day != session(before, line)["date"].date()
    return (asking.about_day(day, today) if moved else []) + asking.about_rows(before, after)


def _line(reading: Reading, piece: str, day: dt.date, line: int | None) -> int:
    """The line of the one session that is meant. Raises StitchlogError where there is none, or several."""
    mine = [row for row in reading.tables["sessions"].to_pylist() if row["piece"] == piece]
    found = [row for row in mine if row["date"].date() == day and line in (None, row["line"])]
    if not found:
        last = f"; its last one was on {asking.say_day(mine[-1]['date'].date())}" if mine else ""
        raise StitchlogError(f"{piece} has no session on {asking.say_day(day)}{last}")
    if len(found) > 1:
        each = ", ".join(f"line {row['line']}: {count(row['stitches'])}" for row in found)
        raise StitchlogError(f"{piece} has {len(found)} sessions on {asking.say_day(day)} ({each}); add --line NUMBER")
    return int(found[0]["line"])


def _said(row: dict[str, Any]) -> str:
    about = "about " if row["estimated"] else ""
    stitches = count(row["stitches"], row["estimated"])
    return f"{row['piece']}, {asking.say_day(row['date'].date())}: {about}{stitches} stitches"
