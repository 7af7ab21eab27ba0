"""What is next for the pieces of a review: their next section, the day they are wanted by, the forecast's window."""

from __future__ import annotations

from typing import Any

import pandas as pd

from stitchlog import words
from stitchlog.diary import Diary, key_of
from stitchlog.errors import StitchlogError
from stitchlog.review.period import Period
from stitchlog.review.story import say_part

# The window said has this chance to come true: from its first to its last decile.
LOW, HIGH = 0.1, 0.9


def ahead(diary: Diary, story: pd.DataFrame, period: Period, as_of: Any = None) -> pd.DataFrame:
    """The frame of `story` with a column next: one line a piece ('' where there is nothing to say, as for a finish).

    It is seen from the end of the period, or from `as_of` where that comes first.
    """
    if story.empty:
        return story.assign(next=pd.Series(dtype="str"))
    seen_from = min(period.end, pd.Timestamp(as_of)) if as_of is not None and not pd.isna(as_of) else period.end
    due = dict(zip(diary.pieces["piece"], diary.pieces["due"], strict=True))
    lines = []
    for row in story.to_dict("records"):
        parts = []
        if row["status"] != "finished":
            parts = [_event(diary, row["piece"], due[row["piece"]], seen_from), _wanted(due[row["piece"]], seen_from)]
            parts.append(_window(diary, row, seen_from))
        lines.append(" ".join(p for p in parts if p))
    return story.assign(next=pd.Series(lines, index=story.index, dtype="str"))


def _event(diary: Diary, piece: str, due: Any, seen_from: pd.Timestamp) -> str:
    mine = diary.events[(diary.events["piece"].map(key_of) == key_of(piece)) & (diary.events["ends"] > seen_from)]
    if mine.empty:
        return ""
    row = mine.sort_values("starts", kind="stable").iloc[0].to_dict()
    until = "" if row["ends"] == due else f", to {words.day(row['ends'], year=False)}"
    return f"{'Next comes' if row['starts'] > seen_from else 'Now on:'} {say_part(row, key_of(piece))}{until}."


def _wanted(due: Any, seen_from: pd.Timestamp) -> str:
    return f"It is wanted by {words.day(due)}." if due > seen_from else ""


def _window(diary: Diary, row: dict[str, Any], seen_from: pd.Timestamp) -> str:
    from stitchlog import forecast

    if pd.isna(row["total"]) or not hasattr(forecast, "finish"):
        return ""
    try:
        found = forecast.finish(diary, row["piece"], seen_from)
    except StitchlogError:
        return ""  # the forecast refuses where there is too little to go by; the finish report says why
    first, middle, last = (found.date(q) for q in (LOW, 0.5, HIGH))
    if pd.isna(first) or pd.isna(middle):
        return "When it will be finished cannot be said yet at this pace."
    if pd.isna(last):
        return f"Half the chances of its finish lie before {words.day(middle)}, and the others reach far beyond."
    if first == last:
        return f"It should be finished on {words.day(first)}."
    return f"It should be finished {words.between(first, last)}; half the chances lie before {words.day(middle)}."
