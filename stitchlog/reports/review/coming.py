"""The month to come: what begins, what is due, which sections are on, what was said for it, and how likely that is."""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd

from stitchlog import words
from stitchlog.diary.diary import Diary
from stitchlog.model import goals as model
from stitchlog.model.commitments.stages import stages
from stitchlog.model.period import Period

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
_NAMED = 3


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
    kinds = {"amount": float, "chance": float, "starts": "datetime64[us]", "ends": "datetime64[us]"}
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
        for row in said.to_dict("records")
    ]


def _events(diary: Diary, span: Period) -> list[dict[str, Any]]:
    """A row an event with a part in the month: its only part there, or all of them together."""
    parts = stages(diary, as_of=diary.as_of)
    parts = parts[(parts["kind"] != "due") & (parts["starts"] <= span.end) & (parts["ends"] >= span.start)]
    # A finish is due on its last day, not all the while.
    parts = parts[(parts["kind"] != "finish") | (parts["ends"] <= span.end)]
    parts = parts[parts["status"] != "piece finished"]
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
        for row in rows.to_dict("records")
        if open_ones[row["piece"]] and row["piece"] not in spoken_for
    ]


def _finish_events(diary: Diary) -> pd.DataFrame:
    return diary.events[(diary.events["kind"] == "finish") & (diary.events["ends"] > diary.as_of)]


def say_next_month(frame: pd.DataFrame, month: Any) -> list[str]:
    """What the coming month holds, to say aloud, in four sentences at most (frame of `next_month`).

    month: a day of it.
    """
    name = words.month(month, year=False)
    if frame.empty:
        return [f"Nothing is planned for {name} yet."]
    said = [
        _sentence(frame, "goal", f"In {name} I'd like to do this: {{}}.", lambda r: f"{_lower(r['name'])}{_how(r)}", 2),
        _sentence(frame, "begins", "Starting: {}.", lambda r: f"{_named(r)}, from {_day(r['starts'])}", 2),
        _sentence(frame, "due", "Due: {}.", lambda r: f"{r['piece'] or r['name']} by {_day(r['ends'])}{_how(r)}", 2),
        _sentence(frame, "section", "On the calendar: {}.", lambda r: f"{_named(r)}{_how(r)}", 3),
    ]
    return [s for s in said if s]


def _sentence(frame: pd.DataFrame, what: str, text: str, say: Any, most: int) -> str:
    rows = frame[frame["what"] == what].to_dict("records")
    if not rows:
        return ""
    more = len(rows) - most
    parts = [say(row) for row in rows[:most]] + ([f"{words.number(more)} more"] if more > 0 else [])
    return text.format(words.listed(parts))


def _named(row: dict[str, Any]) -> str:
    part = row["part"]
    return f"{row['name']}, {part}" if part and part != row["piece"] else row["name"]


def _how(row: dict[str, Any]) -> str:
    return "" if pd.isna(row["chance"]) else f" ({likely(row['chance'])})"


def likely(chance: float) -> str:
    """A chance in words, by one fixed scale.

    >>> likely(0.95), likely(0.7), likely(0.5), likely(0.2), likely(0.05)
    ('very likely', 'likely', 'about even', 'unlikely', 'very unlikely')
    """
    scale = ((0.9, "very likely"), (0.66, "likely"), (0.33, "about even"), (0.1, "unlikely"))
    return next((text for least, text in scale if chance >= least), "very unlikely")


def _lower(text: str) -> str:
    """The stitcher's words inside a sentence: without their stop; a plain first word loses its capital."""
    text = " ".join(text.split()).rstrip(".!")
    first = text.split(" ")[0] if text else ""
    plain = first.lower() in _VERBS
    return f"{text[0].lower()}{text[1:]}" if plain else text


_VERBS = frozenset(
    (
        *(
            "a",
            "an",
            "add",
            "begin",
            "do",
            "draw",
            "find",
            "finish",
            "fit",
            "fix",
            "frame",
            "get",
            "give",
            "go",
            "keep",
        ),
        *("leave", "make", "no", "one", "pick", "put", "set", "sew", "sort", "start", "stitch", "take", "the", "three"),
        *(
            "try",
            "two",
            "wash",
            "work",
            "write",
            "eight",
            "five",
            "four",
            "six",
            "seven",
            "ten",
            "wind",
            "iron",
            "reach",
        ),
    )
)


def _day(day: Any) -> str:
    return words.day(day, year=False)
