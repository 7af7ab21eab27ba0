"""What has been promised: the rows of events.csv, and the pieces that are wanted by a day."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np
import pandas as pd

from stitchlog.diary import Diary, key_of
from stitchlog.errors import StitchlogError
from stitchlog.needle import stitches_per_length

# What a target is counted in.
UNITS = {"target": "stitches", "finish": "stitches", "due": "stitches", "start": "pieces", "length": "lengths"}


def commitments(diary: Diary) -> pd.DataFrame:
    """Every commitment of the diary, a row each, whatever its day.

    Columns: event, part, starts, ends, target (in `unit`; NaN: none), piece (as the diary spells it; '' any),
    half_counts, kind (target, start, finish, length, or due for a piece's `due` day in pieces.csv), shared (bool),
    unit, per_unit (stitches in one unit; NaN where it cannot be told; 0 for starts). `due` rows have the event "due",
    the piece in `piece`, no part, and a window that opens with the piece's start (NaT: any time).
    """
    out = pd.concat([_event_rows(diary), _due_rows(diary)], ignore_index=True)
    out["shared"] = out["shared"].astype(bool)
    out["unit"] = out["kind"].map(UNITS)
    out["per_unit"] = [_per_unit(diary, kind, piece) for kind, piece in zip(out["kind"], out["piece"], strict=True)]
    return out


def event_named(diary: Diary, name: str) -> str:
    """The event as events.csv spells it. Raises StitchlogError, naming the events, where there is none."""
    events = list(dict.fromkeys(diary.events["event"]))
    for own in events:
        if key_of(own) == key_of(name):
            return own
    known = f"the events are {', '.join(events)}" if events else "events.csv has no rows"
    raise StitchlogError(f'there is no event "{name}" in this diary; {known}')


def touching(frame: pd.DataFrame, start: pd.Timestamp, end: pd.Timestamp) -> pd.Series:
    """Which commitments have a day between start and end (a `due` row: whose day is in it)."""
    opens = frame["starts"].fillna(frame["ends"]).where(frame["kind"] != "due", frame["ends"])
    return (opens <= end) & (frame["ends"] >= start)


def each(frame: pd.DataFrame) -> Iterator[Any]:
    """The rows, one at a time, columns as attributes."""
    return iter(frame.itertuples())


def label(row: Any) -> str:
    """A commitment's short name.

    >>> from types import SimpleNamespace as Row
    >>> label(Row(kind="target", event="Owl Light", part="Night 1")), label(Row(kind="due", piece="Fox"))
    ('Owl Light: Night 1', 'Fox by its day')
    """
    if row.kind == "due":
        return f"{row.piece} by its day"
    return f"{row.event}: {row.part}" if row.part else str(row.event)


def _event_rows(diary: Diary) -> pd.DataFrame:
    rows = diary.events
    kind = rows["kind"].astype(str).str.strip().str.casefold()
    names = {key_of(p): p for p in diary.pieces["piece"]}
    out = pd.DataFrame(
        {
            "event": rows["event"].astype(str),
            "part": rows["part"].fillna("").astype(str),
            "starts": pd.to_datetime(rows["starts"]),
            "ends": pd.to_datetime(rows["ends"]),
            "target": rows["target"].astype(float),
            "piece": [names.get(key_of(p), str(p)) if isinstance(p, str) else "" for p in rows["piece"]],
            "half_counts": rows["half_counts"].astype(float).fillna(0.5),
            "kind": kind.where(kind.isin(["start", "finish", "length"]), "target"),
            "shared": [str(v).strip().casefold() not in ("no", "n", "false", "0") for v in rows["shared"]],
        }
    )
    days = (out["ends"] - out["starts"]).dt.days + 1.0
    usual = np.select([out["kind"] == "start", out["kind"] == "length"], [1.0, days], np.nan)
    out["target"] = out["target"].fillna(pd.Series(usual, index=out.index))
    return out.sort_values(["starts", "ends"], kind="stable")


def _due_rows(diary: Diary) -> pd.DataFrame:
    pieces = diary.pieces[diary.pieces["due"].notna()]
    return pd.DataFrame(
        {
            "event": pd.Series("due", index=pieces.index, dtype="str"),
            "part": pd.Series("", index=pieces.index, dtype="str"),
            "starts": pieces["started"],
            "ends": pieces["due"],
            "target": pieces["total"].astype(float),
            "piece": pieces["piece"],
            "half_counts": pd.Series(0.5, index=pieces.index),
            "kind": pd.Series("due", index=pieces.index, dtype="str"),
            "shared": pd.Series(True, index=pieces.index),
        }
    ).sort_values("ends", kind="stable")


def _per_unit(diary: Diary, kind: str, piece: str) -> float:
    if kind == "start":
        return 0.0
    return per_length(diary, piece) if kind == "length" else 1.0


def per_length(diary: Diary, piece: str) -> float:
    """Stitches that one length of thread works on the piece, by its cloth and the settings (NaN: count not given).

    With no piece named, the least of the pieces that give a count, so that nothing is promised too lightly.
    """
    rows = diary.pieces if piece == "" else diary.pieces[diary.pieces["piece"] == piece]
    s = diary.settings
    each = [
        stitches_per_length(count, 1 if np.isnan(over) else over, s.method, s.strand_length_cm, s.tail_cm)
        for count, over in zip(rows["count"].astype(float), rows["over"].astype(float), strict=True)
        if count > 0
    ]
    return float(min(each)) if each else float("nan")
