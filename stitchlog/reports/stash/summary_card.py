"""The drawer on one card, for a video or a post."""

from __future__ import annotations

import pandas as pd

from stitchlog import words
from stitchlog.diary.frames import each_record
from stitchlog.render import theme
from stitchlog.render.card import Card
from stitchlog.reports.stash.frames import Totals
from stitchlog.reports.stash.sentences import needs_of

SIZE, MARGIN = (1920, 1080), 96
# The smallest letters, in pixels.
_SMALL = 36
_ROWS = 5


def draw_card(charts: pd.DataFrame, totals: Totals, day: pd.Timestamp) -> dict[str, bytes]:
    """The card as `card.png`, 1920 x 1080 pixels; nothing where no chart waits."""
    if charts.empty:
        return {}
    card = Card(*SIZE, MARGIN)
    top = MARGIN + _SMALL * 0.75
    card.text(MARGIN, top, "What is waiting in the drawer", _SMALL, theme.QUIET)
    card.text(card.width - MARGIN, top, words.day(day), _SMALL, theme.QUIET, end=True)
    card.crosses(MARGIN - 3, top + 22, 18, 17, "x" * 17)
    figures = [
        (words.number(totals.charts), "chart waiting" if totals.charts == 1 else "charts waiting"),
        (words.number(totals.stitches), "stitches in them"),
        (words.number(totals.cuts), "cut of fabric" if totals.cuts == 1 else "cuts of fabric"),
        (words.number(int(charts["ready"].sum())), "ready to start"),
    ]
    for place, (figure, what) in enumerate(figures):
        x = MARGIN + place * card.inner / len(figures)
        card.text(x, top + 180, figure, 92, theme.ACCENT, bold=True)
        card.text(x, top + 236, what, _SMALL, theme.QUIET)
    y = top + 320
    for row in each_record(charts.head(_ROWS)):
        card.rule(MARGIN, y, card.inner)
        card.block(MARGIN, y + 26, row["piece"], card.inner * 0.5, 60, (48, 42, 36), bold=bool(row["ready"]))
        hours = f"{words.number(row['hours'])} h" if row["hours"] > 0 else ""
        card.text(MARGIN + card.inner * 0.62, y + 70, hours, _SMALL, theme.INK, end=True)
        card.block(MARGIN + card.inner * 0.65, y + 34, needs_of(row), card.inner * 0.35, 48, (36, 32, 28))
        y += 116
    return {"card.png": card.png()}
