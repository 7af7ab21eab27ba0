"""All cards of a period, in the order in which it is told."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Iterator
from functools import partial

from stitchlog import words
from stitchlog.diary.frames import each_record
from stitchlog.render.card import Card
from stitchlog.reports.review.cards import overlays, period, sheets, year
from stitchlog.reports.review.cards.parts import SIZES, Facts, check_size
from stitchlog.reports.review.cards.piece import draw_piece, facts_of
from stitchlog.reports.review.recap import Recap

# The paths of all numbered cards, whatever the period was.
PATHS = "cards/[0-9][0-9]*-*.png"

# A card's name, what it says (None: nothing), and what draws it.
_Told = tuple[str, Callable[[Recap], Facts | None], Callable[[Recap, Facts, str], Card]]
_BEFORE: tuple[_Told, ...] = (
    ("opening", period.opening, period.draw_opening),
    ("said-and-done", period.goals, period.draw_list),
)
_AFTER: tuple[_Told, ...] = (
    ("bought", period.bought, period.draw_bought),
    ("milestones", period.milestones, period.draw_list),
    ("months", year.months, year.draw_months),
    ("records", year.records, period.draw_list),
    ("finishes", year.finishes, year.draw_finishes),
    ("next-month", period.next_month, period.draw_list),
    ("closing", period.closing, period.draw_list),
)


def draw_cards(recap: Recap, size: str = "wide", overlay: bool = False) -> dict[str, bytes]:
    """The cards by path: `cards/00-opening.png`, `cards/01-NAME.png` and so on, `cards/NN-closing.png`.

    size: a key of SIZES; the PNGs are exactly that large. overlay: the same facts as lower thirds, see-through PNGs of
    1920 x 1080. Otherwise `cards/thumbnail.png` and `cards/contact-sheet.png` (where there are pieces) come with them.
    Raises StitchlogError where there is no such size.
    """
    check_size(size)
    out = {}
    for path, facts, draw in _told(recap, size):
        out[f"cards/{path}.png"] = (overlays.draw_overlay(facts) if overlay else draw()).png()
    if not overlay:
        out["cards/thumbnail.png"] = sheets.draw_thumbnail(recap, size).png()
        if sheet := sheets.draw_contact_sheet(recap, size):
            out["cards/contact-sheet.png"] = sheet.png()
    return out


def _told(recap: Recap, size: str) -> Iterator[tuple[str, Facts, Callable[[], Card]]]:
    """Each card's name without its ending, what it says, and what draws it."""
    for name, ask, draw in _BEFORE:
        if facts := ask(recap):
            yield f"00-{name}", facts, partial(draw, recap, facts, size)
    rows = list(each_record(recap.story))
    for row in rows:
        path = f"{row['order']:02d}-{slug(row['piece'])}"
        yield path, facts_of(recap, row), partial(draw_piece, recap, row, size)
    number = len(rows)
    for name, ask, draw in _AFTER:
        if facts := ask(recap):
            number += 1
            yield f"{number:02d}-{name}", facts, partial(draw, recap, facts, size)


def say_cards(recap: Recap, size: str = "wide", overlay: bool = False) -> str:
    """How many cards there are and how large."""
    check_size(size)
    across, down = overlays.SIZE if overlay else SIZES[size]
    number = sum(1 for _ in _told(recap, size))
    kind = "see-through card" if overlay else "card"
    return (
        f"Notes to talk from are in review/notes.md; {words.count(number, kind)} of {across} × {down} pixels, one a "
        "piece and those of the whole period, are in review/cards."
    )


def slug(name: str) -> str:
    """A name as a file's name.

    >>> slug("Otter Creek"), slug("Été à l'île"), slug("日本")
    ('otter-creek', 'ete-a-l-ile', 'piece')
    """
    plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode().lower()
    return re.sub(r"[^a-z0-9]+", "-", plain).strip("-")[:60].strip("-") or "piece"
