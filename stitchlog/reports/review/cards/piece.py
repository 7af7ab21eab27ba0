"""The card of one piece: its pictures over at least half of the frame, or its stitches drawn, and its figures."""

from __future__ import annotations

import itertools
import math

import pandas as pd
from PIL import Image

from stitchlog import words
from stitchlog.render import lettering, pictures, theme
from stitchlog.render.card import Card
from stitchlog.reports import review
from stitchlog.reports.review.cards import parts
from stitchlog.reports.review.cards.parts import SMALL, TITLES, Facts, Row
from stitchlog.reports.review.recap import Recap

Picture = tuple[Image.Image, str]
Box = tuple[float, float, float, float]
_PAD = 48
# Stitches in a row of the strip in a narrow column; pixels that progress in large letters takes.
_NARROW, _LARGE = 20, 200
# Pixels that the words need: across beside the pictures, down below them.
_BESIDE = {"wide": 560}
_BELOW = {"wide": 330, "square": 430, "tall": 620}
_NAMES = (92, 80, 70, 60, 52, 46, 40)


def draw_piece(recap: Recap, row: Row, size: str) -> Card:
    """The card of a row of `recap.story`. A finish has its last picture alone, over the whole frame."""
    seen = photos(recap, row, largest=1920)
    if not pd.isna(row["finished"]):
        seen = seen[-1:]
    corner = f"{row['order']} of {len(recap.story)}"
    facts = facts_of(recap, row)
    if seen:
        card = Card(*parts.SIZES[size], parts.MARGIN[size])
        panel = _draw_photos(card, seen, size, whole=not pd.isna(row["finished"]))
        _draw_panel(card, facts, row, panel, recap.period.name, corner)
        return card
    card, top = parts.begin(size, recap.period.name, corner)
    low, across = card.height - card.margin, card.inner
    numbers = (_LARGE if facts.progress else 130) + 186
    down = low - numbers - 24 - top
    if facts.progress and size == "wide":
        side = low - top
        card.crosses(card.width - card.margin - side, top, side / 10, 10, parts.hundredths(row))
        across -= side + 90
    elif facts.progress:
        columns = 10 if size == "tall" else 20
        cell = min(card.inner / columns, (down - 240) * columns / 100)
        down -= cell * 100 / columns + 20
        card.crosses(card.margin, top + down + 10, cell, columns, parts.hundredths(row))
    _draw_words(card, facts, (card.margin, top, across, down), (*TITLES[1:4], *_NAMES))
    end = _draw_large_progress(card, row, card.margin, low - numbers, across)
    parts.draw_figures(card, facts.figures, card.margin, end + 6, across, largest=96)
    return card


def photos(recap: Recap, row: Row, largest: int = pictures.LARGEST) -> list[Picture]:
    """The pictures before and after that can be opened, each with its day in words."""
    named = [(row[f"{when}_photo"], row[f"{when}_photo_date"]) for when in ("before", "after")]
    found = [(pictures.load(recap.folder, path, largest), day) for path, day in named if path]
    return [(image, words.day(day)) for image, day in found if image]


def facts_of(recap: Recap, row: Row) -> Facts:
    """What the card of a piece says: its name, fabric, design, start or finish, and its figures."""
    credit = recap.credits.set_index("piece")["design_by"].get(row["piece"], "")
    below = tuple(t for t in (row["cloth"], f"Design: {credit}" if credit else "") if t)
    progress = None
    if not math.isnan(row["after_share"]):
        progress = review.say_share(row["before_share"], row["after_share"]), f"of {words.number(row['total'])}"
    return Facts(row["piece"], below, _turn(row), progress, parts.figures_of(row))


def _turn(row: Row) -> str:
    """A start or a finish in a few words; '' where there is neither."""
    said = [f"{verb} {words.day(row[verb], year=False)}" for verb in ("started", "finished") if not pd.isna(row[verb])]
    text = words.listed(said)
    return text[:1].upper() + text[1:]


def _draw_photos(card: Card, seen: list[Picture], size: str, whole: bool) -> Box:
    """Pictures at one scale in cells from edge to edge, each with its day. Returns the box that is left for words.

    whole: the picture reaches over the whole frame, and its day is said elsewhere.
    """
    images = [image for image, _ in seen]
    scale, cells, panel = max(_layouts(images, size), key=lambda found: _covered(images, found[0], found[1]))
    if whole:  # out of focus behind the words too
        parts.draw_backdrop(card, images[0])
    for (image, day), cell in zip(seen, cells, strict=True):
        parts.draw_photo(card, image, cell, scale, bare=whole)
        if not whole:
            parts.draw_label(card, day, cell[0], cell[1] + cell[3])
    card.box(*panel, opacity=0.88 if whole else 1.0)
    return panel


def _layouts(images: list[Image.Image], size: str) -> list[tuple[float, list[Box], Box]]:
    """Every way to lay the pictures out: their scale, their cells, and the box for words below or beside them."""
    wide, high = parts.SIZES[size]
    areas: list[tuple[Box, Box]] = [((0, 0, wide, high - _BELOW[size]), (0, high - _BELOW[size], wide, _BELOW[size]))]
    if size in _BESIDE:
        across = _BESIDE[size]
        areas.append(((across, 0, wide - across, high), (0, 0, across, high)))
    found = []
    for (area, panel), in_a_row in itertools.product(areas, (True, False)):
        cells = _cells(area, len(images), in_a_row)
        found.append((parts.photo_scale(images, [cell[2:] for cell in cells]), cells, panel))
    return found


def _cells(area: Box, number: int, in_a_row: bool, gap: int = 6) -> list[Box]:
    x, y, across, down = area
    if in_a_row:
        each = (across - gap * (number - 1)) / number
        return [(x + i * (each + gap), y, each, down) for i in range(number)]
    each = (down - gap * (number - 1)) / number
    return [(x, y + i * (each + gap), across, each) for i in range(number)]


def _covered(images: list[Image.Image], scale: float, cells: list[Box]) -> float:
    """Pixels of the card that show a picture."""
    sizes = [(i.width * scale, i.height * scale) for i in images]
    return sum(min(w, cell[2]) * min(h, cell[3]) for (w, h), cell in zip(sizes, cells, strict=True))


def _draw_panel(card: Card, facts: Facts, row: Row, box: Box, head: str, corner: str) -> None:
    """The words of a piece in a box that reaches the edges of the card."""
    _, y, across, down = box
    if across > 3 * down:  # a band: name to the left, figures to the right
        left, middle = card.margin, across * 0.5
        _draw_words(card, facts, (left, y + 40, middle - left - 60, down - 40 - 64))
        card.text(left, card.height - 44, f"{head} · {corner}", SMALL, theme.QUIET)
        _draw_numbers(card, row, facts, middle, y + 34, across - middle - card.margin, strip=50)
        return
    if down > 1.5 * across:  # a column
        inner = across - 2 * _PAD
        top = parts.draw_head(card, _PAD, y + card.margin * 0.75, inner, head, corner)
        lines = sum(parts.line_height(*f, inner) for f in facts.figures)
        height = _progress_height(row, _NARROW, inner) + lines
        low = y + down - card.margin * 0.5
        _draw_words(card, facts, (_PAD, top, inner, low - height - 20 - top), _NAMES[2:])
        end = _draw_progress(card, row, _PAD, low - height, inner, strip=_NARROW)
        parts.draw_figure_lines(card, facts.figures, _PAD, end, inner)
        return
    inner = across - 2 * card.margin
    strip = 0 if card.width == card.height else 50
    height = _numbers_height(row, strip, inner)
    low = y + down - card.margin * 0.6
    top = y + 30
    if low - height - top > 190:
        top = parts.draw_head(card, card.margin, top, inner, head, corner) - 16
    _draw_words(card, facts, (card.margin, top, inner, low - height - 24 - top))
    _draw_numbers(card, row, facts, card.margin, low - height, inner, strip)


def _draw_words(card: Card, facts: Facts, box: Box, names: tuple[int, ...] = _NAMES) -> float:
    """Name, start or finish, fabric and design in a box, the last of them only where there is room."""
    x, y, across, down = box
    line = SMALL * lettering.LEADING
    said = [(facts.tag, theme.ACCENT, True), *((text, theme.QUIET, False) for text in facts.below)]
    wrapped = [(lettering.wrap(text, SMALL, across), colour, bold) for text, colour, bold in said if text]
    room = down - line * sum(len(lines) for lines, *_ in wrapped[: 1 + bool(facts.tag)]) - 14
    low = card.block(x, y, facts.title, across, max(room, 60), names, bold=True) + 8
    for lines, colour, bold in wrapped:
        if low + line * len(lines) > y + down + 4:
            break
        for text in lines:
            card.text(x, low + SMALL * 0.92, text, SMALL, colour, bold)
            low += line
    return low


def _numbers_height(row: Row, strip: int, across: float) -> float:
    return _progress_height(row, strip, across) + 150


def _draw_numbers(card: Card, row: Row, facts: Facts, x: float, y: float, across: float, strip: int) -> None:
    """Progress over the figures in a row."""
    end = _draw_progress(card, row, x, y, across, strip)
    parts.draw_figures(card, facts.figures, x, end + 6, across)


def _progress_height(row: Row, strip: int, across: float) -> float:
    if math.isnan(row["after_share"]):
        return 80
    return _strip_height(strip, across) + (124 if strip == _NARROW else 72)


def _strip_height(strip: int, across: float) -> float:
    return min(across / strip, 22.0) * 100 / strip + 12 if strip else 0.0


def _draw_progress(card: Card, row: Row, x: float, y: float, across: float, strip: int) -> float:
    """Share and count, under a hundred small stitches in rows of `strip` (0: without). Returns where they end."""
    end = y + _progress_height(row, strip, across)
    if math.isnan(row["after_share"]):
        card.block(x, y, _counted(row), across, 72, (56, 48, 40, SMALL, 30), bold=True)
        return end
    if strip:
        card.crosses(x, y, min(across / strip, 22.0), strip, parts.hundredths(row))
        y += _strip_height(strip, across)
    share, done = _said(row)
    if strip == _NARROW:
        y = card.block(x, y, share, across, 66, (56, 48, 40), bold=True)
        card.block(x, y, done, across, 50, (SMALL, 32, 28), theme.QUIET)
        return end
    card.text(x, y + 52, share, 52, bold=True)
    if lettering.width(share, 52) + lettering.width(done, SMALL) + 30 <= across:
        card.text(x + across, y + 52, done, SMALL, theme.QUIET, end=True)
    return end


def _draw_large_progress(card: Card, row: Row, x: float, y: float, across: float) -> float:
    """Share over count, in large letters. Returns where they end."""
    if math.isnan(row["after_share"]):
        return card.block(x, y, _counted(row), across, 130, (96, 84, 72, 60, 48, 40, SMALL), bold=True)
    share, done = _said(row)
    low = card.block(x, y, share, across, 140, (112, 96, 80, 68, 56), bold=True)
    card.block(x, low, done, across, 50, (SMALL, 32, 28), theme.QUIET)
    return y + _LARGE


def _counted(row: Row) -> str:
    """From count to count, where the whole is not known; '' where it would say what the figures say."""
    return (
        f"{words.number(row['before'])} to {words.count(row['after'], 'stitch', 'stitches')}" if row["before"] else ""
    )


def _said(row: Row) -> tuple[str, str]:
    done = f"{words.number(row['before'])} to {words.number(row['after'])} of {words.number(row['total'])}"
    return review.say_share(row["before_share"], row["after_share"]), done
