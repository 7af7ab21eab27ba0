"""What cards are put together from: a head, figures over their words, lists in columns, pictures in a cell."""

from __future__ import annotations

import itertools
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import pandas as pd
from PIL import Image, ImageFilter

from stitchlog import words
from stitchlog.errors import StitchlogError
from stitchlog.render import lettering, theme
from stitchlog.render.card import Card

SIZES = {"wide": (1920, 1080), "square": (1080, 1080), "tall": (1080, 1920)}
MARGIN = {"wide": 96, "square": 64, "tall": 72}
# The smallest letters, in pixels: of a card 1920 wide on a phone held upright they are 1.2 mm, held across 2.6 mm.
SMALL = 36
TITLES = (124, 108, 92, 80, 68, 60, 52)
# A motif of four by four stitches, where there is nothing else to show.
MOTIF = "xooxoxxooxxoxoox"
LIST_SIZES = (60, 52, 46, 40, SMALL)
_FIGURES, _WORDS = (96, 84, 72, 64, 56, 48, 40), (SMALL, 32, 28)
# How much of the longer and of the shorter side of a picture may be cut off to fill its cell, as shares: a piece mostly
# fills the shorter one. What is still bare shows the picture out of focus.
_CUT = 0.24, 0.08
_ENLARGED = 2.6


# A row of a frame, as a dictionary.
Row = Mapping[Any, Any]


@dataclass(frozen=True)
class Facts:
    """What a card says, however it is laid out.

    title; below (quiet lines); tag (what is worth marking); progress (a figure with its word); figures, each with its
    word; rows (sentences, or entries
    each with what is said beside it), each with its mark (x, o or - for a dash; all x where there are none).
    """

    title: str
    below: tuple[str, ...] = ()
    tag: str = ""
    progress: tuple[str, str] | None = None
    figures: tuple[tuple[str, str], ...] = ()
    rows: tuple[str, ...] = ()
    beside: tuple[str, ...] = ()
    marks: str = ""


def check_size(size: str) -> None:
    """Raises StitchlogError where `size` is not a key of SIZES."""
    if size not in SIZES:
        raise StitchlogError(f'"{size}" is not a shape of cards; write {words.listed(SIZES, "or")}')


def begin(size: str, head: str = "", corner: str = "") -> tuple[Card, float]:
    """A card with its head: a line, a corner text, and a row of crosses. Returns where the space below begins."""
    card = Card(*SIZES[size], MARGIN[size])
    return card, draw_head(card, card.margin, card.margin, card.inner, head, corner)


def draw_head(card: Card, x: float, y: float, across: float, head: str, corner: str = "") -> float:
    """A quiet line with a corner text over a row of crosses. Returns where the space below begins."""
    base = y + SMALL * 0.75
    card.text(x, base, head, SMALL, theme.QUIET)
    card.text(x + across, base, corner, SMALL, theme.QUIET, end=True)
    card.crosses(x - 3, base + 22, 18, 17, "x" * 17)
    return base + 70


def figures_of(row: Row) -> tuple[tuple[str, str], ...]:
    """The three figures that matter, each with its word: stitches, days, and time (or sessions where not timed)."""
    stitches, word = _apart(words.count(row["stitches"], "stitch", "stitches"))
    if row["estimated"]:
        partly = "partly " if row["estimated"] < row["sessions"] else ""
        stitches, word = f"≈ {stitches}", f"stitches, {partly}estimated"
    time = _apart(words.count(row["sessions"], "session"))
    if row["timed"]:
        clock = words.duration(row["minutes"]).removesuffix(" min")
        time = clock, "timed" if row["timed"] < row["sessions"] else "at the needle"
    return (stitches, word), _apart(words.count(row["days"], "day")), time


def _apart(counted: str) -> tuple[str, str]:
    number, word = counted.rsplit(" ", 1)
    return number, word


def draw_figures(
    card: Card, figures: Sequence[tuple[str, str]], x: float, y: float, across: float, largest: int = 72
) -> None:
    """Large figures in a row under a line, each over its word, each with its part of the room; 150 pixels high.

    The larger `largest` is than 72, the higher they are.
    """
    card.rule(x, y, across)
    # Smaller words before smaller figures.
    for size, small in itertools.product([s for s in _FIGURES if s <= largest], _WORDS):
        need = [max(lettering.width(f, size), lettering.width(w, small)) + 40 for f, w in figures]
        if sum(need) <= across:
            break
    for (figure, word), own in zip(figures, need, strict=True):
        column = across * own / sum(need)
        low = card.block(x, y + 18, figure, column - 24, size * 1.2, tuple(s for s in _FIGURES if s <= size), bold=True)
        card.block(x, low, word, column - 24, 84, tuple(s for s in _WORDS if s <= small), theme.QUIET)
        x += column


def draw_figure_lines(card: Card, figures: Sequence[tuple[str, str]], x: float, y: float, across: float) -> None:
    """Figures one under the other, each with its word beside it (below it where there is no room)."""
    for figure, word in figures:
        card.rule(x, y, across)
        card.text(x, y + 62, figure, 52, bold=True)
        beside = x + lettering.width(figure, 52) + 16
        fits = lettering.width(word, SMALL) <= x + across - beside
        if fits:
            card.text(beside, y + 62, word, SMALL, theme.QUIET)
        else:
            card.block(x, y + 72, word, across, 50, (SMALL, 32, 28), theme.QUIET)
        y += line_height(figure, word, across)


def line_height(figure: str, word: str, across: float) -> float:
    """How many pixels a figure of `draw_figure_lines` takes."""
    together = lettering.width(figure, 52) + 16 + lettering.width(word, SMALL)
    return 84 if together <= across else 128


def draw_list(
    card: Card,
    rows: Sequence[str],
    box: tuple[float, float, float, float],
    most_columns: int = 1,
    weights: Sequence[float] | None = None,
) -> None:
    """Entries in columns in a box, as large as they fit.

    Where they are too many, those with most weight (None: the first of them) and how many more there are.
    """
    x, y, across, down = box
    by_weight = sorted(range(len(rows)), key=lambda i: -weights[i] if weights else i)
    for shown in range(len(rows), 0, -1):
        lines = [rows[i] for i in sorted(by_weight[:shown])]
        lines += [f"and {words.number(len(rows) - shown)} more"] if shown < len(rows) else []
        for size, columns in itertools.product(LIST_SIZES, range(1, most_columns + 1)):
            column = across / columns
            flowed = _flow([lettering.wrap(t, size, column - 24) for t in lines], int(down / (size * 1.34)))
            if flowed and len(flowed) <= columns:
                for i, column_lines in enumerate(flowed):
                    for j, text in enumerate(column_lines):
                        card.text(x + i * column, y + size * (0.92 + 1.34 * j), text, size)
                return


def draw_table(card: Card, facts: Facts, y: float, low: float, size: str) -> None:
    """A row an entry from y down to low, its mark before it, what is said beside it (below it on a narrow card)."""
    beside = size == "wide"
    least, most = {"wide": (66, 118), "square": (98, 150), "tall": (108, 210)}[size]
    left = card.margin + 70
    across = card.width - card.margin - left

    def box(said: str, each: float) -> tuple[float, float]:
        return (across - lettering.width(said, 40) - 60, each - 6) if beside else (across, each - 56)

    rows = list(zip(facts.rows, facts.beside, facts.marks, strict=True))
    for shown in range(len(rows), 0, -1):
        room = low - y - (56 if shown < len(rows) else 0)
        each = min(room / shown, most)
        # Fewer rows rather than letters too small to be read.
        fits = (lettering.fit(text, *box(said, each), LIST_SIZES[1:])[1] for text, said, _ in rows[:shown])
        if each >= least and min(fits) >= SMALL:
            break
    if shown < len(rows):
        card.text(card.margin, low - 8, f"and {words.number(len(rows) - shown)} more", SMALL, theme.QUIET)
    for i, (text, said, mark) in enumerate(rows[:shown]):
        top = y + i * each
        _draw_mark(card, mark, card.margin, top + 6, 46)
        colour, bold = (theme.QUIET, False) if mark == "-" else (theme.ACCENT, mark == "x")
        end = card.block(left, top, text, *box(said, each), LIST_SIZES[1:])
        if beside:
            card.text(card.width - card.margin, top + 46, said, 40, colour, bold, end=True)
        else:
            card.text(left, end + SMALL * 0.95, said, SMALL, colour, bold)


def _draw_mark(card: Card, mark: str, x: float, y: float, size: float) -> None:
    if mark == "-":
        card.box(x + size * 0.2, y + size * 0.45, size * 0.6, 5, theme.EDGE)
    else:
        card.crosses(x, y, size, 1, mark)


def draw_rows(card: Card, facts: Facts, y: float) -> None:
    """Sentences as large as they fit, each after its mark, from y down."""
    if not facts.rows:
        return
    down = card.height - card.margin - y
    for shown, size in ((n, s) for n in range(len(facts.rows), 0, -1) for s in (76, 68, *LIST_SIZES)):
        wrapped = [lettering.wrap(text, size, card.inner - size * 1.35) for text in facts.rows[:shown]]
        gap = size * 0.7
        needed = sum(len(lines) * size * 1.2 + gap for lines in wrapped)
        if needed <= down:
            break
    # What room is left parts the rows, up to a line's worth.
    gap += min(max(down - needed, 0) / len(wrapped), size)
    for lines, mark in zip(wrapped, facts.marks or "x" * len(wrapped), strict=False):
        _draw_mark(card, mark, card.margin, y + 2, size * 0.95)
        for line in lines:
            card.text(card.margin + size * 1.35, y + size * 0.88, line, size)
            y += size * 1.2
        y += gap


def _flow(entries: list[list[str]], room: int) -> list[list[str]] | None:
    """Entries of some lines each in columns of at most `room` lines, none broken in two; None where one is longer."""
    columns: list[list[str]] = [[]]
    for entry in entries:
        if columns[-1] and len(columns[-1]) + len(entry) > room:
            columns.append([])
        columns[-1] += entry
    return columns if max(map(len, columns)) <= room else None


def hundredths(row: Row) -> str:
    """The piece as a hundred stitches: o done before, x done in the period, a dot for what is left.

    A part that is begun but less than a hundredth is still one cross; the last dot stays until all is done.
    """
    before, after = row["before_share"], row["after_share"]
    low, high = _hundredth(before), _hundredth(after)
    if after < before:
        low = high
    elif after > before and low == high:
        high = min(low + 1, 100 if after >= 1 else 99)
        low = high - 1
    return "o" * low + "x" * (high - low) + "." * (100 - high)


def _hundredth(share: float) -> int:
    return 100 if share >= 1 else min(99, round(share * 100))


def draw_backdrop(card: Card, image: Image.Image) -> None:
    """A picture out of focus over the whole card."""
    card.picture(0, 0, _blurred(image, card.width, card.height))


def _blurred(image: Image.Image, across: int, down: int) -> Image.Image:
    # Small, then enlarged: as soft, and much faster.
    small = _cropped(image, max(across / image.width, down / image.height) / 8, -(-across // 8), -(-down // 8))
    soft = small.filter(ImageFilter.GaussianBlur(4)).resize((across, down), Image.Resampling.BICUBIC)
    return Image.blend(soft, Image.new("RGB", soft.size, theme.PAPER), 0.3)


def draw_photo(
    card: Card, image: Image.Image, box: tuple[float, float, float, float], scale: float = 0.0, bare: bool = False
) -> None:
    """A picture in the middle of a cell (x, y, across, down), at a scale (0: the one that fills the cell best).

    At most `_CUT` is cut off; what the picture leaves bare shows itself, out of focus, but for `bare`.
    """
    x, y, across, down = (round(v) for v in box)
    scale = scale or photo_scale([image], [(across, down)])
    shown = _cropped(image, scale, across, down)
    if shown.size != (across, down) and not bare:
        card.picture(x, y, _blurred(image, across, down))
    card.picture(x + (across - shown.width) // 2, y + (down - shown.height) // 2, shown)


def photo_scale(images: Sequence[Image.Image], cells: Sequence[tuple[float, float]]) -> float:
    """The one scale at which pictures fill their cells best with no more than `_CUT` lost."""
    scales = [_ENLARGED]
    for image, (across, down) in zip(images, cells, strict=True):
        cut = _CUT if image.width >= image.height else _CUT[::-1]
        wide, high = across / image.width, down / image.height
        scales.append(min(max(wide, high), wide / (1 - cut[0]), high / (1 - cut[1])))
    return min(scales)


def _cropped(image: Image.Image, scale: float, across: int, down: int) -> Image.Image:
    """The picture at a scale, its edges cut off alike on both sides where it is larger than the cell."""
    wide, high = min(across / scale, image.width), min(down / scale, image.height)
    left, top = (image.width - wide) / 2, (image.height - high) / 2
    size = min(across, max(1, round(wide * scale))), min(down, max(1, round(high * scale)))
    return image.resize(size, Image.Resampling.LANCZOS, (left, top, left + wide, top + high))


def draw_label(card: Card, text: str, x: float, low: float, size: float = SMALL) -> None:
    """A line on a slip of paper whose lower left corner is at (x, low), to be read on a picture."""
    card.box(x, low - size * 1.5, label_width(text, size), size * 1.5, opacity=0.9)
    card.text(x + size * 0.4, low - size * 0.45, text, size)


def label_width(text: str, size: float) -> float:
    """Pixels across the slip of `draw_label`."""
    return lettering.width(text, size) + size * 0.8


def draw_days(card: Card, days: pd.DataFrame, x: float, y: float, across: float) -> float:
    """A cross for every day (week, where the days are many) with a session, else a dot, each with its number or month.

    Returns where they end.
    """
    weekly = len(days) > 62
    if weekly:
        grouped = days.groupby("week")
        worked, first = grouped["sessions"].sum() > 0, grouped["date"].min()
        columns = min(len(worked), 27 if across > 1200 else 18)
        named = [words.month(d, year=False)[:3] for d in first]
        names = [n if i == 0 or n != named[i - 1] else "" for i, n in enumerate(named)]
    else:
        worked = days["sessions"] > 0
        columns = min(len(worked), 31 if across > 1200 else 11 if card.height > card.width else 16)
        names = [str(d.day) for d in days["date"]]
    cell = min(across / columns, 88.0)
    for i in range(0, len(worked), columns):
        card.crosses(x, y, cell, columns, "".join("x" if w else "." for w in worked.iloc[i : i + columns]))
        for j, name in enumerate(names[i : i + columns]):
            # A number stands under the middle of its cross, a month under the beginning of its first.
            left = x + j * cell + (0 if weekly else (cell - lettering.width(name, 30)) / 2)
            card.text(left, y + cell + 30, name, 30, theme.QUIET)
        y += cell + 50
    if card.height == card.width:
        return y  # no room for what is plain to see
    said = "a cross for each " + ("week" if weekly else "day") + " with a session"
    card.text(x, y + 34, said, SMALL, theme.QUIET)
    return y + 54
