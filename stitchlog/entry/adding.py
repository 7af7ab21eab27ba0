"""One session more in diary.csv, safely: to the right piece, what looks like a slip asked about, read back first."""

from __future__ import annotations

import datetime as dt
import shlex
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pyarrow.compute as pc

from stitchlog.diary import counting, days, escaping, schema
from stitchlog.diary.reading.reader import Reading, load, read_folder
from stitchlog.entry import asking
from stitchlog.entry.asking import Doubtful
from stitchlog.entry.csvfile import Cell
from stitchlog.entry.pieces import DETAILS
from stitchlog.entry.writing import change
from stitchlog.errors import StitchlogError


@dataclass(frozen=True)
class Added:
    """What was added, and where the piece stands now: `done` of `total` full-stitch equivalents (None: not known).

    stitches: of this session; estimated, where only minutes say them. worked: of the piece on that day, all sessions.
    others: what else was counted, as ('backstitches', 12). notes: what is still to be done, in whole sentences.
    """

    folder: Path
    piece: str
    date: dt.date
    today: dt.date
    stitches: float
    worked: float
    estimated: bool
    done: float
    total: float | None
    line: int
    new: bool = False
    others: tuple[tuple[str, float], ...] = ()
    notes: tuple[str, ...] = ()

    @property
    def share(self) -> float | None:
        """Of the total, 0 to 1; None where that is not known."""
        return min(max(self.done / self.total, 0.0), 1.0) if self.total else None

    def say(self) -> str:
        """What stands now in one line, with the way back; what is still to be done below it."""
        # Written here and not by `words`, which would load what takes longer than to add a row.
        about = "about " if self.estimated else ""
        day = asking.say_day(self.date, self.today)
        counted = [f"{about}{count(self.stitches, self.estimated)} {'on ' if day[0].isdigit() else ''}{day}"]
        if self.worked != self.stitches:
            counted[0] += f" ({count(self.worked, self.estimated)} in all that day)"
        counted += [f"{number:,.0f} {name}" for name, number in self.others]
        share = f" of {self.total:,.0f}, {self.share:.0%}" if self.total else " so far"
        stands = f"{', '.join(counted)}, {self.done:,.0f}{share}"
        folder = shlex.quote(str(self.folder))
        first = f"{'New piece: ' if self.new else ''}{self.piece}: {stands}; undo: stitchlog undo {folder}"
        notes = list(self.notes)
        if self.new and not self.total:
            typed = f"stitchlog piece {folder} {shlex.quote(self.piece)} --total NUMBER"
            notes.append(f"Its total is not known yet, so no forecast can be made: {typed}")
        return "\n".join([first, *notes])


def named(folder: str | Path, piece: str, new: bool = False, details: bool = False) -> tuple[str, bool]:
    """The piece as the diary spells it, and whether it is a new one; raises `asking.Unsure` where that is not sure.

    details: something of DETAILS comes along, as only a new piece brings it.
    """
    known = asking.pieces_known(counting.worked_out(read_folder(Path(folder))))
    return asking.piece_meant(piece, known, new, surely_new=details)


def add(
    folder: str | Path,
    piece: str,
    stitches: Cell = None,
    *,
    today: dt.date,
    date: str | dt.date | None = None,
    new: bool = False,
    yes: bool = False,
    **cells: Cell,
) -> Added:
    """Append one session to diary.csv and say where its piece stands.

    piece: its name, a part of it, or a slip of it. new: the name is that of a new piece. stitches and the other columns
    of the diary (minutes, so_far, percent, half, quarter, three_quarter, unpicked, backstitch, knots, beads, colours,
    photo, note) and DETAILS of the piece: as typed, or numbers. date: a day as people say it; None: today. yes: what
    looks like a slip is meant so.

    The files keep their separators, encodings, columns and line ends; dated copies go to `copies` first. Nothing is
    changed where it raises: `asking.Unsure` (which piece), `asking.Doubtful` (a slip?), or StitchlogError, where the
    session would not read back as it was meant.
    """
    folder = Path(folder)
    details = {name: value for name in DETAILS if (value := cells.pop(name, None)) not in (None, "")}
    load(folder)
    with change(folder, today) as files:
        before = files.read()
        name, is_new = asking.piece_meant(piece, asking.pieces_known(before), new, surely_new=bool(details))
        day = days.day(date or "today", today, before.settings.date_order)
        said = {"stitches": stitches, **{n: v for n, v in cells.items() if v not in (None, "")}}
        if "photo" in said:
            said["photo"] = photo_path(str(said["photo"]), folder)
        typed = asking.cells_typed(schema.DIARY, said, decimal_comma(before, schema.DIARY))
        files.append_rows(schema.DIARY.file, [{"piece": name, "date": day, **typed}])
        if details or (is_new and schema.PIECES.file in files.contents):
            about = asking.cells_typed(schema.PIECES, details, decimal_comma(before, schema.PIECES))
            files.set_cells(schema.PIECES.file, name, about)
        after = files.read()
        added = _added(folder, before, after, today, is_new)
        if not yes:
            _ask(before, after, added, details)
        files.said = f"{added.piece}, {asking.say_day(added.date)}: {count(added.stitches, added.estimated)} stitches"
    return added


def _ask(before: Reading, after: Reading, added: Added, details: Mapping[str, Cell]) -> None:
    row = session(after, added.line)
    asked = asking.about_day(added.date, added.today) + asking.about_session(before, row, after)
    asked += asking.about_rows(before, after)
    known = [p for p in before.tables["pieces"].to_pylist() if p["piece"] == added.piece]
    if details and known and known[0]["total"] and added.total != known[0]["total"]:
        asked.append(f"{added.piece} had a total of {known[0]['total']:,.0f} until now.")
    if asked:
        raise Doubtful(asked)


def decimal_comma(reading: Reading, table: schema.Table) -> bool:
    """Whether numbers of a table's file may have a decimal comma."""
    written = reading.written.get(table.file)
    return written is not None and written.decimal_comma


def photo_path(photo: str, folder: Path) -> str:
    """A picture's path as a cell has it, from the diary folder. Raises StitchlogError where it lies outside."""
    inside = escaping.inside(folder, photo)
    if inside is not None:
        return inside.relative_to(folder.resolve()).as_posix()
    if escaping.leaves(photo):
        raise StitchlogError(f"photo: {photo} is not in the diary folder; copy it there and write its path from there")
    return photo


def count(stitches: float, estimated: bool = False) -> str:
    """A number of stitches in words: a count goes down to quarters; an estimate is good to a stitch at best."""
    digits = 0 if estimated else next(d for d in (0, 1, 2) if d == 2 or round(stitches, d) == stitches)
    return f"{stitches:,.{digits}f}"


def session(reading: Reading, line: int) -> dict[str, Any]:
    """The session that stands on a line of diary.csv, as a worked-out reading has it."""
    sessions = reading.tables["sessions"]
    row: dict[str, Any]
    (row,) = sessions.filter(pc.equal(sessions["line"], line)).to_pylist()
    return row


def _added(folder: Path, before: Reading, after: Reading, today: dt.date, is_new: bool) -> Added:
    """What was added, where it reads as one session more and changes no other row. Raises StitchlogError."""
    file = schema.DIARY.file
    asking.refuse_errors(before, after)
    was, now = before.counts[file], after.counts[file]
    if (now.read, now.stored) != (was.read + 1, was.stored + 1):
        raise StitchlogError(
            "nothing was written: the last rows of diary.csv are not in order; to see them: stitchlog check"
        )
    row = session(after, pc.max(after.tables["sessions"]["line"]).as_py())
    sessions, pieces = after.tables["sessions"], after.tables["pieces"]
    (own,) = pieces.filter(pc.equal(pieces["piece"], row["piece"])).to_pylist()
    mine = sessions.filter(pc.equal(sessions["piece"], row["piece"]))
    others = [(n, row[n]) for n in ("backstitch", "knots", "beads") if row[n]]
    told = [p for p in after.problems.to_pylist() if p["file"] == file and p["line"] == row["line"]]
    return Added(
        folder=folder,
        piece=row["piece"],
        date=row["date"].date(),
        today=today,
        stitches=row["stitches"],
        worked=pc.sum(mine.filter(pc.equal(mine["date"], row["date"]))["stitches"]).as_py(),
        estimated=row["estimated"],
        done=(own["done_before"] or 0.0) + pc.sum(mine["stitches"]).as_py(),
        total=own["total"] or None,
        line=row["line"],
        new=is_new,
        others=tuple((schema.DIARY.column(name).unit, number) for name, number in others),
        notes=tuple(f"{p['reason']}; {p['mend']}." for p in told if p["code"] in ("no-pace", "no-total")),
    )
