"""A goal added to goals.csv: what the stitcher says they will do in a month."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

from stitchlog.diary import days, schema
from stitchlog.entry import asking
from stitchlog.entry.csvfile import Cell
from stitchlog.entry.writing import change
from stitchlog.errors import StitchlogError


def add_goal(
    folder: str | Path,
    goal: str,
    *,
    today: dt.date,
    month: str | None = None,
    piece: str | None = None,
    kind: str | None = None,
    amount: Cell = None,
) -> str:
    """Append a goal to goals.csv and say which, in a line.

    goal: in the stitcher's words. month: as people say it; None: that of `today`. piece: a piece, or a part of its
    name. kind and amount: what is counted, where something can be (see goals.csv). Raises `asking.Unsure` or
    StitchlogError; then nothing is changed.
    """
    text = " ".join(goal.split())
    if not text and not kind:
        raise StitchlogError("the goal has no words; write what you mean to do")
    first = _month(month, today)
    with change(folder, today) as files:
        before = files.read()
        name = asking.piece_meant(piece, asking.pieces_known(before))[0] if piece else None
        typed = asking.cells_typed(schema.GOALS, {"kind": kind or None, "amount": amount or None}, decimal_comma=False)
        written = f"{first:%Y-%m}"
        files.append_rows(schema.GOALS.file, [{"month": written, "goal": text, "piece": name, **typed}])
        asking.refuse_errors(before, files.read())
        files.said = f"goal for {first:%B %Y}: {text or _counted(name, kind, amount)}"
    return files.said[:1].upper() + files.said[1:]


def _counted(name: str | None, kind: str | None, amount: Cell) -> str:
    """What a goal without words counts: 'Heron Lake, 2000 stitches'."""
    return ", ".join(part for part in (name, " ".join(str(p) for p in (amount, kind) if p)) if part)


def _month(text: str | None, today: dt.date) -> dt.date:
    """The first day of the month that is meant; one named without a year is this month or to come."""
    this = today.replace(day=1)
    word = (text or "this").strip().casefold()
    if word in ("next", "next month"):
        return (this + dt.timedelta(days=31)).replace(day=1)
    first, _ = days.month(word, today)
    named_alone = not any(c.isdigit() for c in word) and not word.startswith(("this", "last"))
    return first.replace(year=first.year + 1) if named_alone and first < this else first
