"""The pieces of a review in plain sentences: each as points to talk from or as prose for a journal; all together."""

from __future__ import annotations

import math
from typing import Any

import pandas as pd

from stitchlog import words
from stitchlog.errors import StitchlogError
from stitchlog.reports.review.days import WEEKS_WITH_MARKS, say_net, say_time

TONES = ("talk", "journal")
# How a piece came to be picked up, in the words of each tone.
ARRIVALS = {
    "started": ("A new start, on {day}", "I started {piece} on {day}"),
    "first": ("New to the diary on {day}", "{piece} came into the diary on {day}"),
    "again": ("Taken out again on {day}, after {rest}", "I took {piece} out again on {day}, after {rest}"),
    "back": ("Picked up again on {day}, after {rest}", "I came back to {piece} on {day}, after {rest}"),
    "on": ("Stitched from {day}", "I kept going with {piece} from {day}"),
}
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
    own = TONES.index(tone)
    day = row["started"] if row["arrival"] == "started" else row["first_session"]
    rest = words.span(row["days_since"]) if row["days_since"] > 0 else ""
    arrival = ARRIVALS[row["arrival"]][own].format(piece=row["piece"], day=_day(day), rest=rest)
    part_of = f", for {words.listed(row['part_of'])}" if row["part_of"] else ""
    progress, effort = say_progress(row), say_effort(row)
    sentences = [f"{arrival}{part_of}."]
    if row["prompts"]:
        sentences.append(f"{('Right', 'It was right')[own]} for {words.listed(row['prompts'])}.")
    if row["cloth"]:
        sentences.append(f"{('On', 'It was on')[own]} {row['cloth']}.")
    if tone == "talk":
        sentences += [_sentence(progress), _sentence(effort)]
    else:
        sentences.append(f"It had {effort}, and went {progress}.")
    if row["days"] > 1 and not pd.isna(row["best_day"]):
        best = _day(row["best_day"]), _stitches(row["best_stitches"])
        sentences.append(("Best day: {}, {}.", "The best day was {}, with {}.")[own].format(*best))
    if extras := _extras(row):
        sentences.append(f"{('Plus', 'On top of that it had')[own]} {extras}.")
    if row["unpicked"] > 0:
        sentences.append(f"{_stitches(row['unpicked'])} {('had to come', 'came')[own]} out again.")
    if row["new_colours"]:
        sentences.append(f"First use of {_colours(row)}.")
    noted = ("Noted on {}: “{}”", "On {} I noted: “{}”")[own]
    sentences += [noted.format(_day(when), text) for when, text in row["notes"][-NOTES_TOLD:]]
    if (more := len(row["notes"]) - NOTES_TOLD) > 0:
        sentences.append(f"The diary has {words.count(more, 'earlier note')} on it.")
    if not pd.isna(row["finished"]):
        finished = ("Finished on {}: show it whole.", "It was finished on {}.")[own]
        sentences.append(finished.format(_day(row["finished"])))
    return sentences + ([row["next"]] if row.get("next") else [])


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


def _extras(row: dict[str, Any]) -> str:
    named = (("backstitch", "backstitches"), ("French knot", "French knots"), ("bead", "beads"))
    counts = (row["backstitch"], row["knots"], row["beads"])
    return words.listed(words.count(n, *names) for n, names in zip(counts, named, strict=True) if n > 0)


def _colours(row: dict[str, Any]) -> str:
    named, rest = row["new_colours"][:NAMED_COLOURS], len(row["new_colours"]) - NAMED_COLOURS
    return words.listed([*named, f"{rest} more"] if rest > 0 else named)


def _stitches(count: float) -> str:
    return words.count(count, "stitch", "stitches")


def _day(day: Any) -> str:
    return words.day(day, year=False)


def _sentence(clause: str) -> str:
    return f"{clause[0].upper()}{clause[1:]}."


def say_marks(calendar: pd.DataFrame, pieces: pd.DataFrame) -> str:
    """What the pieces' numbers in the calendar mean (frames of `calendar` and `pieces`); '' where it shows none."""
    if pieces.empty or calendar["week"].nunique() > WEEKS_WITH_MARKS:
        return ""
    numbered = ", ".join(f"{order} {piece}" for order, piece in zip(pieces["order"], pieces["piece"], strict=True))
    return f"The small figures are the pieces, in the order of their first session: {numbered}."


def say_progressed(pieces: pd.DataFrame) -> str:
    """Which piece came furthest, as a part of its own whole, and how many there are (frame of `pieces`)."""
    known = pieces[pieces["after_share"].notna()]
    if known.empty:
        return (
            "No piece of this period has a known total, so there is no progress to draw."
            if len(pieces)
            else "There is no stitch to show for this period."
        )
    row = known.iloc[(known["after_share"] - known["before_share"]).argmax()]
    went = say_share(row["before_share"], row["after_share"])
    others = "" if len(known) == 1 else f", the furthest of {words.number(len(known))}"
    return (
        f"{row['piece']} went from {went}{others}."
        if "to" in went
        else f"No piece moved by a whole percent; {row['piece']} is {went}."
    )


def say_shares(pieces: pd.DataFrame) -> str:
    """What part of the stitches the first piece had, and the first three together (frame of `pieces`)."""
    if pieces.empty or not pieces["share"].sum() > 0:
        return ""
    most = pieces.sort_values(["share", "order"], ascending=[False, True], kind="stable")
    text = f"{most['piece'].iloc[0]} had {words.percent(most['share'].iloc[0])} of the stitches"
    if len(most) <= 3:
        return f"{text}."
    return f"{text}; the first three together had {words.percent(most['share'].head(3).sum())}."
