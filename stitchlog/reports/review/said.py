"""What was said for the period and what came of it, in sentences."""

from __future__ import annotations

from typing import Any

import pandas as pd

from stitchlog import words
from stitchlog.diary.frames import each_record
from stitchlog.reports.review.wording import few, inside, is_deed, rounded, spelt

GOALS_HEADINGS = {"goal": "goal", "piece": "piece", "amount": "goal was", "reached": "came to", "outcome": "outcome"}
_TOLD = 6
_NEAR = 0.9


def say_goals(frame: pd.DataFrame) -> str:
    """How many goals there were and what came of them, in a sentence (frame of `goals`); '' where there was none."""
    if frame.empty:
        return ""
    counts = frame["outcome"].value_counts()
    total = few(len(frame), "goal")
    total = f"{total[0].upper()}{total[1:]}"
    if counts.get("met", 0) == len(frame):
        return f"{total}, and you met {'it' if len(frame) == 1 else 'them all'}."
    if len(frame) == 1:
        words_of = {"partly": "partly met", "not": "not this time", "dropped": "dropped", "open": "still open"}
        return f"{total}, {words_of[frame['outcome'].iloc[0]]}."
    told = {"met": "{} met", "partly": "{} partly met", "not": "{} not this time", "dropped": "{} dropped"}
    parts = [text.format(spelt(counts[o])) for o, text in told.items() if counts.get(o, 0)]
    if waits := counts.get("open", 0):
        parts.append(f"{spelt(waits)} still open")
    return f"{total}: {words.listed(parts)}."


def say_each_goal(frame: pd.DataFrame, most: int = _TOLD) -> list[str]:
    """A sentence a goal, the stitcher's own first (frame of `goals`); the rest beyond `most` are counted."""
    said = [say_goal(row) for row in each_record(frame.head(most))]
    more = len(frame) - most
    return said + ([f"I had {few(more, 'more goal')} as well."] if more > 0 else [])


def say_goal(row: dict[str, Any]) -> str:
    """What was said and what came of it, in a sentence (row of `goals`)."""
    if row["kind"] == "due":
        return f"{row['goal']} was due. {_due(row)}"
    if row["kind"] == "event":
        return f"{row['goal']}: {_event(row)}"
    goal = inside(row["goal"], row["piece"])
    said = f"I said I'd {goal}" if is_deed(row["goal"]) else f"My goal was {goal}"
    return f"{said}{_came(row)}"


def _came(row: dict[str, Any]) -> str:
    counted = row["kind"] in ("stitches", "sessions", "percent")
    if row["outcome"] == "dropped":
        return ". I dropped that one, and that's fine."
    if row["outcome"] == "open":
        return f", and it's at {_reached(row)} so far." if counted else ". That one is still open."
    if row["outcome"] == "met":
        more = counted and row["reached"] > row["amount"]
        return f", and it came to {_reached(row)}." if more else ", and I did." if is_deed(row["goal"]) else ". Done."
    if row["outcome"] == "not":
        return ". I didn't get to it."
    if not counted:
        return ". I got part of the way."
    near = "nearly there, at " if row["reached"] >= _NEAR * row["amount"] else ""
    return f". I got to {near}{_reached(row)}." if not near else f". It's {near}{_reached(row)}."


def _reached(row: dict[str, Any]) -> str:
    if row["kind"] == "percent":
        return words.percent(row["reached"] / 100)
    # How many it should have been is said where the stitcher's own words do not.
    asked = _figure(row["amount"])
    named = (
        asked.replace("about ", "") in row["goal"]
        or f"{row['amount']:g}" in row["goal"]
        or row["reached"] > row["amount"]
    )
    return _figure(row["reached"]) + ("" if named else f" of {asked}")


def _figure(number: float) -> str:
    return spelt(number) if number <= 12 else rounded(number)


def _event(row: dict[str, Any]) -> str:
    if row["outcome"] == "met":
        return "I kept up with it."
    if row["outcome"] == "not":
        return "I didn't get to it."
    if pd.isna(row["amount"]):
        return "still going."
    so_far = " so far" if row["outcome"] == "open" else ""
    return f"{_figure(row['reached'])} of {_figure(row['amount'])} {row['unit']}{so_far}."


def _due(row: dict[str, Any]) -> str:
    if row["outcome"] == "met":
        return "It's finished."
    if row["outcome"] == "partly":
        return "It wasn't finished by then, but it moved on."
    return "It's still open." if row["outcome"] == "open" else "I didn't get to it."


def say_unanswered(frame: pd.DataFrame, day: Any) -> str:
    """Which goals nobody wrote an outcome for, though their month is over by `day` (frame of `goals`)."""
    over = frame["month"] + pd.offsets.MonthEnd(0) <= pd.Timestamp(day)
    rows = frame[over & (frame["outcome"] == "open") & ~frame["kind"].isin(["event", "due"]) & frame["amount"].isna()]
    if rows.empty:
        return ""
    named = words.listed(f"“{goal}”" for goal in rows["goal"].head(3))
    return f"Only you know what came of {named}: write met, partly or dropped in the outcome column of goals.csv."
