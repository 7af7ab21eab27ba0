"""The checked tables joined: whose session each one is, what it counts, and every piece spelt one way."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any, TypeVar

import numpy as np
import pyarrow as pa
import pyarrow.compute as pc

from stitchlog import arrays, colour_counts, names, tables
from stitchlog.reading import Reading
from stitchlog.reading.checks import distinct
from stitchlog.reading.problems import Problems, brief
from stitchlog.reading.reader import MANY_ROWS
from stitchlog.sessions import Sessions

# So alike (0 to 100) must a known name be to be offered for an unknown one, and for so many unknown names is one looked
# for: more of them are a wrong file, not slips of the hand.
NEAR, MOST_GUESSES = 70.0, 50

Result = TypeVar("Result")


def worked_out(reading: Reading, ready: Callable[[str, pa.Table], object] = lambda name, table: None) -> Reading:
    """The reading with the tables that questions see: sessions, pieces, colours, the others with pieces spelt alike.

    sessions: as `Diary.sessions`, in order of date, then file. Warnings found on the way stand behind the file's own.
    ready: told of the sessions as soon as they are worked out.
    """
    found = Problems()
    pieces, whose = _pieces(reading, found)
    diary = reading.tables[tables.DIARY.name]
    order = _order(diary)
    if order is not None:
        diary, whose = diary.take(arrays.of(order)), whose[order]
    written = reading.written.get(tables.DIARY.file)
    decimal_comma = written is not None and written.delimiter in (";", "\t")
    spelt = {names.key_of(c): c for c in reading.tables[tables.THREADS.name]["code"].to_pylist()}
    of_colours = Problems()
    apart = _begun(lambda: colour_counts.split(diary, spelt, of_colours, decimal_comma), diary.num_rows)
    sessions = Sessions(diary, whose, pieces, found).table()
    ready("sessions", sessions)
    events = list(dict.fromkeys(reading.tables["events"]["event"].to_pylist()))
    prompts = reading.tables["prompts"]
    prompts = _spelt(prompts, "event", events, tables.PROMPTS.file, "unknown-event", "events.csv has no event", found)

    def at_pieces(table: pa.Table, file: str) -> pa.Table:
        nowhere = "neither pieces.csv nor diary.csv has a piece"
        return _spelt(table, "piece", pieces["piece"].to_pylist(), file, "unknown-piece", nowhere, found)

    worked = {
        "sessions": sessions,
        "pieces": pieces,
        "colours": apart().of(sessions),
        "events": at_pieces(_events(reading.tables["events"]), tables.EVENTS.file),
        "prompts": prompts,
        "threads": reading.tables["threads"],
        "chart_colours": at_pieces(_as_threads(reading.tables["chart_colours"], spelt), tables.CHART_COLOURS.file),
    }
    _warn_of_targets(worked["events"], prompts, found)
    problems = pa.concat_tables([reading.problems, found.table(), of_colours.table()])
    return replace(reading, tables=worked, problems=_in_file_order(problems))


def _begun(work: Callable[[], Result], rows: int) -> Callable[[], Result]:
    """The work to be asked for its result, begun beside what follows where the rows are many."""
    if rows < MANY_ROWS:
        return work
    from concurrent.futures import ThreadPoolExecutor

    pool = ThreadPoolExecutor(1)
    begun = pool.submit(work)
    pool.shutdown(wait=False)
    return begun.result


def _in_file_order(problems: pa.Table) -> pa.Table:
    if not problems.num_rows:
        return problems
    rank = {t.file: i for i, t in enumerate(tables.TABLES)}
    held, different = distinct(problems["file"])
    files = np.array([rank[f] for f in different.to_pylist()])[held]
    order = np.lexsort((problems["line"].to_numpy(), files))
    return problems if np.all(order[1:] > order[:-1]) else problems.take(arrays.of(order))


def _order(diary: pa.Table) -> np.ndarray | None:
    """Rows by date, then as they stand in the file; None where they stand so already."""
    days = diary["date"].to_numpy().astype(np.int64)
    return None if np.all(days[1:] >= days[:-1]) else np.argsort(days, kind="stable")


def _pieces(reading: Reading, found: Problems) -> tuple[pa.Table, np.ndarray]:
    """All pieces, those that only the diary names behind the others; and the place in it of each session's piece."""
    written = reading.tables[tables.PIECES.name]
    place = {names.key_of(name): i for i, name in enumerate(written["piece"].to_pylist())}
    diary = reading.tables[tables.DIARY.name]
    held, names_written = distinct(diary["piece"])
    different = names_written.to_pylist()
    extra: list[str] = []
    seen_at: list[int] = []
    to = np.zeros(len(different), dtype=np.int64)
    # Names that stand only in rows left out are nobody's.
    for i in np.flatnonzero(np.bincount(held, minlength=len(different))).tolist():
        name = different[i]
        key = names.key_of(name)
        if key not in place:
            place[key] = written.num_rows + len(extra)
            extra.append(name)
            seen_at.append(i)
        to[i] = place[key]
    whose = to[held] if len(different) else held.astype(np.int64)
    if extra and written.num_rows:
        first = np.zeros(len(different), dtype=np.int64)
        first[held[::-1]] = np.arange(len(held))[::-1]
        lines = diary["line"].to_numpy()
        guess = _Guess(written["piece"].to_pylist())
        for i in seen_at:
            reason = f'pieces.csv has no piece "{brief(different[i])}"{guess.hint(different[i])}'
            found.add("unknown-piece", tables.DIARY.file, int(lines[first[i]]), "piece", different[i], reason)
    known = np.concatenate([np.ones(written.num_rows, dtype=bool), np.zeros(len(extra), dtype=bool)])
    table = pa.concat_tables([_with_totals(written), _only_names(written.schema, extra)])
    return table.append_column("known", arrays.of(known)), whose


def _with_totals(pieces: pa.Table) -> pa.Table:
    """`total` from width, height and coverage (1 where not given) where it is not written."""
    grid = pc.multiply(pieces["width"], pieces["height"])
    follows = pc.multiply(grid, pc.fill_null(pieces["coverage"], 1.0))
    place = pieces.column_names.index("total")
    return pieces.set_column(place, "total", pc.coalesce(pieces["total"], follows))


def _only_names(schema: pa.Schema, extra: list[str]) -> pa.Table:
    size = len(extra)
    columns: dict[str, Any] = {}
    for part in schema:
        if part.name == "piece":
            columns[part.name] = pa.array(extra, pa.string())
        elif part.name == "line":
            columns[part.name] = pa.repeat(pa.scalar(0, pa.int64()), size)
        elif pa.types.is_string(part.type):
            columns[part.name] = pa.repeat(pa.scalar("", pa.string()), size)
        else:
            columns[part.name] = pa.nulls(size, part.type)
    return pa.table(columns)


class _Guess:
    """The nearest of the known names, for names that are not among them."""

    def __init__(self, known: list[str]) -> None:
        self.known = known
        self.keys: list[str] = []
        self.left = MOST_GUESSES

    def hint(self, name: str) -> str:
        """'; did you mean "Otter Creek"?' where one is near, else ''."""
        if not self.left:
            return ""
        from rapidfuzz import fuzz, process

        self.left -= 1
        self.keys = self.keys or [names.key_of(k) for k in self.known]
        near = process.extractOne(names.key_of(name), self.keys, scorer=fuzz.ratio, score_cutoff=NEAR)
        return f'; did you mean "{self.known[near[2]]}"?' if near else ""


def _events(events: pa.Table) -> pa.Table:
    """Usual values filled in: kind target, half stitches at a half, shared yes."""
    out = events
    for name, usual in (("kind", "target"), ("shared", "yes")):
        if name in out.column_names:
            column = pc.if_else(pc.equal(out[name], ""), usual, out[name])
            out = out.set_column(out.column_names.index(name), name, column)
    halves = pc.fill_null(out["half_counts"], tables.FRACTIONS["half"])
    return out.set_column(out.column_names.index("half_counts"), "half_counts", halves)


def _as_threads(chart: pa.Table, spelt: dict[str, str]) -> pa.Table:
    """Colour codes as threads.csv spells them; others as they are written."""
    codes = [spelt.get(names.key_of(code), code) for code in chart["code"].to_pylist()]
    return chart.set_column(chart.column_names.index("code"), "code", pa.array(codes, pa.string()))


def _warn_of_targets(events: pa.Table, prompts: pa.Table, found: Problems) -> None:
    """Events of the kind target that name none, and no prompts either."""
    prompted = {names.key_of(event) for event in prompts["event"].to_pylist()}
    columns = (events[name].to_pylist() for name in ("event", "kind", "target", "line"))
    for event, kind, target, line in zip(*columns, strict=True):
        if kind == "target" and target is None and names.key_of(event) not in prompted:
            found.add("no-target", tables.EVENTS.file, line, "target", "", f'"{brief(event)}" has no target')


def _spelt(
    table: pa.Table, name: str, known: list[str], file: str, code: str, nowhere: str, found: Problems
) -> pa.Table:
    """The table with the names in one column spelt as they are known; one that is not known is told, once."""
    spelt = {names.key_of(k): k for k in reversed(known)}
    guess = _Guess(known)
    out: list[str] = []
    told: set[str] = set()
    for written, line in zip(table[name].to_pylist(), table["line"].to_pylist(), strict=True):
        key = names.key_of(written)
        if written and key not in spelt and key not in told:
            told.add(key)
            found.add(code, file, line, name, written, f'{nowhere} "{brief(written)}"{guess.hint(written)}')
        out.append(spelt.get(key, written))
    return table.set_column(table.column_names.index(name), name, pa.array(out, pa.string()))
