"""The notes of a review: a running order and a script to film from, or prose for a journal."""

from __future__ import annotations

import re
from typing import Any

import pandas as pd

from stitchlog import words
from stitchlog.diary.frames import each_record
from stitchlog.errors import StitchlogError
from stitchlog.reports import review
from stitchlog.reports.review.recap import Recap
from stitchlog.reports.review.script import ORDERS, Script, ordered

# What may be planned in, largest first (seconds): whole minutes, then halves, then quarters, then seconds.
_UNITS = (60, 30, 15, 1)


def write_notes(recap: Recap, minutes: float = 20, tone: str = "talk", order: str = "worked") -> str:
    """The notes as Markdown.

    tone 'talk': a running order whose planned times add up to `minutes`, then a script in the first person. 'journal':
    the period in past-tense prose, without times. order: the pieces as they were 'worked', 'finishes-first',
    'biggest-change' first (as shares of the whole), or as in the 'file' pieces.csv. Raises StitchlogError where
    `minutes` is too short, or `tone` or `order` is none of these.
    """
    review.check_tone(tone)
    rows = in_order(recap, order)
    return _journal(recap, rows) if tone == "journal" else _talk(recap, rows, minutes)


def in_order(recap: Recap, order: str) -> list[dict[str, Any]]:
    """The rows of the story in the order to tell them in. Raises StitchlogError where `order` is none of ORDERS."""
    if order not in ORDERS:
        raise StitchlogError(f'order: "{order}" is not an order for the notes; write {words.listed(ORDERS, "or")}')
    return list(each_record(ordered(recap.story, order)))


def chapters(recap: Recap, rows: list[dict[str, Any]], minutes: float) -> list[tuple[int, str, int]]:
    """The parts of the talk: seconds from its beginning, title, planned seconds."""
    hello = f"Hello, and how {recap.period.name} went" if recap.period.length else "Hello"
    titles = [hello, *(r["piece"] for r in rows), "What's next, and goodbye"]
    seconds = planned([1.0 + 0.25 * len(recap.goals), *map(to_show, rows), 1.5], minutes)
    starts = [sum(seconds[:i]) for i in range(len(seconds))]
    return list(zip(starts, titles, seconds, strict=True))


def _talk(recap: Recap, rows: list[dict[str, Any]], minutes: float) -> str:
    parts, script = chapters(recap, rows, minutes), Script(recap)
    whole = sum(length for *_, length in parts)
    lines = [f"# {plain(recap.period.name)}", "", "## Running order", ""]
    lines += [f"- {clock(at, whole >= 3600)} {plain(title)} ({_minutes(length)})" for at, title, length in parts]
    lines += [
        "",
        f"Planned: {_minutes(whole)} in all. The times are placeholders: put the real ones in when it is cut.",
    ]
    lines += ["", "## Script", "", f"### {plain(parts[0][1])}", "", *_points(script.opening())]
    for place, row in enumerate(rows):
        length = parts[place + 1][2]
        lines += ["", f"### {place + 1}. {plain(row['piece'])} ({_minutes(length)})", ""]
        lines += _points(script.piece(row, place, len(rows)))
    lines += ["", f"### {plain(parts[-1][1])}", "", *_points(script.closing())]
    return "\n".join(lines) + "\n"


def _journal(recap: Recap, rows: list[dict[str, Any]]) -> str:
    opening = [review.say_compared(recap.compared), review.say_streaks(recap.calendar)]
    closing = [
        review.say_flow(recap.flow, recap.changes, recap.period),
        review.say_changes(recap.changes),
        review.say_untouched(recap.untouched, recap.pieces),
        review.say_bought(recap.bought),
    ]
    lines = [f"# {plain(recap.period.name)}", "", plain(" ".join(t for t in opening if t))]
    if len(recap.goals):
        said = [review.say_goals(recap.goals), *review.say_each_goal(recap.goals)]
        lines += ["", "## Said and done", "", plain(" ".join(said))]
    for row in rows:
        lines += ["", f"## {plain(row['piece'])}", "", plain(" ".join(review.say_piece(row, "journal")))]
    lines += ["", "## Starts, finishes and what waited", "", plain(" ".join(t for t in closing if t))]
    if recap.coming.length:
        said = review.say_next_month(recap.next_month, recap.coming.start)
        lines += ["", "## Next", "", plain(" ".join(said))]
    return "\n".join(lines) + "\n"


def _points(sentences: list[str]) -> list[str]:
    return [f"- {plain(s)}" for s in sentences]


def to_show(row: dict[str, Any]) -> float:
    """How much a piece has to show, as a weight (of no unit) for its time in the talk.

    One, and more for its part of the stitches (up to 3), a picture before and one after (1/2 each), a start (1/2), a
    finish (1 1/2), new colours (1/4) and notes (1/4 each, up to 1).
    """
    return float(
        1.0
        + 3.0 * row["share"]
        + 0.5 * bool(row["before_photo"])
        + 0.5 * bool(row["after_photo"])
        + 0.5 * (not pd.isna(row["started"]))
        + 1.5 * (not pd.isna(row["finished"]))
        + 0.25 * bool(row["new_colours"])
        + 0.25 * min(4, len(row["notes"]))
    )


def planned(weights: list[float], minutes: float) -> list[int]:
    """Seconds for each part, in proportion to its weight, that add up to `minutes` exactly.

    Whole minutes where every part can have one, else halves, quarters, seconds. Method: a unit for each part, the rest
    dealt out by largest remainder. Raises StitchlogError where there is not a second for each.
    """
    whole = round(float(minutes) * 60) if pd.notna(minutes) and float(minutes) < 1e6 else 0
    unit = next((u for u in _UNITS if whole % u == 0 and whole >= u * len(weights)), None)
    if unit is None or whole <= 0:
        raise StitchlogError(
            f"minutes: {minutes} is not a length that {len(weights)} parts fit into; write 20, for example"
        )
    units = whole // unit - len(weights)
    exact = [units * w / sum(weights) for w in weights]
    given = [int(e) for e in exact]
    by_rest = sorted(range(len(weights)), key=lambda i: (given[i] - exact[i], i))
    for i in by_rest[: units - sum(given)]:
        given[i] += 1
    return [(g + 1) * unit for g in given]


def clock(seconds: int, hours: bool = False) -> str:
    """A timestamp as video descriptions have it.

    >>> clock(75), clock(3675, hours=True)
    ('01:15', '1:01:15')
    """
    minutes, rest = divmod(seconds, 60)
    return f"{minutes // 60}:{minutes % 60:02d}:{rest:02d}" if hours else f"{minutes:02d}:{rest:02d}"


def _minutes(seconds: int) -> str:
    return f"{seconds / 60:g} min" if seconds % 15 == 0 else f"{seconds} s"


def plain(text: str) -> str:
    """Text whose signs mean nothing to Markdown."""
    return re.sub(r"([\\`*_{}\[\]<>#|~])", r"\\\1", " ".join(str(text).split()))
