"""What is next for the pieces of a review: their next section, the day they are wanted by, the forecast's window."""

from __future__ import annotations

from typing import Any

import pandas as pd

from stitchlog import words
from stitchlog.diary.diary import Diary
from stitchlog.errors import StitchlogError
from stitchlog.model import forecast
from stitchlog.model.forecast.sentences import say_finish
from stitchlog.model.period import Period
from stitchlog.reports.review.story import say_part


def ahead(diary: Diary, story: pd.DataFrame, period: Period) -> pd.DataFrame:
    """The frame of `story` with a column next: one line a piece ('' where there is nothing to say, as for a finish).

    It is seen from the end of the period.
    """
    if story.empty:
        return story.assign(next=pd.Series(dtype="str"))
    seen_from = period.end
    due = dict(zip(diary.pieces["piece"], diary.pieces["due"], strict=True))
    by_record = forecast.learnt(diary, seen_from)
    lines = []
    for row in story.to_dict("records"):
        parts = []
        if row["status"] != "finished":
            parts = [_event(diary, row["piece"], due[row["piece"]], seen_from), _wanted(due[row["piece"]], seen_from)]
            parts.append(_window(diary, row, seen_from, by_record))
        lines.append(" ".join(p for p in parts if p))
    return story.assign(next=pd.Series(lines, index=story.index, dtype="str"))


def say_seen_from(period: Period, as_of: Any) -> str:
    """From when the pieces' next steps are seen, where that is before the day `as_of` of the report ('' where not)."""
    if not pd.Timestamp(as_of) > period.end:  # an empty diary has neither
        return ""
    return f"What comes next is told as things stood on {words.day(period.end)}."


def _event(diary: Diary, piece: str, due: Any, seen_from: pd.Timestamp) -> str:
    mine = diary.events[(diary.events["piece"] == piece) & (diary.events["ends"] > seen_from)]
    if mine.empty:
        return ""
    row = mine.sort_values("starts", kind="stable").iloc[0].to_dict()
    until = "" if row["ends"] == due else f", to {words.day(row['ends'], year=False)}"
    return f"{'Next comes' if row['starts'] > seen_from else 'Now on:'} {say_part(row, piece)}{until}."


def _wanted(due: Any, seen_from: pd.Timestamp) -> str:
    return f"It is wanted by {words.day(due)}." if due > seen_from else ""


def _window(diary: Diary, row: dict[str, Any], seen_from: pd.Timestamp, by_record: forecast.Correction) -> str:
    if pd.isna(row["total"]):
        return ""
    try:
        return say_finish(forecast.finish(diary, row["piece"], seen_from).corrected(by_record))
    except StitchlogError:
        return ""  # it refuses where there is too little to go by; the finish report says why
