"""What the numbers of a sheet count: the stitches of a session, the piece's count so far, or how much of it is done."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from itertools import pairwise
from typing import Any

from stitchlog.diary import headings, names
from stitchlog.entry.importing import layout
from stitchlog.entry.importing.layout import Layout
from stitchlog.entry.importing.proposal import LeftOut, Question, Session

SESSION, SO_FAR, PERCENT, SHARE = "session", "so-far", "percent", "share"

# Of steps from one session of a piece to its next: this share rises or stays where numbers are counts so far (some
# were taken out), and no more than that where they are sessions of their own. Between the two nothing is proved.
_RISING, _MIXED = 0.9, 0.7
# Steps that prove anything.
_ENOUGH = 6
_OPTION = "--counts session, --counts so-far or --counts percent"


def counted_as(laid: Layout, found: Sequence[Session]) -> str | None:
    """SESSION, SO_FAR, PERCENT or SHARE (percentages stored as shares of 1); None where the sheet does not prove it."""
    column = laid.of("stitches")
    named = column is not None and column.sure >= headings.WITH_UNIT
    values = [float(s.cells["stitches"]) for s in found if "stitches" in s.cells]
    if not values or laid.kind == layout.PIECES:
        return SESSION
    if max(values) <= 1 and any(v % 1 for v in values):
        return SHARE
    steps, rising, equal = _steps(found)
    if equal and not steps:
        # A count so far that never rises is none.
        return SESSION
    if named:
        # What the heading says holds, but where every piece only ever rises.
        return None if steps >= 2 * _ENOUGH and rising == steps and laid.of("so_far") is None else SESSION
    if steps and rising <= _MIXED * steps and steps >= _ENOUGH / 2:
        return SESSION
    if steps >= _ENOUGH and rising >= _RISING * steps:
        # Rising numbers that never pass 100 may be percentages.
        return SO_FAR if max(values) > 100 else None
    if laid.kind in (layout.LONG, layout.ONE_PIECE) and column is not None:
        return SESSION
    return None


def _steps(found: Sequence[Session]) -> tuple[int, int, int]:
    """Steps from one number of a piece to another one, those that rise, and pairs of the same number."""
    by_piece: dict[str, list[tuple[Any, int, float]]] = defaultdict(list)
    for n, session in enumerate(found):
        if "stitches" in session.cells:
            by_piece[names.key_of(session.piece)].append((session.date, n, float(session.cells["stitches"])))
    pairs = [(a[2], b[2]) for told in map(sorted, by_piece.values()) for a, b in pairwise(told)]
    rising, equal = sum(b > a for a, b in pairs), sum(b == a for a, b in pairs)
    return len(pairs) - equal, rising, equal


def question_of(laid: Layout, found: Sequence[Session]) -> Question:
    """What to ask where the numbers of a sheet may be one thing or another, with one cell of it."""
    first = next(s for s in found if "stitches" in s.cells)
    value = float(first.cells["stitches"])
    answers = {
        SESSION: f"{value:,.10g} stitches were worked on that day",
        SO_FAR: f"the piece had {value:,.10g} stitches in all after that day",
    }
    if max(float(s.cells.get("stitches", 0)) for s in found) <= 100:
        answers[PERCENT] = f"{value:,.10g} percent of the piece was done after that day"
    words = f"{first.place.say()}, {first.piece}: what does {value:,.10g} mean"
    return Question("counts", words, answers, _OPTION)


def without_repeats(found: Sequence[Session]) -> tuple[list[Session], list[LeftOut]]:
    """The sessions, in order of their days, without those whose count so far or percentage is the one before."""
    kept: list[Session] = []
    same: list[LeftOut] = []
    last: dict[tuple[str, str], float] = {}
    for session in found:
        name = next((n for n in ("so_far", "percent") if n in session.cells), "")
        if not name or "stitches" in session.cells:
            kept.append(session)
            continue
        key, value = (names.key_of(session.piece), name), float(session.cells[name])
        if last.get(key) == value and "minutes" not in session.cells:
            same.append(LeftOut(session.place, f"{value:,.10g}", "the count is the one before", "nought"))
        else:
            kept.append(session)
        last[key] = value
    return kept, same
