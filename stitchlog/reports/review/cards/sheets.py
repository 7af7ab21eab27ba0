"""Pictures side by side: the thumbnail of a period, and sheets with a tile a piece."""

from __future__ import annotations

import math
from dataclasses import dataclass

from PIL import Image

from stitchlog import words
from stitchlog.diary.frames import each_record
from stitchlog.render import lettering, pictures, theme
from stitchlog.render.card import Card
from stitchlog.reports import review
from stitchlog.reports.review.cards import parts
from stitchlog.reports.review.cards.parts import SMALL, TITLES, Row
from stitchlog.reports.review.recap import Recap

_GAP = 24
# The shapes of a tile's picture, width to height.
_WIDEST, _NARROWEST = 1.5, 0.8
_LEAST = 22.0


@dataclass(frozen=True)
class Tile:
    """One piece on a sheet: its name, a line below it, its picture's path ('' none), and its hundred stitches."""

    name: str
    below: str
    photo: str
    stitches: str


def draw_contact_sheet(recap: Recap, size: str) -> Card | None:
    """All pieces of the period on one card; None where there is none."""
    rows = list(each_record(recap.story))
    tiles = [Tile(row["piece"], _share(row), row["after_photo"] or row["before_photo"], _stitches(row)) for row in rows]
    return draw_tiles(recap, tiles, recap.period.name, "", size) if tiles else None


def _share(row: Row) -> str:
    if math.isnan(row["after_share"]):
        return words.count(row["after"], "stitch", "stitches")
    return review.say_share(row["before_share"], row["after_share"])


def _stitches(row: Row) -> str:
    return "" if math.isnan(row["after_share"]) else parts.hundredths(row)


def draw_tiles(recap: Recap, tiles: list[Tile], title: str, corner: str, size: str) -> Card:
    """A sheet of tiles, as many columns as make them largest."""
    card = Card(*parts.SIZES[size], parts.MARGIN[size])
    y = card.margin * 0.6
    card.text(card.width - card.margin, y + 58, corner, SMALL, theme.QUIET, end=True)
    y = card.block(card.margin, y, title, card.inner, 90, TITLES[4:], bold=True) + 16
    down = card.height - card.margin * 0.6 - y
    columns, across, each = max(
        ((n, *_tile(n, len(tiles), card.inner, down)) for n in range(1, len(tiles) + 1)),
        key=lambda found: min(found[1] * 0.78, found[2] - _words(found[1])),
    )
    # A picture lies as a rule: tiles much wider or higher than one leave room around them instead.
    shown = min(across, (each - _words(across)) * _WIDEST)
    high = min(each, shown / _NARROWEST + _words(shown))
    for i, tile in enumerate(tiles):
        left = card.margin + i % columns * (across + _GAP) + (across - shown) / 2
        _draw_tile(card, recap, tile, (left, y + i // columns * (each + _GAP) + (each - high) / 2, shown, high))
    return card


def _tile(columns: int, number: int, across: float, down: float) -> tuple[float, float]:
    lines = math.ceil(number / columns)
    return (across - _GAP * (columns - 1)) / columns, (down - _GAP * (lines - 1)) / lines


def _words(across: float) -> float:
    """Pixels below a picture of this width that its name and line take."""
    return 2 * _letters(across) * 1.25


def _letters(across: float) -> float:
    return min(max(across / 9, 24.0), 40.0)


def _draw_tile(card: Card, recap: Recap, tile: Tile, box: tuple[float, float, float, float]) -> None:
    x, y, across, down = box
    pictured = down - _words(across)
    image = pictures.load(recap.folder, tile.photo, 1200) if tile.photo else None
    if image:
        parts.draw_photo(card, image, (x, y, across, pictured))
    else:
        card.box(x, y, across, pictured, theme.RAMP[0])
        # Twenty in a row, ten in a narrow tile; a small motif where the whole is not known.
        kinds, columns = tile.stitches, 20 if across >= pictured * 1.6 else 10
        if not kinds:
            kinds, columns = parts.MOTIF, 4
        rows = len(kinds) / columns
        cell = min(across / columns, pictured / rows) * (0.9 if tile.stitches else 0.5)
        card.crosses(x + (across - columns * cell) / 2, y + (pictured - rows * cell) / 2, cell, columns, kinds)
    letters, low = _letters(across), y + pictured
    name = lettering.wrap(tile.name, max(_LEAST, letters * 0.8), across)
    if lettering.width(tile.name, letters) <= across or len(name) == 1:
        size = min(letters, letters * across / lettering.width(tile.name, letters))
        card.text(x, low + letters * 1.1, tile.name, size, bold=True)
        size = min(letters, letters * across / lettering.width(tile.below, letters))
        card.text(x, low + letters * 2.25, tile.below, size, theme.QUIET)
        return
    # A long name takes both lines; what is left of a longer one is left out.
    for i, line in enumerate([name[0], name[1] + "…" * (len(name) > 2)]):
        card.text(x, low + letters * (1.1 + 1.1 * i), line, max(_LEAST, letters * 0.8), bold=True)


def draw_thumbnail(recap: Recap, size: str) -> Card:
    """Three pictures of the period, finishes first, and its name in large letters."""
    card = Card(*parts.SIZES[size], parts.MARGIN[size])
    images = _best(recap)
    title = recap.period.name
    if not images:
        columns = round(card.width / 60)
        rows = math.ceil(card.height / 60)
        row = recap.calendar["sessions"].gt(0).tolist() or [False]
        kinds = "".join("o" if row[i % len(row)] else "." for i in range(columns * rows))
        card.crosses(0, 0, card.width / columns, columns, kinds)
    for image, box in zip(images, _slices(card, len(images)), strict=True):
        parts.draw_photo(card, image, box, max(box[2] / image.width, box[3] / image.height))
    high = 240
    top = card.height - high - (0 if size != "tall" else 300)
    card.box(0, top, card.width, high, opacity=0.94 if images else 1.0)
    lines, letters = lettering.fit(title, card.inner, high - 30, (190, 160, 136, 116, 100, 84, 68))
    y = top + (high - len(lines) * letters * lettering.LEADING) / 2
    for i, line in enumerate(lines):
        wide = lettering.width(line, letters)
        card.text((card.width - wide) / 2, y + letters * (0.92 + i * lettering.LEADING), line, letters, bold=True)
    return card


def _slices(card: Card, number: int) -> list[tuple[float, float, float, float]]:
    """Cells for so many pictures: the first is the largest."""
    wide, high, gap = card.width, card.height, 6
    if number == 3 and wide >= high:
        first = wide * 0.6
        half = (high - gap) / 2
        rest = first + gap, wide - first - gap
        return [(0, 0, first, high), (rest[0], 0, rest[1], half), (rest[0], half + gap, rest[1], half)]
    if wide > high:
        each = (wide - gap * (number - 1)) / max(number, 1)
        return [(i * (each + gap), 0, each, high) for i in range(number)]
    each = (high - gap * (number - 1)) / max(number, 1)
    return [(0, i * (each + gap), wide, each) for i in range(number)]


def _best(recap: Recap) -> list[Image.Image]:
    """Up to three pictures: of finishes, then of the pieces of which most can be seen."""
    rows = recap.story.sort_values("after_share", ascending=False, kind="stable")
    rows = rows.sort_values("finished", kind="stable", na_position="last")
    found: list[Image.Image] = []
    for path in rows["after_photo"]:
        if path and len(found) < 3 and (image := pictures.load(recap.folder, path, 1920)):
            found.append(image)
    return found
