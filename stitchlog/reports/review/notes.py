"""The notes of a review: a running order with talking points to film from, or prose for a journal."""

from __future__ import annotations

import re
from typing import Any

import pandas as pd

from stitchlog.errors import StitchlogError
from stitchlog.reports import review
from stitchlog.reports.review.recap import Recap

# What may be planned in, largest first (seconds): whole minutes, then halves, then quarters, then seconds.
_UNITS = (60, 30, 15, 1)


def write_notes(recap: Recap, minutes: float = 20, tone: str = "talk") -> str:
    """The notes as Markdown.

    tone 'talk': a running order whose planned times add up to `minutes`, then the points to speak to. 'journal': the
    same in past-tense prose, without times. Raises StitchlogError where `minutes` is too short or `tone` is neither.
    """
    review.check_tone(tone)
    return _journal(recap) if tone == "journal" else _talk(recap, minutes)


def _talk(recap: Recap, minutes: float) -> str:
    rows = recap.story.to_dict("records")
    name = recap.period.name
    titles = [f"Hello, and how {name} went", *(r["piece"] for r in rows), "Starts, finishes, and what waited"]
    seconds = planned([1.0, *map(to_show, rows), 1.0], minutes)
    starts = [sum(seconds[:i]) for i in range(len(seconds))]
    long = sum(seconds) >= 3600
    lines = [f"# {_plain(name)}", "", "## Running order", ""]
    lines += [
        f"- {clock(at, long)} {_plain(title)} ({_minutes(length)})"
        for at, title, length in zip(starts, titles, seconds, strict=True)
    ]
    total = _minutes(sum(seconds))
    lines += ["", f"Planned: {total} in all. The times are placeholders: put the real ones in when it is cut."]
    lines += ["", "## Talking points", "", f"### {_plain(titles[0])}", "", *_points(_opening(recap))]
    for row, length in zip(rows, seconds[1:-1], strict=True):
        lines += ["", f"### {row['order']}. {_plain(row['piece'])} ({_minutes(length)})", ""]
        lines += _points(review.say_piece(row, "talk"))
    lines += ["", f"### {_plain(titles[-1])}", "", *_points(_closing(recap))]
    return "\n".join(lines) + "\n"


def _journal(recap: Recap) -> str:
    lines = [f"# {_plain(recap.period.name)}", "", _plain(" ".join(_opening(recap)))]
    for row in recap.story.to_dict("records"):
        lines += ["", f"## {_plain(row['piece'])}", "", _plain(" ".join(review.say_piece(row, "journal")))]
    lines += ["", "## Starts, finishes and what waited", "", _plain(" ".join(_closing(recap)))]
    return "\n".join(lines) + "\n"


def _opening(recap: Recap) -> list[str]:
    return [t for t in (review.say_compared(recap.compared), review.say_streaks(recap.calendar)) if t]


def _closing(recap: Recap) -> list[str]:
    said = (
        review.say_flow(recap.flow, recap.changes, recap.period),
        review.say_changes(recap.changes),
        review.say_untouched(recap.untouched, recap.pieces),
    )
    return [t for t in said if t]


def _points(sentences: list[str]) -> list[str]:
    return [f"- {_plain(s)}" for s in sentences]


def to_show(row: dict[str, Any]) -> float:
    """How much a piece has to show, as a weight (of no unit) for its time in the talk.

    One, and more for its part of the stitches (up to 3), a picture before and one after (1/2 each), a start (1/2), a
    finish (1 1/2), new colours (1/4) and notes (1/4 each, up to 1).
    """
    return (
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


def _plain(text: str) -> str:
    """Text whose signs mean nothing to Markdown."""
    return re.sub(r"([\\`*_{}\[\]<>#|~])", r"\\\1", " ".join(str(text).split()))
