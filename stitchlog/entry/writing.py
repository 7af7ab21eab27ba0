"""The one door through which the files of a diary folder are written, and the way back.

    with change(folder, today, "Otter Creek: 120 stitches") as files:
        files.append_rows("diary.csv", [{"piece": "Otter Creek", "date": today, "stitches": 120}])
        files.set_cells("pieces.csv", "Otter Creek", {"total": 6000, "finished": today})
        files.write_text("stitchlog.toml", text)

All of it happens when the block ends, or nothing where it raises. The folder is locked meanwhile, so nothing in the
block may open the diary: `files.read()` is the diary as it will be. Dated copies of the files are kept first, in
`copies`, one set a change; `copies/changes.json` lists the changes, and `undo` takes the last one back.
"""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from stitchlog.diary import counting, disk, schema, settings
from stitchlog.diary.reading.reader import Reading, load, read_folder
from stitchlog.entry.csvfile import Cell, CsvFile
from stitchlog.errors import StitchlogError

COPIES = "copies"
JOURNAL = f"{COPIES}/changes.json"
# So many changes can be taken back; the copies of older ones go, so that they do not fill the disk over the years.
MOST_COPIES = 60

_STEMS = "|".join([*(table.name for table in schema.TABLES), Path(settings.FILE).stem])
_COPY = re.compile(rf"(?:{_STEMS})-(?P<set>\d{{4}}-\d\d-\d\d(?:-\d+)?)\.(?:csv|toml)\Z")


class Files:
    """The files of a folder while they are changed. Nothing is written before the change is over.

    `said` is what the change did, in the words that `undo` repeats; it may be set until then.
    """

    def __init__(self, folder: Path, said: str) -> None:
        self.folder = folder
        self.said = said
        self.before: dict[str, bytes] = load(folder)
        self._now: dict[str, bytes | None] = dict(self.before)

    @property
    def contents(self) -> dict[str, bytes]:
        """The bytes of every file that is there, as they will be."""
        return {name: data for name, data in self._now.items() if data is not None}

    @property
    def changed(self) -> dict[str, bytes | None]:
        """The files that will be written, with their new bytes (None: taken away)."""
        return {name: data for name, data in self._now.items() if data != self.before.get(name)}

    def read(self) -> Reading:
        """The worked-out tables of the folder as they will be."""
        return counting.worked_out(read_folder(self.folder, self.contents))

    def rows(self, file: str) -> list[dict[str, str]]:
        """The rows of a table's file as they are written, by column; none where there is no such file."""
        return CsvFile(file, self._now[file]).rows() if self._now.get(file) else []

    def append_rows(self, file: str, rows: Iterable[Mapping[str, Cell]]) -> None:
        """Add rows at the end of a table's file, in its own columns, separator, encoding and line ends.

        A file that is not there is begun; a column that it has not is added behind the others. Numbers are written with
        the file's decimal mark, days as 2026-10-31; None is an empty cell.
        """
        opened = CsvFile(file, self._now.get(file))
        for row in rows:
            opened.append(row)
        self._now[file] = opened.bytes

    def set_cells(self, file: str, key: str | Mapping[str, str], cells: Mapping[str, Cell]) -> None:
        """Give some cells of one row new values; every other byte stays. Where no row has the key, one is added.

        key: column -> name, or the name alone where the table's rows have one (the piece of pieces.csv); capitals and
        blanks do not matter. Cells that say the same already are left as they are written.
        """
        opened = CsvFile(file, self._now.get(file))
        whole = {(opened.table.key or ("piece",))[0]: key} if isinstance(key, str) else dict(key)
        if not opened.change(whole, cells):
            opened.append({**whole, **cells})
        self._now[file] = opened.bytes

    def set_row(self, file: str, line: int, cells: Mapping[str, Cell]) -> None:
        """Give some cells of the row that begins on this line new values; every other byte stays."""
        opened = CsvFile(file, self._now.get(file))
        opened.change(line, cells)
        self._now[file] = opened.bytes

    def remove_row(self, file: str, line: int) -> None:
        """Take the row that begins on this line out of a table's file."""
        opened = CsvFile(file, self._now.get(file))
        opened.remove(line)
        self._now[file] = opened.bytes

    def rename_piece(self, old: str, new: str) -> None:
        """Give a piece another name in every table that names it."""
        for table in schema.TABLES:
            if "piece" in table.names and self._now.get(table.file):
                opened = CsvFile(table.file, self._now[table.file])
                opened.rename("piece", old, new)
                self._now[table.file] = opened.bytes

    def write_text(self, file: str, text: str) -> None:
        """Write a whole file of text, as UTF-8: one of the folder's tables or its settings."""
        self.write_bytes(file, text.encode("utf-8"))

    def write_bytes(self, file: str, data: bytes | None) -> None:
        """Write a whole file, or take it away (None)."""
        if file not in {settings.FILE, *(table.file for table in schema.TABLES)}:
            raise ValueError(f"{file} is no file of a diary folder")
        self._now[file] = data


@dataclass(frozen=True)
class Entry:
    """One change in the journal. before: the copy of each file as it was (None: it was not there). after: its digest.

    of: the number of the change that this one takes back or brings back; its own where it does neither.
    """

    number: int
    day: str
    said: str
    before: dict[str, str | None]
    after: dict[str, str | None]
    of: int
    back: bool = False


@contextmanager
def change(folder: str | Path, today: date, said: str = "") -> Iterator[Files]:
    """The files of a diary folder, to be changed inside the block and written when it ends; see the module.

    today: the day under which the copies are kept. Raises StitchlogError, with nothing changed, where the block or the
    disk fails.
    """
    folder = Path(folder)
    load(folder)
    try:
        with disk.locked(folder):
            files = Files(folder, said)
            yield files
            if files.changed:
                _commit(files, today)
    except OSError as err:
        raise StitchlogError(f"{folder}: nothing was changed: {disk.why(err)}") from None


def changes(folder: str | Path) -> list[Entry]:
    """The changes that the folder's journal lists, oldest first; those that were taken back, and taking back, too."""
    try:
        return [Entry(**entry) for entry in json.loads((Path(folder) / JOURNAL).read_bytes())]
    except (OSError, ValueError, TypeError):
        return []


def undo(folder: str | Path, today: date, earlier: bool = False) -> Entry:
    """Take the last change back, or bring it back where it was taken back last. Returns the entry that this made.

    earlier: take back the last change that still holds, even where a later one was only just taken back. Raises
    StitchlogError where there is none, or where a file was changed by something else since.
    """
    folder = Path(folder)
    with change(folder, today) as files:
        done = changes(folder)
        last = _holding(done) if earlier else done[-1] if done else None
        if last is None:
            raise StitchlogError(f"{folder}: there is nothing to undo; no change is kept in {COPIES}")
        for name, copy in last.before.items():
            if _digest(files.contents.get(name)) != last.after[name]:
                older = f"; it was kept before that as {COPIES}/{copy}" if copy else ""
                raise StitchlogError(
                    f"{name} was changed since in another way, so the last change cannot be taken back alone{older}"
                )
            if copy and not (folder / COPIES / copy).exists():
                raise StitchlogError(f"{COPIES}/{copy} is gone, so the last change cannot be taken back")
            files.write_bytes(name, (folder / COPIES / copy).read_bytes() if copy else None)
        files.said = last.said
        return _commit(files, today, of=last.of, back=not last.back)


def can_undo(folder: str | Path) -> bool:
    """Whether a change is kept that still holds and can be taken back."""
    return _holding(changes(folder)) is not None


def _holding(done: list[Entry]) -> Entry | None:
    """The last change of all that is not taken back, as it was made or last brought back."""
    latest = {entry.of: entry for entry in done}
    return next((latest[number] for number in sorted(latest, reverse=True) if not latest[number].back), None)


def _commit(files: Files, today: date, of: int | None = None, back: bool = False) -> Entry:
    """Keep copies, then write the changed files and the journal together."""
    folder, changed = files.folder, files.changed
    for name in changed:
        path = folder / name
        if (path.read_bytes() if path.exists() else None) != files.before.get(name):
            raise StitchlogError(f"{name} has changed this moment; save it in the spreadsheet and do this again")
    done = changes(folder)
    number = done[-1].number + 1 if done else 1
    copies = _keep_copies(folder / COPIES, {name: files.before.get(name) for name in changed}, today)
    after = {name: _digest(data) for name, data in changed.items()}
    entry = Entry(number, today.isoformat(), files.said, copies, after, number if of is None else of, back)
    kept = [vars(e) for e in [*done, entry][-MOST_COPIES:]]
    # The journal goes with them, and a piece is written before the sessions that name it.
    journal: dict[str, bytes | None] = {JOURNAL: (json.dumps(kept, ensure_ascii=False, indent=1) + "\n").encode()}
    disk.replace_together(folder, {name: changed[name] for name in sorted(changed, reverse=True)} | journal)
    files.before = files.contents
    return entry


def _keep_copies(place: Path, before: Mapping[str, bytes | None], today: date) -> dict[str, str | None]:
    """Keep the files as they are under the day's date, one set, and take the oldest sets away. Returns their names."""
    place.mkdir(exist_ok=True)
    sets: dict[str, list[Path]] = {}
    for path in place.iterdir():
        if found := _COPY.match(path.name):
            sets.setdefault(found["set"], []).append(path)
    ending, n = today.isoformat(), 2
    while ending in sets:
        ending, n = f"{today.isoformat()}-{n}", n + 1
    names: dict[str, str | None] = {}
    kept: list[Path] = []
    try:
        for name, data in before.items():
            copy = place / f"{Path(name).stem}-{ending}{Path(name).suffix}"
            names[name] = copy.name if data is not None else None
            if data is not None:
                kept.append(copy)
                copy.write_bytes(data)
                disk.to_disk(copy)
    except OSError:
        for copy in kept:
            copy.unlink(missing_ok=True)
        raise
    disk.to_disk(place)
    oldest = sorted(sets.values(), key=lambda copies: max((p.stat().st_mtime_ns, p.name) for p in copies))
    for copies in oldest[: max(0, len(oldest) + 1 - MOST_COPIES)]:
        for copy in copies:
            copy.unlink()
    return names


def _digest(data: bytes | None) -> str | None:
    return None if data is None else hashlib.sha256(data).hexdigest()
