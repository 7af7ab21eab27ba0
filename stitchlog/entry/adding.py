"""One session more in diary.csv, safely: its piece found by the nearest name, a copy kept, read back before written."""

from __future__ import annotations

import csv
import datetime as dt
import io
import os
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path

import pyarrow.compute as pc

from stitchlog import words
from stitchlog.diary import counting, disk, escaping, names, schema
from stitchlog.diary.reading import dates, numbers
from stitchlog.diary.reading.problems import ERROR, Wrong
from stitchlog.diary.reading.reader import Reading, Written, load, read_folder
from stitchlog.diary.settings import WEEKDAYS
from stitchlog.errors import StitchlogError

COPIES = "copies"
# The newest copies are kept, so that they do not fill the disk over the years.
MOST_COPIES = 60

# How alike two names must be (0 to 100) for a slip of the hand, and by how much the nearest must lead.
SURE, LEAD, POSSIBLE = 85.0, 10.0, 50.0
_CANDIDATES = 5

Cell = str | float | int | None
Choose = Callable[[list[str]], str | None]


@dataclass(frozen=True)
class Added:
    """What was added, and where the piece stands now: `done` of `total` full-stitch equivalents (None: not known)."""

    piece: str
    date: dt.date
    stitches: float
    estimated: bool
    done: float
    total: float | None
    line: int
    warnings: tuple[str, ...] = ()

    @property
    def share(self) -> float | None:
        """Of the total, 0 to 1; None where that is not known."""
        return min(max(self.done / self.total, 0.0), 1.0) if self.total else None

    def say(self) -> str:
        """What a person wants to know after it."""
        # An estimate is good to a stitch at best; a count goes down to quarters.
        digits = (
            0 if self.estimated else next(d for d in (0, 1, 2) if d == 2 or round(self.stitches, d) == self.stitches)
        )
        # Written here and not by `words`, which would load what takes longer than to add a row.
        worked, done = f"{self.stitches:,.{digits}f}", f"{self.done:,.0f}"
        day = f"{self.date.day} {self.date:%B %Y}"
        about = "about " if self.estimated else ""
        lines = [f"{self.piece}, {day}: {about}{_stitches(worked)} (line {self.line} of diary.csv)."]
        share = self.share
        whole = f" of {self.total:,.0f}, {share:.0%}" if self.total and share is not None else ""
        lines.append(f"The piece now has {_stitches(done)}{whole}.")
        lines += [f"Look at it: {warning}." for warning in self.warnings]
        return "\n".join(lines)


def add(
    folder: str | Path,
    piece: str,
    stitches: Cell = None,
    *,
    today: dt.date,
    date: str | dt.date | None = None,
    choose: Choose | None = None,
    new: bool = False,
    **cells: Cell,
) -> Added:
    """Append one session to diary.csv and say where its piece stands.

    piece: its name, a part of it, or nearly its name; `choose(names)` is asked where that is not sure (None refuses).
    new: the name is that of a new piece. stitches and the other columns of the diary (minutes, so_far, half, quarter,
    three_quarter, unpicked, backstitch, knots, beads, colours, photo, note): as typed, or numbers. date: `today`,
    `yesterday`, a weekday (the last one), or a day as diary.csv may have it; None: today.

    The file keeps its separator, encoding, columns and line ends. A dated copy goes to `copies` first. Raises
    StitchlogError, with nothing changed, where the session would not read back as it was meant.
    """
    folder = Path(folder)
    load(folder)
    try:
        with disk.locked(folder):
            contents = load(folder)
            data = contents[schema.DIARY.file]
            before = counting.worked_out(read_folder(folder, contents))
            written = before.written[schema.DIARY.file]
            known = before.tables["pieces"]["piece"].to_pylist()
            name = names.tidy(piece) if new or not known else find(piece, known, choose)
            if not name:
                raise StitchlogError("the piece has no name; write one")
            meant = {"piece": name, "date": day(date, today, before.settings.date_order).isoformat()}
            addition = _line(meant | _cells({"stitches": stitches, **cells}, written, folder), written, data)
            after = counting.worked_out(read_folder(folder, {**contents, schema.DIARY.file: data + addition}))
            line = _read_back(before, after)
            _keep_copy(folder / COPIES, data, today)
            _append(folder / schema.DIARY.file, data, addition)
            return _added(after, line)
    except OSError as err:
        raise StitchlogError(f"{folder}: nothing was added: {disk.why(err)}") from None


def day(text: str | dt.date | None, today: dt.date, order: str | None = None) -> dt.date:
    """The day that a person means.

    >>> day("yesterday", dt.date(2026, 11, 1)), day("friday", dt.date(2026, 11, 1))
    (datetime.date(2026, 10, 31), datetime.date(2026, 10, 30))
    """
    if isinstance(text, dt.date):
        return text
    word = (text or "today").strip().casefold()
    if word in ("today", ""):
        return today
    if word == "yesterday":
        return today - dt.timedelta(days=1)
    weekday = [i for i, name in enumerate(WEEKDAYS) if len(word) >= 3 and name.startswith(word)]
    if weekday:
        return today - dt.timedelta(days=(today.weekday() - weekday[0]) % 7)
    try:
        return dates.read(word, order)
    except Wrong as fault:
        raise StitchlogError(f"{fault.reason}; write today, yesterday, a weekday or a day as 2026-10-31") from None


def _stitches(count: str) -> str:
    return f"{count} {'stitch' if count == '1' else 'stitches'}"


def find(name: str, known: list[str], choose: Choose | None = None) -> str:
    """The piece that is meant: the same name, the only one that has it as a part, or the only one that is nearly it.

    Raises StitchlogError where that is not sure and `choose` is None or finds none.
    """
    meant = names.meant(name, known)
    if len(meant) == 1:
        return meant[0]
    from rapidfuzz import fuzz, process

    near = process.extract(name, known, scorer=fuzz.ratio, processor=names.key_of, limit=None)
    if not meant and near and near[0][1] >= SURE and (len(near) == 1 or near[0][1] - near[1][1] >= LEAD):
        return near[0][0]
    likely = (meant or [piece for piece, score, _ in near if score >= POSSIBLE])[:_CANDIDATES]
    chosen = choose(likely or [piece for piece, _, _ in near[:_CANDIDATES]]) if choose else None
    if chosen is not None:
        return chosen
    hint = f"; it may be {words.listed(likely, 'or')}" if likely else ""
    raise StitchlogError(f'there is no piece "{name}"{hint}; write its name in full, or --new for a new piece')


def _cells(cells: Mapping[str, Cell], written: Written, folder: Path) -> dict[str, str]:
    """What goes in each column, as text in the file's own manner."""
    out: dict[str, str] = {}
    for name, value in cells.items():
        if value is None or value == "":
            continue
        if name not in schema.DIARY.names:
            raise TypeError(f"a session has no {name}")
        if name == "photo":
            out[name] = _photo(str(value), folder)
        elif schema.DIARY.column(name).kind == "text":
            out[name] = str(value)
        else:
            try:
                number = numbers.read(str(value), written.decimal_comma)
            except Wrong as fault:
                raise StitchlogError(f"{name}: {fault.reason}; write digits only, as in 120") from None
            out[name] = f"{number:.10g}".replace(".", "," if written.delimiter == ";" else ".")
    return out


def _photo(photo: str, folder: Path) -> str:
    inside = escaping.inside(folder, photo)
    if inside is not None:
        return inside.relative_to(folder.resolve()).as_posix()
    if escaping.leaves(photo):
        raise StitchlogError(f"photo: {photo} is not in the diary folder; copy it there and write its path from there")
    return photo


def _line(meant: Mapping[str, str], written: Written, data: bytes) -> bytes:
    """The bytes to append: the session in the file's columns, and a line end before it where the file has none."""
    for name in meant:
        if name not in written.columns:
            raise StitchlogError(
                f"diary.csv has no column {name}; write that heading behind the others in its first row"
            )
    left = dict(meant)
    row = [left.pop(name, "") for name in written.columns]
    out = io.StringIO()
    # The writer quotes line ends in cells only where they are in the line end that it is given.
    csv.writer(out, delimiter=written.delimiter, lineterminator="\r\n").writerow(row)
    end = written.newline
    closed = data.endswith(tuple(mark.encode(written.encoding) for mark in ("\n", "\r")))
    text = ("" if closed else end) + out.getvalue().removesuffix("\r\n") + end
    try:
        return text.encode(written.encoding)
    except UnicodeEncodeError as err:
        letter = text[err.start]
        raise StitchlogError(f"diary.csv is not UTF-8 and cannot hold {letter}; save it as CSV (UTF-8) once") from None


def _read_back(before: Reading, after: Reading) -> int:
    """The line of the new session, where it reads as one more session and changes no other row."""
    file = schema.DIARY.file
    was, now = before.counts[file], after.counts[file]
    if now.read == was.read + 1:
        if now.stored == was.stored + 1:
            return int(pc.max(after.tables["sessions"]["line"]).as_py())
        errors = [p for p in after.problems.to_pylist() if p["file"] == file and p["severity"] == ERROR]
        worst = max(errors, key=lambda problem: problem["line"])
        raise StitchlogError(f"nothing was added: {worst['column']}: {worst['reason']}; {worst['mend']}")
    raise StitchlogError(
        "nothing was added: the last rows of diary.csv are not in order; mend them first: stitchlog check"
    )


def _keep_copy(place: Path, data: bytes, today: dt.date) -> None:
    """Keep the diary as it is under the day's date, and take the oldest copies away."""
    place.mkdir(exist_ok=True)
    path, n = place / f"diary-{today.isoformat()}.csv", 2
    while path.exists():
        path, n = place / f"diary-{today.isoformat()}-{n}.csv", n + 1
    try:
        path.write_bytes(data)
        disk.to_disk(path)
    except OSError:
        path.unlink(missing_ok=True)
        raise
    own = [p for p in place.iterdir() if re.fullmatch(r"diary-\d{4}-\d\d-\d\d(-\d+)?\.csv", p.name)]
    for old in sorted(own, key=lambda p: (p.stat().st_mtime_ns, p.name))[:-MOST_COPIES]:
        old.unlink()


def _append(path: Path, seen: bytes, addition: bytes) -> None:
    """Add bytes at the end of the file, whole or not at all."""
    with path.open("r+b") as out:
        if out.seek(0, os.SEEK_END) != len(seen):
            raise StitchlogError(
                "diary.csv has changed this moment; save it in the spreadsheet and add the session again"
            )
        try:
            out.write(addition)
            out.flush()
            os.fsync(out.fileno())
        except OSError:
            os.truncate(path, len(seen))
            raise
    disk.to_disk(path.parent)


def _added(after: Reading, line: int) -> Added:
    sessions, pieces = after.tables["sessions"], after.tables["pieces"]
    (row,) = sessions.filter(pc.equal(sessions["line"], line)).to_pylist()
    (own,) = pieces.filter(pc.equal(pieces["piece"], row["piece"])).to_pylist()
    worked = pc.sum(sessions.filter(pc.equal(sessions["piece"], row["piece"]))["stitches"]).as_py()
    warnings = [
        f"{p['column']}: {p['reason']}; {p['mend']}"
        for p in after.problems.to_pylist()
        if p["file"] == schema.DIARY.file and p["line"] == line
    ]
    return Added(
        piece=row["piece"],
        date=row["date"].date(),
        stitches=row["stitches"],
        estimated=row["estimated"],
        done=(own["done_before"] or 0.0) + worked,
        total=own["total"] or None,
        line=line,
        warnings=tuple(warnings),
    )
