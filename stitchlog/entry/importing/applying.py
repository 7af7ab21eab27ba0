"""What of a proposal is new to a diary folder, and writing it: through the one door, whole or not at all."""

from __future__ import annotations

import datetime as dt
from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

from stitchlog import words
from stitchlog.diary import disk, names, schema, settings
from stitchlog.diary.reading import checks
from stitchlog.diary.reading.problems import ERROR
from stitchlog.diary.reading.reader import Reading, load, read_folder
from stitchlog.entry import beginning, slips, writing
from stitchlog.entry.importing import memory
from stitchlog.entry.importing.proposal import Cell, Piece, Proposal, Session
from stitchlog.entry.importing.understanding import DATES
from stitchlog.errors import StitchlogError

_COUNTED = tuple(c.name for c in schema.DIARY.columns if c.kind in checks.NUMERIC)
_PIECE_KINDS = {c.name: c.kind for c in schema.PIECES.columns}

# So many sessions in common, and such a share of them, make two pieces one of another name.
_LEAST_SAME, _SAME = 3, 0.8

Told = tuple[tuple[str, float], ...]
Key = tuple[str, dt.date, Told]


@dataclass(frozen=True)
class Changed:
    """A cell that says one thing in the file and another in the folder, which is left as it is."""

    where: str
    what: str
    here: str
    there: str


@dataclass(frozen=True)
class Difference:
    """A proposal beside a folder. known: how many of its sessions the diary has already.

    missing: sessions of the diary, no later than the last that is known, that the file has not. renamed: pieces of the
    file -> pieces of the folder that have the same sessions. alike: new names, and those they are nearly.
    """

    sessions: tuple[Session, ...]
    known: int
    changed: tuple[Changed, ...]
    pieces: tuple[Piece, ...]
    filled: tuple[Piece, ...]
    missing: int = 0
    renamed: Mapping[str, str] = field(default_factory=dict)
    alike: tuple[tuple[str, str], ...] = ()

    @property
    def nothing(self) -> bool:
        return not (self.sessions or self.pieces or self.filled)


def difference(folder: str | Path, proposal: Proposal) -> Difference:
    """What of a proposal a folder has not yet. A folder that is not there, or has no diary, has nothing."""
    folder = Path(folder)
    if not (folder / schema.DIARY.file).exists():
        return Difference(proposal.sessions, 0, (), proposal.pieces, (), alike=_alike(proposal.names, {}))
    return _difference(read_folder(folder, load(folder)), proposal)


def apply(folder: str | Path, proposal: Proposal, today: dt.date) -> Difference:
    """Write what is new of a proposal into the folder's files, and what was answered into its settings.

    A folder that is not there is begun. Returns what was written. Raises StitchlogError, with nothing changed, where
    questions are open or the sessions would not read back as they were meant.
    """
    folder = Path(folder)
    if proposal.questions:
        raise StitchlogError(f"{proposal.questions[0].words}; say {proposal.questions[0].option}")
    _begun(folder)
    with writing.change(folder, today) as files:
        before = read_folder(folder, files.contents)
        found = _difference(before, proposal)
        if found.pieces:
            files.append_rows(schema.PIECES.file, [{"piece": p.piece, **p.cells} for p in found.pieces])
        for piece in found.filled:
            files.set_cells(schema.PIECES.file, piece.piece, piece.cells)
        if found.sessions:
            rows = [{"piece": s.piece, "date": s.date, **s.cells} for s in found.sessions]
            files.append_rows(schema.DIARY.file, rows)
        _remember(files, before, proposal)
        _read_back(before, read_folder(folder, files.contents), len(found.sessions))
        files.said = f"import of {proposal.file}: {words.count(len(found.sessions), 'session')}"
    return found


def _begun(folder: Path) -> None:
    """Sees to it that the folder has a diary.csv: all files where it has none of a diary, else that one alone."""
    diary = folder / schema.DIARY.file
    if diary.exists():
        return
    if any((folder / name).exists() for name in (settings.FILE, *(t.file for t in schema.TABLES))):
        try:
            with diary.open("x", encoding="utf-8", newline="") as out:
                out.write(",".join(schema.DIARY.names) + "\r\n")
        except OSError as err:
            raise StitchlogError(f"{folder}: nothing was imported: {disk.why(err)}") from None
    else:
        beginning.begin(folder)


def _remember(files: writing.Files, before: Reading, proposal: Proposal) -> None:
    data = files.contents.get(settings.FILE, b"")
    told = dict(proposal.answers)
    changed = data
    if before.settings.imports.get(proposal.file) != told:
        changed = memory.remembered(changed, proposal.file, told)
    # Said for all files only where none of the folder's own is written in another order.
    if (
        DATES in told
        and told[DATES] in ("day-first", "month-first")
        and not any(w.other_days for w in before.written.values())
    ):
        changed = memory.with_date_order(changed, told[DATES])
    if changed != data:
        files.write_bytes(settings.FILE, changed)


def _read_back(before: Reading, after: Reading, sessions: int) -> None:
    """Raises StitchlogError where the new rows do not all read, or rows that did before do not."""
    file = schema.DIARY.file
    was, now = before.counts[file], after.counts[file]
    if now.stored == was.stored + sessions and now.left_out == was.left_out:
        return
    known = {(p["file"], p["line"]) for p in before.problems.to_pylist()}
    new = [p for p in after.problems.to_pylist() if p["severity"] == ERROR and (p["file"], p["line"]) not in known]
    why = f"{new[0]['column']}: {new[0]['reason']}; {new[0]['mend']}" if new else "the last rows are not in order"
    raise StitchlogError(f"nothing was imported: {why}")


def _difference(reading: Reading, proposal: Proposal) -> Difference:
    spelt = {names.key_of(name): name for name in reading.tables["diary"]["piece"].to_pylist()[::-1]}
    spelt |= {names.key_of(name): name for name in reading.tables["pieces"]["piece"].to_pylist()}
    there: Counter[Key] = Counter()
    for row in reading.tables["diary"].select(["piece", "date", *_COUNTED]).to_pylist():
        there[_key(row["piece"], row["date"].date(), row)] += 1
    renamed = _renamed(proposal, there, spelt)
    proposal = _under_their_names(proposal, renamed)
    left = there.copy()
    known: list[Session] = []
    new: list[Session] = []
    for session in proposal.sessions:
        key = _key(session.piece, session.date, session.cells)
        (known if left[key] > 0 else new).append(session)
        left[key] -= left[key] > 0
    fresh, changed = _changed_or_new(known, new, left)
    last = max((s.date for s in known), default=dt.date.min)
    missing = sum(n for key, n in left.items() if key[1] <= last)
    pieces, filled, other = _pieces(reading, proposal)
    return Difference(
        tuple(_spelt(s, spelt) for s in fresh),
        len(known),
        tuple(changed + other),
        tuple(pieces),
        tuple(filled),
        missing,
        renamed,
        _alike(proposal.names, spelt),
    )


def _alike(found: Sequence[str], spelt: Mapping[str, str]) -> tuple[tuple[str, str], ...]:
    """New names, each with one that is nearly it: of the folder (by key), or another of the file."""
    new = [name for name in found if names.key_of(name) not in spelt]
    others = [*spelt.values(), *new]
    pairs = [(name, next((o for o in others if o != name and slips.nearly(name, o)), "")) for name in new]
    seen: set[frozenset[str]] = set()
    return tuple(p for p in pairs if p[1] and not (frozenset(p) in seen or seen.add(frozenset(p))))  # type: ignore[func-returns-value]


def _changed_or_new(
    known: list[Session], new: list[Session], left: Counter[Key]
) -> tuple[list[Session], list[Changed]]:
    """New sessions apart from those that the diary has with other numbers, or, among known ones, on another day.

    left: the diary's sessions that the file has not as they are; those that are found here are taken out.
    """
    by_day: dict[tuple[str, dt.date], list[Key]] = defaultdict(list)
    by_count: dict[tuple[str, Told], list[Key]] = defaultdict(list)
    for key in left.elements():
        by_day[key[:2]].append(key)
        by_count[key[0], key[2]].append(key)
    last = max((s.date for s in known), default=dt.date.min)
    fresh: list[Session] = []
    changed: list[Changed] = []
    for session in new:
        own = _key(session.piece, session.date, session.cells)
        found = by_day[own[:2]] if known else []
        if not found and session.date < last:
            found = by_count[own[0], own[2]]
        here = next((key for key in found if left[key] > 0), None)
        if here is None:
            fresh.append(session)
            continue
        left[here] -= 1
        what = f"{session.piece}, {session.date.isoformat()}"
        day = "" if here[1] == session.date else f" on {here[1].isoformat()}"
        changed.append(Changed(session.place.say(), what, _says(here) + day, _says(own)))
    return fresh, changed


def _renamed(proposal: Proposal, there: Counter[Key], spelt: Mapping[str, str]) -> dict[str, str]:
    """Pieces that the folder does not know, whose sessions it has under another name: renamed there or here."""
    own: dict[str, Counter[tuple[dt.date, Told]]] = defaultdict(Counter)
    for key, n in there.items():
        own[key[0]][key[1:]] += n
    told: dict[str, Counter[tuple[dt.date, Told]]] = defaultdict(Counter)
    for session in proposal.sessions:
        told[session.piece][_key(session.piece, session.date, session.cells)[1:]] += 1
    present = {names.key_of(piece) for piece in told}
    out: dict[str, str] = {}
    for piece, sessions in told.items():
        if names.key_of(piece) in own or sessions.total() < _LEAST_SAME:
            continue
        for other, here in own.items():
            common = (sessions & here).total()
            enough = max(_LEAST_SAME, _SAME * min(sessions.total(), here.total()))
            if other not in present and common >= enough:
                out[piece] = spelt[other]
    return out


def _under_their_names(proposal: Proposal, renamed: Mapping[str, str]) -> Proposal:
    if not renamed:
        return proposal
    by_key = {names.key_of(there): here for there, here in renamed.items()}
    return replace(
        proposal,
        sessions=tuple(replace(s, piece=renamed.get(s.piece, s.piece)) for s in proposal.sessions),
        pieces=tuple(replace(p, piece=by_key.get(names.key_of(p.piece), p.piece)) for p in proposal.pieces),
    )


def _spelt(session: Session, spelt: Mapping[str, str]) -> Session:
    name = spelt.get(names.key_of(session.piece), session.piece)
    return session if name == session.piece else Session(session.place, name, session.date, session.cells)


def _key(piece: str, day: dt.date, cells: Mapping[str, object]) -> Key:
    told = ((name, cells.get(name)) for name in _COUNTED)
    return names.key_of(piece), day, tuple((n, round(float(v), 4)) for n, v in told if v is not None and v != "")  # type: ignore[arg-type]


def _says(key: Key) -> str:
    return ", ".join(f"{name} {value:,.10g}" for name, value in key[2]) or "nothing"


def _pieces(reading: Reading, proposal: Proposal) -> tuple[list[Piece], list[Piece], list[Changed]]:
    """Pieces that the folder has not, pieces with cells that are empty there, and cells that differ."""
    rows = {names.key_of(row["piece"]): row for row in reading.tables["pieces"].to_pylist()}
    new: list[Piece] = []
    filled: list[Piece] = []
    changed: list[Changed] = []
    for piece in proposal.pieces:
        row = rows.get(names.key_of(piece.piece))
        if row is None:
            new.append(piece)
            continue
        empty: dict[str, Cell] = {}
        for name, value in piece.cells.items():
            here = row.get(name)
            if here is None or here == "":
                empty[name] = value
            elif (said := _as_text(name, here)) != _as_text(name, value):
                changed.append(Changed(piece.place.say(), f"{row['piece']}, {name}", said, _as_text(name, value)))
        if empty:
            filled.append(Piece(piece.place, row["piece"], empty))
    return new, filled, changed


def _as_text(name: str, value: object) -> str:
    if isinstance(value, dt.datetime | dt.date):
        return value.isoformat()[:10]
    if isinstance(value, int | float):
        return f"{value:,.10g}"
    return " ".join(str(value).split())
