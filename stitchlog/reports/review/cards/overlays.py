"""The facts of a card as a lower third: see-through but for a strip of paper, to be laid over a film."""

from __future__ import annotations

from stitchlog.render import lettering, theme
from stitchlog.render.card import Card
from stitchlog.reports.review.cards import parts
from stitchlog.reports.review.cards.parts import SMALL, Facts

SIZE = (1920, 1080)
_MARGIN, _HIGH, _LOW = 96, 250, 72


def draw_overlay(facts: Facts) -> Card:
    """Title and what stands below it to the left, figures or sentences to the right."""
    card = Card(*SIZE, _MARGIN, paper="none")
    top = card.height - _LOW - _HIGH
    card.box(0, top, card.width, _HIGH, opacity=0.92)
    card.box(0, top, 18, _HIGH, theme.ACCENT)
    figures = ((facts.progress,) if facts.progress else ()) + facts.figures[:3]
    across = card.inner * (0.38 if figures else 0.34)
    if not figures and not facts.rows:
        across = card.inner
    line = SMALL * lettering.LEADING
    tag = [facts.tag] if facts.tag else []
    below = facts.below[: 2 - len(tag)]
    room = _HIGH - 48 - line * (len(tag) + len(below))
    y = card.block(card.margin, top + 22, facts.title, across, room, (76, 66, 58, 50, 44, 38), bold=True) + 4
    for text, colour, bold in [*((t, theme.ACCENT, True) for t in tag), *((t, theme.QUIET, False) for t in below)]:
        card.block(card.margin, y, text, across, line, (SMALL, 32, 28, 24), colour, bold)
        y += line
    left = card.margin + across + 60
    if figures:
        parts.draw_figures(card, figures, left, top + 40, card.width - card.margin - left)
    elif facts.rows:
        said = facts.beside or ("",) * len(facts.rows)
        rows = [f"{row}: {more}" if more else row for row, more in zip(facts.rows, said, strict=True)]
        parts.draw_list(card, rows, (left, top + 24, card.width - card.margin - left, _HIGH - 44), 2)
    return card
