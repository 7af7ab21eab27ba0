"""What a diary is committed to: the rows of events.csv, and the pieces with a due day."""

from __future__ import annotations

from collections import Counter
from typing import Any

import numpy as np
import pandas as pd

from stitchlog import words
from stitchlog.diary.diary import Diary
from stitchlog.diary.frames import each_row
from stitchlog.diary.names import key_of
from stitchlog.errors import StitchlogError
from stitchlog.model.thread_use import stitches_per_length

# What a target is counted in.
UNITS = {"target": "stitches", "finish": "stitches", "due": "stitches", "start": "pieces", "length": "lengths"}


def commitments(diary: Diary) -> pd.DataFrame:
    """Every commitment of the diary, a row each, whatever its day.

    Columns: event, part, starts, ends, target (in `unit`; NaN: none), piece ('' any), half_counts, kind (target, start,
    finish, length, or due for a piece's `due` day in pieces.csv), shared (bool), unit, per_unit (stitches in one unit;
    NaN where it cannot be told; 0 for starts), label (its short name, like no other's). `due` rows have the event
    "due", the piece in `piece`, no part, and a window that opens with the piece's start (NaT: any time).
    """
    events = diary.events.sort_values(["starts", "ends"], kind="stable").assign(
        shared=lambda rows: rows["shared"] != "no"
    )
    # Where no target is written, a piece is to be begun, or a length worked on every day.
    days = (events["ends"] - events["starts"]).dt.days + 1.0
    usual = np.select([events["kind"] == "start", events["kind"] == "length"], [1.0, days], np.nan)
    events["target"] = events["target"].fillna(pd.Series(usual, index=events.index))
    due = diary.pieces[diary.pieces["due"].notna()].sort_values("due", kind="stable")
    due = due.rename(columns={"started": "starts", "due": "ends", "total": "target"}).assign(
        event="due", part="", half_counts=0.5, kind="due", shared=True
    )
    columns = ["event", "part", "starts", "ends", "target", "piece", "half_counts", "kind", "shared"]
    out = pd.concat([events[columns], due[columns]], ignore_index=True)
    out["unit"] = out["kind"].map(UNITS)
    out["per_unit"] = [_per_unit(diary, row) for row in each_row(out)]
    out["label"] = _labels(out)
    return out.astype({"shared": bool, "per_unit": float, "label": "str"})


def event_named(diary: Diary, name: str) -> str:
    """The event as events.csv or prompts.csv spells it. Raises StitchlogError, naming the events, where it has none."""
    events = list(dict.fromkeys([*diary.events["event"], *diary.prompts["event"]]))
    for own in events:
        if key_of(own) == key_of(name):
            return str(own)
    known = f"the events are {', '.join(events)}" if events else "events.csv has no rows"
    raise StitchlogError(f'there is no event "{name}" in this diary; {known}')


def touching(frame: pd.DataFrame, start: pd.Timestamp, end: pd.Timestamp) -> pd.Series:
    """Which commitments have a day between start and end (a `due` row: whose day is in it)."""
    opens = frame["starts"].fillna(frame["ends"]).where(frame["kind"] != "due", frame["ends"])
    return (opens <= end) & (frame["ends"] >= start)


def per_length(diary: Diary, piece: str) -> float:
    """Stitches that one length of thread works on the piece, by its cloth and the settings (NaN: count not given, or a
    length that is all tails).

    With no piece named, the least of the pieces that give a count, so that nothing is promised too lightly.
    """
    rows = diary.pieces if piece == "" else diary.pieces[diary.pieces["piece"] == piece]
    rows = rows[rows["count"] > 0]
    s = diary.settings
    each = [
        stitches_per_length(count, over, s.method, s.strand_length_cm, s.tail_cm)
        for count, over in zip(rows["count"], rows["over"].fillna(1.0), strict=True)
    ]
    return float(min(each, default=0)) or np.nan


def _per_unit(diary: Diary, row: Any) -> float:
    return per_length(diary, row.piece) if row.kind == "length" else 0.0 if row.kind == "start" else 1.0


def _labels(rows: pd.DataFrame) -> list[str]:
    """A short name for each commitment: its event and part, with its piece, its days or a number where two share it."""
    names = [
        f"{row.piece} by its due day" if row.kind == "due" else f"{row.event}: {row.part}" if row.part else row.event
        for row in each_row(rows)
    ]
    pieces = [f"{name} ({piece})" if piece else name for name, piece in zip(names, rows["piece"], strict=True)]
    days = [
        name if pd.isna(ends) else f"{name}, to {words.short_day(ends)}"
        for name, ends in zip(names, rows["ends"], strict=True)
    ]
    for closer in (pieces, days):
        often = Counter(names)
        names = [b if often[a] > 1 else a for a, b in zip(names, closer, strict=True)]
    often, seen = Counter(names), Counter[str]()
    for i, name in enumerate(names):
        seen[name] += 1
        if often[name] > 1:
            names[i] = f"{name} ({seen[name]})"
    return names
