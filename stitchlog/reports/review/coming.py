"""The month to come: what begins, what is due, which sections are on, what was said for it, and how likely that is."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pandas as pd

from stitchlog import words
from stitchlog.diary.diary import Diary
from stitchlog.diary.frames import each_record
from stitchlog.model import goals as model
from stitchlog.model.commitments.stages import stages
from stitchlog.model.period import Period
from stitchlog.reports.review.wording import few, inside, is_deed

COLUMNS = ["what", "name", "part", "piece", "kind", "amount", "unit", "starts", "ends", "chance"]
NEXT_HEADINGS = {
    "name": "what",
    "part": "part",
    "piece": "piece",
    "amount": "amount",
    "unit": "counted in",
    "starts": "from",
    "ends": "to",
    "chance": "chance",
}
_NAMED = 4
# Words in a sentence.
LONGEST = 25


def next_month(diary: Diary, month: Any = None) -> pd.DataFrame:
    """What a month holds as the diary stands: its goals, what begins, what is due, and sections, a row each.

    month: '2026-11' or a day in it; None for the month after the diary's day. Columns: what ('goal', 'begins', 'due',
    'section'); name (the goal's words, the event, the piece that is due); part (of an event, '' where several end in
    the month); piece ('' any); kind (of the goal or event; 'due'); amount (NaN: none) in unit ('stitches', 'percent',
    'sessions', 'pieces', 'lengths'); starts, ends; chance (0 to 1, that it is met as things go; NaN where that cannot
    be told).
    """
    day = diary.as_of
    span = model.month_of(day + pd.offsets.MonthBegin(1) if month is None else month) if pd.notna(day) else None
    rows = [] if span is None else [*_goals(diary, span), *_events(diary, span), *_due(diary, span)]
    kinds: dict[str, Any] = {"amount": float, "chance": float, "starts": "datetime64[us]", "ends": "datetime64[us]"}
    return pd.DataFrame(rows, columns=COLUMNS).astype(kinds)


def _goals(diary: Diary, span: Period) -> list[dict[str, Any]]:
    said = model.goals(diary, span)
    said = said[~said["kind"].isin(["event", "due"]) & (said["outcome"] != "dropped")]
    units = {"start": "pieces", "finish": "pieces", "": ""}
    return [
        {"what": "goal", "name": row["goal"], "part": "", "piece": row["piece"], "kind": row["kind"]}
        | {"amount": row["amount"], "unit": units.get(row["kind"], row["kind"])}
        | {"starts": span.start, "ends": span.end}
        | {"chance": model.chance(diary, row["kind"], row["piece"], row["amount"], span.start, span.end)}
        for row in each_record(said)
    ]


def _events(diary: Diary, span: Period) -> list[dict[str, Any]]:
    """A row an event with a part in the month: its only part there, or all of them together."""
    parts = stages(diary)
    parts = parts[(parts["kind"] != "due") & (parts["starts"] <= span.end) & (parts["ends"] >= span.start)]
    # A finish is due on its last day, not all the while.
    parts = parts[(parts["kind"] != "finish") | (parts["ends"] <= span.end)]
    parts = parts[~parts["status"].isin(["piece finished", "met", "made up", "over", "not met"])]
    parts = parts[(parts["kind"] != "start") | (parts["starts"] > diary.as_of)]
    rows = []
    for event, mine in parts.groupby("event", sort=False):
        only = mine.iloc[0]
        kind = {"start": "begins", "finish": "due"}.get(only["kind"], "section")
        rows.append(
            {"what": kind, "name": event, "part": only["part"] if len(mine) == 1 else ""}
            | {"piece": only["piece"] if len(set(mine["piece"])) == 1 else "", "kind": only["kind"]}
            | {"amount": mine["target"].sum(min_count=1) if kind != "due" else np.nan, "unit": only["unit"]}
            | {"starts": mine["starts"].min(), "ends": mine["ends"].max(), "chance": model.event_chance(diary, mine)}
        )
    return rows


def _due(diary: Diary, span: Period) -> list[dict[str, Any]]:
    open_ones = diary.standing().set_index("piece")["status"] != "finished"
    rows = diary.pieces[diary.pieces["due"].between(span.start, span.end)]
    spoken_for = set(_finish_events(diary)["piece"])
    return [
        {"what": "due", "name": row["piece"], "part": "", "piece": row["piece"], "kind": "due", "amount": np.nan}
        | {"unit": "pieces", "starts": pd.NaT, "ends": row["due"]}
        | {"chance": model.finish_chance(diary, row["piece"], row["due"])}
        for row in each_record(rows)
        if open_ones[row["piece"]] and row["piece"] not in spoken_for
    ]


def _finish_events(diary: Diary) -> pd.DataFrame:
    return diary.events[(diary.events["kind"] == "finish") & (diary.events["ends"] > diary.as_of)]


def say_next_month(frame: pd.DataFrame, month: Any) -> list[str]:
    """What the coming month holds, to say aloud, in four sentences at most (frame of `next_month`).

    month: a day of it.
    """
    if pd.isna(month):
        return []
    name = words.month(month, year=False)
    if pd.Timestamp(month).day > 1:
        name = f"the rest of {name}"
    if frame.empty:
        return [f"Nothing is planned for {name} yet."]
    goals, dated = frame[frame["what"] == "goal"], frame[frame["what"].isin(["begins", "due"])]
    spoken_for = set(goals["piece"]) - {""}
    dated = dated[(dated["what"] == "begins") | ~dated["piece"].isin(spoken_for) | goals.empty]
    said = [
        _fitted(goals, lambda rows: f"In {name} I'd like to {_joined([_goal(row) for row in rows])}"),
        _fitted(goals[goals["chance"].notna()], _say_chances, counted=False),
        _fitted(dated, lambda rows: _joined([_dated(row) for row in rows])),
        _fitted(frame[frame["what"] == "section"], _say_sections),
    ]
    return [s for s in said if s]


def _fitted(frame: pd.DataFrame, say: Callable[[list[dict[str, Any]]], str], counted: bool = True) -> str:
    """The sentence about as many rows as it has room for, and how many more there are."""
    rows = list(each_record(frame))
    for most in range(min(len(rows), _NAMED), 0, -1):
        more = len(rows) - most
        text = say(rows[:most]) + (f", and {few(more, 'other thing')}" if more and counted else "")
        if len(text.split()) <= LONGEST or most == 1:
            return f"{text}."
    return ""


def _joined(parts: list[str]) -> str:
    """Parts in a sentence, with a comma before the last where a part has one itself."""
    if len(parts) > 1 and any(", " in part for part in parts):
        return f"{', '.join(parts[:-1])}, and {parts[-1]}"
    return words.listed(parts)


def _goal(row: dict[str, Any]) -> str:
    said = inside(row["name"], row["piece"])
    return said if is_deed(row["name"]) else f"aim for {said}"


def _say_chances(rows: list[dict[str, Any]]) -> str:
    return f"As things go, {_by_chance([(row['piece'] or inside(row['name']), row['chance']) for row in rows])}"


def _dated(row: dict[str, Any]) -> str:
    if row["what"] == "begins":
        return f"{_named(row)} begins on {words.day(row['starts'], year=False)}"
    return f"{row['piece'] or row['name']} is due on {words.day(row['ends'], year=False)}{_how(row)}"


def _by_chance(named: list[tuple[str, float]]) -> str:
    """Names with their chances in words, together where they are equally likely, the likeliest first."""
    groups: dict[str, list[str]] = {}
    for name, chance in sorted(named, key=lambda one: -one[1]):
        groups.setdefault(words.likely(chance), []).append(name)
    parts = [f"{words.listed(names)} {how}" for how, names in groups.items()]
    how, first = next(iter(groups.items()))
    parts[0] = f"{words.listed(first)} {'looks' if len(first) == 1 else 'look'} {how}"
    return f"{', '.join(parts[:-1])}{', and ' if len(parts) > 1 else ''}{parts[-1]}"


def _say_sections(rows: list[dict[str, Any]]) -> str:
    """Events and sections, together where they are equally likely, the likeliest first."""
    if len(rows) == 1:
        return f"On the calendar is {_named(rows[0])}{_how(rows[0])}"
    if all(pd.isna(row["chance"]) for row in rows):
        return f"On the calendar are {words.listed(_named(row) for row in rows)}"
    sure = [(row["name"], row["chance"]) for row in rows if pd.notna(row["chance"])]
    return f"Of the events, {_by_chance(sure)}"


def _named(row: dict[str, Any]) -> str:
    part = row["part"]
    return f"{row['name']}, {part}" if part and part != row["piece"] else row["name"]


def _how(row: dict[str, Any]) -> str:
    if pd.isna(row["chance"]):
        return ""
    how = words.likely(row["chance"])
    return ", at about even odds" if how == "about even" else f", which looks {how}"
