"""The colours of a session, taken apart: `B12:120; B14` is 120 stitches in B12, and some in B14."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
import pyarrow as pa
import pyarrow.compute as pc

from stitchlog import names, tables
from stitchlog.reading import numbers
from stitchlog.reading.checks import distinct
from stitchlog.reading.problems import Problems, Wrong, brief


def split(sessions: pa.Table, spelt: Mapping[str, str], found: Problems, decimal_comma: bool = False) -> pa.Table:
    """A row a session and colour: piece, date, code, stitches (null: not counted), file, line.

    spelt: key -> code as threads.csv spells it; other codes stay as written. A count that cannot be read is told and
    left open; the session stays as it is.
    """
    rows = np.flatnonzero(np.asarray(pc.not_equal(sessions["colours"], "")))
    cells = sessions["colours"] if len(rows) == sessions.num_rows else sessions["colours"].take(rows)
    lists = pc.split_pattern(cells, ";").combine_chunks()
    parents = rows[pc.list_parent_indices(lists).to_numpy()]
    held, different = distinct(pc.list_flatten(lists))
    codes, counts, wrong = _parts(different.to_pylist(), spelt, decimal_comma)
    if wrong:
        at = np.flatnonzero(np.isin(held, list(wrong)))
        told = sessions.select(["line", "colours"]).take(parents[at])
        reasons = [wrong[i] for i in held[at].tolist()]
        lines, values = told["line"].to_pylist(), told["colours"].to_pylist()
        found.many("bad-colour-count", tables.DIARY.file, lines, "colours", values, reasons)
    there = np.array([code is not None for code in codes], dtype=bool)
    if not there.all():
        held, parents = held[there[held]], parents[there[held]]
    out = sessions.select(["piece", "date", "file", "line"]).take(parents)
    words = pa.array([code or "" for code in codes], pa.string())
    code = pa.DictionaryArray.from_arrays(pa.array(held), words)
    out = out.add_column(2, "code", code)
    return out.add_column(3, "stitches", pa.array(counts[held], from_pandas=True))


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
