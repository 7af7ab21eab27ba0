"""The checked tables joined: whose session each one is, in which colours, and every piece spelt one way."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import TypeVar

import numpy as np
import pyarrow as pa
import pyarrow.compute as pc

from stitchlog.diary import names, schema
from stitchlog.diary.reading import numbers
from stitchlog.diary.reading.checks import distinct, nothing
from stitchlog.diary.reading.problems import Problems, Wrong, brief
from stitchlog.diary.reading.reader import MANY_ROWS, Reading
from stitchlog.diary.sessions import Sessions

# For so many unknown names is a known one looked for: more of them are a wrong file, not slips of the hand.
MOST_GUESSES = 50

Result = TypeVar("Result")


def worked_out(reading: Reading, ready: Callable[[str, pa.Table], object] = lambda name, table: None) -> Reading:
    """The reading with the tables that questions see: sessions, pieces, colours, the others with pieces spelt alike.

    sessions: as `Diary.sessions`, in order of date, then file. Warnings found on the way stand behind the file's own.
    ready: told of the sessions as soon as they are worked out.
    """
    found = Problems()
    pieces, whose = _pieces(reading, found)
    diary = reading.tables["diary"]
    days = diary["date"].to_numpy().astype(np.int64)
    if np.any(days[1:] < days[:-1]):
        order = np.argsort(days, kind="stable")
        diary, whose = diary.take(order), whose[order]
    written = reading.written.get(schema.DIARY.file)
    decimal_comma = written is not None and written.decimal_comma
    spelt = {names.key_of(code): code for code in reading.tables["threads"]["code"].to_pylist()}
    of_colours = Problems()
    apart = _begun(lambda: _apart(diary, spelt, of_colours, decimal_comma), diary.num_rows)
    sessions = Sessions(diary, whose, pieces, found).table()
    ready("sessions", sessions)
    events = list(dict.fromkeys(reading.tables["events"]["event"].to_pylist()))
    prompts = _spelt(reading.tables["prompts"], "event", events, schema.PROMPTS.file, found)

    def at_pieces(table: pa.Table, file: str) -> pa.Table:
        return _spelt(table, "piece", pieces["piece"].to_pylist(), file, found)

    worked = {
        "sessions": sessions,
        "pieces": pieces,
        "colours": _colours(sessions, *apart()),
        "events": at_pieces(_usual(reading.tables["events"]), schema.EVENTS.file),
        "prompts": prompts,
        "threads": reading.tables["threads"],
        "chart_colours": at_pieces(_as_threads(reading.tables["chart_colours"], spelt), schema.CHART_COLOURS.file),
        "goals": at_pieces(reading.tables["goals"], schema.GOALS.file),
        "bought": reading.tables["bought"],
        "fabrics": reading.tables["fabrics"],
    }
    _warn_of_targets(worked["events"], prompts, found)
    problems = pa.concat_tables([reading.problems, found.table(), of_colours.table()])
    files = {table.file: place for place, table in enumerate(schema.TABLES)}
    places = np.array([files[file] for file in problems["file"].to_pylist()], dtype=np.int64)
    in_order = np.lexsort((problems["line"].to_numpy(), places))
    return replace(reading, tables=worked, problems=problems.take(in_order))


def _set(table: pa.Table, name: str, column: pa.Array | pa.ChunkedArray) -> pa.Table:
    """The table with one of its columns replaced."""
    return table.set_column(table.column_names.index(name), name, column)


def _pieces(reading: Reading, found: Problems) -> tuple[pa.Table, np.ndarray]:
    """All pieces, those that only the diary names behind the others; and the place in it of each session's piece."""
    written = reading.tables[schema.PIECES.name]
    place = {names.key_of(name): i for i, name in enumerate(written["piece"].to_pylist())}
    diary = reading.tables[schema.DIARY.name]
    held, names_written = distinct(diary["piece"])
    different = names_written.to_pylist()
    extra: list[str] = []
    seen_at: list[int] = []
    to = np.zeros(max(len(different), 1), dtype=np.int64)
    # Names that occur only in rows left out are of no piece.
    for i in np.flatnonzero(np.bincount(held, minlength=len(different))).tolist():
        name = different[i]
        key = names.key_of(name)
        if key not in place:
            place[key] = written.num_rows + len(extra)
            extra.append(name)
            seen_at.append(i)
        to[i] = place[key]
    whose = to[held]
    if extra and written.num_rows:
        first = np.zeros(len(different), dtype=np.int64)
        first[held[::-1]] = np.arange(len(held))[::-1]
        lines = diary["line"].to_numpy()
        for n, i in enumerate(seen_at):
            hint = names.hint(different[i], written["piece"].to_pylist()) if n < MOST_GUESSES else ""
            reason = f'pieces.csv has no piece "{brief(different[i])}"{hint}'
            found.add("unknown-piece", schema.DIARY.file, int(lines[first[i]]), "piece", different[i], reason)
    table = pa.concat_tables([_with_totals(written), _only_names(written.schema, extra)])
    known = pa.array([True] * written.num_rows + [False] * len(extra), pa.bool_())
    return table.append_column("known", known), whose


def _with_totals(pieces: pa.Table) -> pa.Table:
    """`total` from width, height and coverage (1 where not given) where it is not written."""
    grid = pc.multiply(pieces["width"], pieces["height"])
    follows = pc.multiply(grid, pc.fill_null(pieces["coverage"], 1.0))
    return _set(pieces, "total", pc.coalesce(pieces["total"], follows))


def _only_names(columns_of: pa.Schema, extra: list[str]) -> pa.Table:
    """Pieces of which nothing but the name is known; their line is 0."""
    kinds = {column.name: column.kind for column in schema.PIECES.columns}
    columns = {name: nothing(kinds.get(name, "text"), len(extra)) for name in columns_of.names}
    columns |= {"piece": pa.array(extra, pa.string()), "line": pa.array([0] * len(extra), pa.int64())}
    return pa.table(columns)


def _usual(events: pa.Table) -> pa.Table:
    """Usual values filled in: kind target, half stitches at a half, shared yes."""
    for name, usual in (("kind", "target"), ("shared", "yes")):
        events = _set(events, name, pc.if_else(pc.equal(events[name], ""), usual, events[name]))
    return _set(events, "half_counts", pc.fill_null(events["half_counts"], schema.FRACTIONS["half"]))


def _as_threads(chart: pa.Table, spelt: dict[str, str]) -> pa.Table:
    """Colour codes as threads.csv spells them; others as they are written."""
    codes = [spelt.get(names.key_of(code), code) for code in chart["code"].to_pylist()]
    return _set(chart, "code", pa.array(codes, pa.string()))


def _warn_of_targets(events: pa.Table, prompts: pa.Table, found: Problems) -> None:
    """Events of the kind target that name none, and no prompts either."""
    prompted = {names.key_of(event) for event in prompts["event"].to_pylist()}
    for row in events.select(["event", "kind", "target", "line"]).to_pylist():
        event = row["event"]
        if row["kind"] == "target" and row["target"] is None and names.key_of(event) not in prompted:
            found.add("no-target", schema.EVENTS.file, row["line"], "target", "", f'"{brief(event)}" has no target')


def _spelt(table: pa.Table, name: str, known: list[str], file: str, found: Problems) -> pa.Table:
    """The table with the pieces or events in column `name` spelt as they are known; an unknown one is told, once."""
    nowhere = {"piece": "neither pieces.csv nor diary.csv has a piece", "event": "events.csv has no event"}[name]
    spelt = {names.key_of(k): k for k in reversed(known)}
    out: list[str] = []
    told: set[str] = set()
    for written, line in zip(table[name].to_pylist(), table["line"].to_pylist(), strict=True):
        key = names.key_of(written)
        if written and key not in spelt and key not in told:
            told.add(key)
            hint = names.hint(written, known) if len(told) <= MOST_GUESSES else ""
            found.add(f"unknown-{name}", file, line, name, written, f'{nowhere} "{brief(written)}"{hint}')
        out.append(spelt.get(key, written))
    return _set(table, name, pa.array(out, pa.string()))


def _begun(work: Callable[[], Result], rows: int) -> Callable[[], Result]:
    """The work to be asked for its result, begun beside what follows where the rows are many."""
    if rows < MANY_ROWS:
        return work
    from concurrent.futures import ThreadPoolExecutor

    pool = ThreadPoolExecutor(1)
    begun = pool.submit(work)
    pool.shutdown(wait=False)
    return begun.result


def _apart(
    diary: pa.Table, spelt: Mapping[str, str], found: Problems, decimal_comma: bool
) -> tuple[np.ndarray, pa.Array, pa.Array]:
    """The colours of sessions, taken apart: `B12:120; B14` is 120 stitches in B12, and some in B14.

    The row of the session, the code and the stitches (null: not counted) of each.
    spelt: key -> code as threads.csv spells it; other codes stay as written. A count that cannot be read is told and
    left open; the session stays as it is.
    """
    rows = np.flatnonzero(np.asarray(pc.not_equal(diary["colours"], "")))
    cells = diary["colours"] if len(rows) == diary.num_rows else diary["colours"].take(rows)
    # Cells repeat, and so do their parts: each different one is looked at once.
    written, cell = distinct(cells)
    split = pc.split_pattern(cell, ";")
    parts, different = distinct(pc.list_flatten(split))
    lists = pa.ListArray.from_arrays(split.offsets, pa.array(parts)).take(pa.array(written))
    parents, held = rows[pc.list_parent_indices(lists).to_numpy()], lists.flatten().to_numpy()
    codes, counts, wrong = _parts(different.to_pylist(), spelt, decimal_comma)
    if wrong:
        at = np.flatnonzero(np.isin(held, list(wrong)))
        told = diary.select(["line", "colours"]).take(parents[at])
        reasons = [wrong[i] for i in held[at].tolist()]
        lines, values = told["line"].to_pylist(), told["colours"].to_pylist()
        found.many("bad-colour-count", schema.DIARY.file, lines, "colours", values, reasons)
    there = np.array([code is not None for code in codes], dtype=bool)
    if not there.all():
        held, parents = held[there[held]], parents[there[held]]
    words = pa.array([code or "" for code in codes], pa.string())
    code = pa.DictionaryArray.from_arrays(pa.array(held), words)
    return parents, code, pa.array(counts[held], from_pandas=True)


def _colours(sessions: pa.Table, rows: np.ndarray, code: pa.Array, stitches: pa.Array) -> pa.Table:
    """A row a session and colour: piece, date, code, stitches (null: not counted), file, line."""
    out = sessions.select(["piece", "date", "file", "line"]).take(rows)
    return out.add_column(2, "code", code).add_column(3, "stitches", stitches)


def _parts(
    different: list[str], spelt: Mapping[str, str], decimal_comma: bool
) -> tuple[list[str | None], np.ndarray, dict[int, str]]:
    """Code (None where there is none), count and what is wrong of every different part."""
    codes: list[str | None] = []
    counts = np.full(len(different), np.nan)
    wrong: dict[int, str] = {}
    for i, part in enumerate(different):
        code, colon, count = part.rpartition(":") if ":" in part else (part, "", "")
        code = names.tidy(code)
        codes.append(spelt.get(names.key_of(code), code) if code else None)
        if colon and not code:
            wrong[i] = f'"{brief(part)}" has no colour before the colon'
        elif count.strip():
            try:
                counts[i] = numbers.read(count, decimal_comma)
            except Wrong as fault:
                wrong[i] = fault.reason
            if counts[i] < 0:
                counts[i], wrong[i] = np.nan, f'"{brief(part)}" counts below 0'
    return codes, counts, wrong
