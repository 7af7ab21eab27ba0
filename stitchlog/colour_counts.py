"""The colours of a session, taken apart: `B12:120; B14` is 120 stitches in B12, and some in B14."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import pyarrow as pa
import pyarrow.compute as pc

from stitchlog import arrays, names, tables
from stitchlog.reading import numbers
from stitchlog.reading.checks import distinct
from stitchlog.reading.problems import Problems, Wrong, brief


@dataclass(frozen=True)
class Colours:
    """Colours taken apart: the row of each one's session, its code, and its stitches (NaN: not counted)."""

    rows: np.ndarray
    codes: pa.DictionaryArray
    stitches: np.ndarray

    def of(self, sessions: pa.Table) -> pa.Table:
        """A row a session and colour: piece, date, code, stitches (null: not counted), file, line."""
        rows = arrays.of(self.rows)
        return pa.table(
            {
                "piece": sessions["piece"].take(rows),
                "date": sessions["date"].take(rows),
                "code": self.codes,
                "stitches": arrays.of(self.stitches),
                "file": sessions["file"].take(rows),
                "line": sessions["line"].take(rows),
            }
        )


def split(diary: pa.Table, spelt: Mapping[str, str], found: Problems, decimal_comma: bool = False) -> Colours:
    """The column `colours` of the diary, taken apart.

    spelt: key -> code as threads.csv spells it; other codes stay as written. A count that cannot be read is told and
    left open; the session stays as it is.
    """
    cells = diary["colours"]
    rows = np.flatnonzero(np.asarray(pc.not_equal(cells, "")))
    cells = cells if len(rows) == diary.num_rows else cells.take(arrays.of(rows))
    lists = pc.split_pattern(cells, ";").combine_chunks()
    parents = rows[pc.list_parent_indices(lists).to_numpy()]
    held, different = distinct(pc.list_flatten(lists))
    codes, counts, wrong = _parts(different.to_pylist(), spelt, decimal_comma)
    _tell(wrong, held, parents, diary, found)
    there = np.array([code is not None for code in codes], dtype=bool)
    if not there.all():
        keep = there[held]
        held, parents = held[keep], parents[keep]
    words = pa.array([code or "" for code in codes], pa.string())
    stitches = counts[held] if len(held) else np.zeros(0)
    return Colours(parents, pa.DictionaryArray.from_arrays(arrays.of(held), words), stitches)


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


def _tell(wrong: dict[int, str], held: np.ndarray, parents: np.ndarray, diary: pa.Table, found: Problems) -> None:
    if not wrong:
        return
    at = np.flatnonzero(np.isin(held, list(wrong)))
    lines = diary["line"].to_numpy()[parents[at]]
    values = diary["colours"].take(arrays.of(parents[at])).to_pylist()
    found.many("bad-colour-count", tables.DIARY.file, lines, "colours", values, [wrong[held[i]] for i in at])
