"""A piece's part of the review in plain sentences: as talking points, or as prose for a journal."""

from __future__ import annotations

import math
from typing import Any

import pandas as pd

from stitchlog import words
from stitchlog.errors import StitchlogError
from stitchlog.review.days import WEEKS_WITH_MARKS, say_time
from stitchlog.review.period import Period

TONES = ("talk", "journal")
# So many colours are named; the rest are counted.
NAMED_COLOURS = 6
NOTHING = "There is no stitch to show for this period."


def say_piece(row: dict[str, Any], tone: str = "talk") -> list[str]:
    """Sentences about one piece, from a row (as a dict) of `story`, with what is next where `ahead` has added it.

    tone: 'talk' (points to speak to) or 'journal' (past tense). Raises StitchlogError where it is neither.
    """
    check_tone(tone)
    journal = tone == "journal"
    sentences = [
        _picked_up(row, journal),
        say_cloth(row, journal),
        say_progress(row, journal),
        say_effort(row, journal),
        _best_day(row, journal),
        _also(row),
        _unpicked(row, journal),
        _colours(row, journal),
        *[f"{_noted(journal)} on {words.day(day, year=False)}: “{text}”" for day, text in row["notes"]],
        _finished(row, journal),
        row.get("next", ""),
    ]
    return [s for s in sentences if s]


def check_tone(tone: str) -> None:
    """Raises StitchlogError where `tone` is not one of TONES."""
    if tone not in TONES:
        raise StitchlogError(f'"{tone}" is not a tone for the notes; write {words.listed(TONES, "or")}')


def _picked_up(row: dict[str, Any], journal: bool) -> str:
    text = say_arrival(row, journal)
    if row["part_of"]:
        text += f", for {words.listed(row['part_of'])}"
    if row["prompts"]:
        prompts = f"the prompt{'s' if len(row['prompts']) > 1 else ''} {words.listed(row['prompts'])}"
        text += f"; it answered {prompts}" if journal else f"; it answers {prompts}"
    return f"{text}."


def say_arrival(row: dict[str, Any], journal: bool = False) -> str:
    """How the piece came to be picked up, without a full stop."""
    first, rest = (
        words.day(row["first_session"], year=False),
        words.span(row["days_since"] if row["days_since"] > 0 else 0),
    )
    name = row["piece"]
    talk, told = {
        "started": ("", ""),
        "first": (f"First in the diary on {first}", f"{name} came into the diary on {first}"),
        "again": (
            f"Out of the drawer again on {first}, after {rest}",
            f"I took {name} out again on {first}, after {rest}",
        ),
        "back": (f"Back in hand on {first}, after {rest}", f"I came back to {name} on {first}, after {rest}"),
        "on": (f"Carried on, from {first}", f"I carried on with {name} from {first}"),
    }[row["arrival"]]
    if row["arrival"] == "started":
        day = words.day(row["started"], year=False)
        talk, told = f"A new start, on {day}", f"I started {name} on {day}"
    return told if journal else talk


def say_cloth(row: dict[str, Any], journal: bool = False) -> str:
    """Cloth and thread in a sentence; '' where neither is known."""
    if not row["cloth"]:
        return ""
    return f"It is worked on {row['cloth']}." if journal else f"On {row['cloth']}."


def say_progress(row: dict[str, Any], journal: bool = False) -> str:
    """From where to where, in stitches and shares of the whole."""
    span = f"from {words.number(row['before'])} to {words.number(row['after'])}"
    if math.isnan(row["total"]):
        text = f"{span} stitches; how many it will have is not written down"
    else:
        went = say_share(row["before_share"], row["after_share"])
        text = f"{span} of {words.count(row['total'], 'stitch', 'stitches')}: {went}"
    return f"It went {text}." if journal else f"{text[0].upper()}{text[1:]}."


def say_share(before: float, after: float) -> str:
    """From share to share; 'still' where the figures as written are the same.

    >>> say_share(0.5, 0.61), say_share(0.801, 0.803)
    ('50% to 61%', 'still 80%')
    """
    first, last = words.percent(before), words.percent(after)
    return f"{first} to {last}" if first != last else f"still {last}"


def say_effort(row: dict[str, Any], journal: bool = False) -> str:
    """Stitches, sessions, days and time, and how many sessions are estimates."""
    text = (
        f"{words.count(row['stitches'], 'stitch', 'stitches')} in {words.count(row['sessions'], 'session')}"
        + (f" on {words.count(row['days'], 'day')}" if row["days"] != row["sessions"] else "")
        + say_time(row)
    )
    if row["estimated"] == row["sessions"] == 1:
        text += " (its stitches estimated from its minutes)"
    elif row["estimated"]:
        text += f" ({words.number(row['estimated'])} of the sessions estimated from minutes)"
    return f"It had {text}." if journal else f"{text}."


def _best_day(row: dict[str, Any], journal: bool) -> str:
    if row["days"] < 2 or pd.isna(row["best_day"]):
        return ""
    day, count = words.day(row["best_day"], year=False), words.count(row["best_stitches"], "stitch", "stitches")
    return f"The best day was {day}, with {count}." if journal else f"Best day: {day}, {count}."


def _also(row: dict[str, Any]) -> str:
    extras = [
        words.count(row[name], one, many)
        for name, one, many in (
            ("backstitch", "backstitch", "backstitches"),
            ("knots", "French knot", "French knots"),
            ("beads", "bead", "beads"),
        )
        if row[name] > 0
    ]
    return f"Besides: {words.listed(extras)}." if extras else ""


def _unpicked(row: dict[str, Any], journal: bool) -> str:
    if not row["unpicked"] > 0:
        return ""
    return f"{words.count(row['unpicked'], 'stitch', 'stitches')} {'came' if journal else 'had to come'} out again."


def _colours(row: dict[str, Any], journal: bool) -> str:
    colours = row["new_colours"]
    if not colours:
        return ""
    named, rest = colours[:NAMED_COLOURS], len(colours) - NAMED_COLOURS
    text = words.listed([*named, f"{rest} more"] if rest > 0 else named)
    return f"New colours in it were {text}." if journal and len(colours) > 1 else f"New in it: {text}."


def _noted(journal: bool) -> str:
    return "I noted" if journal else "Noted"


def _finished(row: dict[str, Any], journal: bool) -> str:
    if pd.isna(row["finished"]):
        return ""
    day = words.day(row["finished"], year=False)
    return f"It was finished on {day}." if journal else f"Finished on {day}: show it whole."


def say_marks(story: pd.DataFrame, span: Period) -> str:
    """What the pieces' numbers in the calendar mean (frame of `pieces` or `story`).

    '' where there is no piece, or where the period is too long for numbers in its calendar.
    """
    if story.empty or span.weeks > WEEKS_WITH_MARKS:
        return ""
    return f"The small figures are the pieces, in the order of their first session: {_numbered(story)}."


def _numbered(story: pd.DataFrame) -> str:
    return ", ".join(f"{order} {piece}" for order, piece in zip(story["order"], story["piece"], strict=True))


def say_progressed(story: pd.DataFrame) -> str:
    """Which piece came furthest, as a part of its own whole, and how many there are (frame of `pieces` or `story`)."""
    known = story[story["after_share"].notna()]
    if known.empty:
        return "No piece of this period has a known total, so there is no progress to draw." if len(story) else NOTHING
    row = known.loc[(known["after_share"] - known["before_share"]).idxmax()]
    went = say_share(row["before_share"], row["after_share"])
    others = "" if len(known) == 1 else f", the furthest of {words.number(len(known))}"
    return (
        f"{row['piece']} went from {went}{others}."
        if "to" in went
        else f"No piece moved by a whole percent; {row['piece']} is {went}."
    )


def say_shares(story: pd.DataFrame) -> str:
    """What part of the stitches the first piece had, and the first three together (frame of `pieces` or `story`)."""
    if story.empty or not story["share"].sum() > 0:
        return NOTHING
    most = story.sort_values(["share", "order"], ascending=[False, True], kind="stable")
    text = f"{most['piece'].iloc[0]} had {words.percent(most['share'].iloc[0])} of the stitches"
    if len(most) <= 3:
        return f"{text}."
    return f"{text}; the first three together had {words.percent(most['share'].head(3).sum())}."
