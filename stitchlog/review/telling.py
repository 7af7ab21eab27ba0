"""A piece's part of the review in plain sentences: as points to talk from, or as prose for a journal."""

from __future__ import annotations

import math
from typing import Any

import pandas as pd

from stitchlog import words
from stitchlog.errors import StitchlogError
from stitchlog.review.days import say_net, say_time

TONES = ("talk", "journal")
# So many colours are named, and so many notes told, the latest; the rest are counted.
NAMED_COLOURS = 6
NOTES_TOLD = 5


def check_tone(tone: str) -> None:
    """Raises StitchlogError where `tone` is not one of TONES."""
    if tone not in TONES:
        raise StitchlogError(f'"{tone}" is not a tone for the notes; write {words.listed(TONES, "or")}')


def say_piece(row: dict[str, Any], tone: str = "talk") -> list[str]:
    """Sentences about one piece, from a row (as a dict) of `story`, with what is next where `ahead` has added it.

    tone: 'talk' (points to speak to) or 'journal' (past tense). Raises StitchlogError where it is neither.
    """
    check_tone(tone)
    sentences = _journal(row) if tone == "journal" else _talk(row)
    return [s for s in (*sentences, row.get("next", "")) if s]


def _talk(row: dict[str, Any]) -> list[str]:
    first, rest = _day(row["first_session"]), words.span(row["days_since"]) if row["days_since"] > 0 else ""
    arrival = {
        "started": f"A new start, on {_day(row['started'])}",
        "first": f"First in the diary on {first}",
        "again": f"Out of the drawer again on {first}, after {rest}",
        "back": f"Back in hand on {first}, after {rest}",
        "on": f"Carried on, from {first}",
    }[row["arrival"]]
    return [
        f"{arrival}{_part_of(row)}.",
        f"Right for {words.listed(row['prompts'])}." if row["prompts"] else "",
        f"On {row['cloth']}." if row["cloth"] else "",
        _sentence(say_progress(row)),
        _sentence(say_effort(row)),
        f"Best day: {_day(row['best_day'])}, {_stitches(row['best_stitches'])}." if _has_best_day(row) else "",
        f"Besides: {extras}." if (extras := _extras(row)) else "",
        f"{_stitches(row['unpicked'])} had to come out again." if row["unpicked"] > 0 else "",
        f"New in it: {_colours(row)}." if row["new_colours"] else "",
        *[f"Noted on {_day(day)}: “{text}”" for day, text in row["notes"][-NOTES_TOLD:]],
        _other_notes(row),
        f"Finished on {_day(row['finished'])}: show it whole." if not pd.isna(row["finished"]) else "",
    ]


def _journal(row: dict[str, Any]) -> list[str]:
    name, first = row["piece"], _day(row["first_session"])
    rest = words.span(row["days_since"]) if row["days_since"] > 0 else ""
    arrival = {
        "started": f"I started {name} on {_day(row['started'])}",
        "first": f"{name} came into the diary on {first}",
        "again": f"I took {name} out again on {first}, after {rest}",
        "back": f"I came back to {name} on {first}, after {rest}",
        "on": f"I carried on with {name} from {first}",
    }[row["arrival"]]
    return [
        f"{arrival}{_part_of(row)}.",
        f"It was right for {words.listed(row['prompts'])}." if row["prompts"] else "",
        f"It was on {row['cloth']}." if row["cloth"] else "",
        f"It had {say_effort(row)}, and went {say_progress(row)}.",
        f"The best day was {_day(row['best_day'])}, with {_stitches(row['best_stitches'])}."
        if _has_best_day(row)
        else "",
        f"Besides, it had {extras}." if (extras := _extras(row)) else "",
        f"{_stitches(row['unpicked'])} came out again." if row["unpicked"] > 0 else "",
        f"New in it: {_colours(row)}." if row["new_colours"] else "",
        *[f"On {_day(day)} I noted: “{text}”" for day, text in row["notes"][-NOTES_TOLD:]],
        _other_notes(row),
        f"It was finished on {_day(row['finished'])}." if not pd.isna(row["finished"]) else "",
    ]


def say_progress(row: dict[str, Any]) -> str:
    """From where to where, in stitches and shares of the whole; a clause."""
    span = f"from {words.number(row['before'])} to {words.number(row['after'])}"
    if math.isnan(row["total"]):
        return f"{span} stitches (its total is not written down)"
    went = say_share(row["before_share"], row["after_share"])
    return f"{span} of {_stitches(row['total'])}: {went}"


def say_share(before: float, after: float) -> str:
    """From share to share; 'still' where the figures as written are the same.

    >>> say_share(0.5, 0.61), say_share(0.801, 0.803)
    ('50% to 61%', 'still 80%')
    """
    first, last = words.percent(before), words.percent(after)
    return f"{first} to {last}" if first != last else f"still {last}"


def say_effort(row: dict[str, Any]) -> str:
    """Stitches, sessions, days and time, and how many sessions are estimates; a clause."""
    text = f"{say_net(row['stitches'])} in {words.count(row['sessions'], 'session')}"
    if row["days"] != row["sessions"]:
        text += f" on {words.count(row['days'], 'day')}"
    text += say_time(row)
    if row["estimated"] == 0:
        return text
    which = "" if row["sessions"] == 1 else f"{words.number(row['estimated'])} of the sessions "
    return f"{text} ({which}estimated from minutes)"


def _part_of(row: dict[str, Any]) -> str:
    return f", for {words.listed(row['part_of'])}" if row["part_of"] else ""


def _has_best_day(row: dict[str, Any]) -> bool:
    return row["days"] > 1 and not pd.isna(row["best_day"])


def _extras(row: dict[str, Any]) -> str:
    named = (("backstitch", "backstitches"), ("French knot", "French knots"), ("bead", "beads"))
    counts = (row["backstitch"], row["knots"], row["beads"])
    return words.listed(words.count(n, *names) for n, names in zip(counts, named, strict=True) if n > 0)


def _colours(row: dict[str, Any]) -> str:
    named, rest = row["new_colours"][:NAMED_COLOURS], len(row["new_colours"]) - NAMED_COLOURS
    return words.listed([*named, f"{rest} more"] if rest > 0 else named)


def _other_notes(row: dict[str, Any]) -> str:
    more = len(row["notes"]) - NOTES_TOLD
    return f"The diary has {words.count(more, 'earlier note')} on it." if more > 0 else ""


def _stitches(count: float) -> str:
    return words.count(count, "stitch", "stitches")


def _day(day: Any) -> str:
    return words.day(day, year=False)


def _sentence(clause: str) -> str:
    return f"{clause[0].upper()}{clause[1:]}."
