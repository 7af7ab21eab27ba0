"""What is next for the pieces of a review: their next section, the day they are due, and when they may be finished."""

from __future__ import annotations

from typing import Any

import pandas as pd

from stitchlog import words
from stitchlog.diary.diary import Diary
from stitchlog.diary.frames import each_record
from stitchlog.errors import StitchlogError
from stitchlog.model import forecast
from stitchlog.model.forecast.sentences import say_finish
from stitchlog.model.period import ONE_DAY, Period
from stitchlog.reports.review import wording
from stitchlog.reports.review.story import say_part

# A finish further off than this (days) is not worth a sentence of the script.
_FAR = 3 * 365


def ahead(diary: Diary, story: pd.DataFrame, period: Period) -> pd.DataFrame:
    """The frame of `story` with what is next for each piece as things stand at the end of the period.

    Added columns: next (sentences for a page); next_kind and next_what, of the one thing to say aloud: 'section' and
    its name and last day, 'due' and the day, 'finish' and when it may be (not where it is more than three years off).
    All are '' where there is nothing to say, as for a finish.
    """
    due = dict(zip(diary.pieces["piece"], diary.pieces["due"], strict=True))
    rows = []
    for row in each_record(story):
        if row["status"] == "finished":
            rows.append(("", "", ""))
            continue
        wanted, section = due[row["piece"]], _section(diary, row["piece"], period.end)
        found = _forecast(diary, row, period.end)
        is_due = f"It is due on {words.day(wanted)}." if wanted > period.end else ""
        told = " ".join(t for t in (_say_section(section), is_due, say_finish(found) if found else "") if t)
        aloud = ("section", section) if section else ("due", words.day(wanted, year=False)) if is_due else _aloud(found)
        rows.append((told, *aloud))
    added = pd.DataFrame(rows, columns=["next", "next_kind", "next_what"], index=story.index, dtype="str")
    return story.join(added)


def say_seen_from(period: Period, day: Any) -> str:
    """From when the pieces' next steps are seen, where that is before the `day` of the report ('' where not)."""
    if not pd.Timestamp(day) > period.end:  # an empty diary has neither
        return ""
    return f"What comes next is told as things stood on {words.day(period.end)}."


def _section(diary: Diary, piece: str, day: pd.Timestamp) -> str:
    """The section of an event that the piece is on or comes to next, with its last day; '' where there is none."""
    mine = diary.events[(diary.events["piece"] == piece) & (diary.events["ends"] > day)]
    if mine.empty:
        return ""
    row = next(each_record(mine.sort_values("starts", kind="stable")))
    begins = f"from {words.day(row['starts'], year=False)} " if row["starts"] > day + ONE_DAY else ""
    return f"{say_part(row, piece)}, {begins}{'to' if begins else 'until'} {words.day(row['ends'], year=False)}"


def _say_section(section: str) -> str:
    return f"Next: {section}." if section else ""


def _forecast(diary: Diary, row: dict[str, Any], day: pd.Timestamp) -> forecast.Forecast | None:
    if pd.isna(row["total"]):
        return None
    try:
        return forecast.finish(diary, row["piece"], day)
    except StitchlogError:
        return None  # it refuses where there is too little to go by; the finish report says why


def _aloud(found: forecast.Forecast | None) -> tuple[str, str]:
    """When it may be finished, to say aloud; '' where that is too far off to say anything."""
    middle = found.date(0.5) if found else pd.NaT
    if found is None or pd.isna(middle) or (middle - found.as_of).days > _FAR:
        return "", ""
    return "finish", wording.when(middle, found.as_of)
