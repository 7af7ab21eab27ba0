"""Cards of a review for a video or a post: an opening, one a piece, a closing."""

from __future__ import annotations

import itertools
import math
import re
import unicodedata
from collections.abc import Mapping
from typing import Any

import pandas as pd
from PIL import Image

from stitchlog import words
from stitchlog.errors import StitchlogError
from stitchlog.render import lettering, pictures, theme
from stitchlog.render.card import Card
from stitchlog.reports import review
from stitchlog.reports.review.recap import Recap

# The paths of all cards, whatever the period was.
PATHS = "cards/[0-9][0-9]*-*.png"
SIZES = {"wide": (1920, 1080), "square": (1080, 1080)}
# The smallest letters, in pixels: of a card 1920 wide on a phone held upright they are 1.2 mm, held across 2.6 mm.
_SMALL = 36
MARGIN = {"wide": 96, "square": 64}


def draw_cards(recap: Recap, size: str = "wide") -> dict[str, bytes]:
    """The cards by path: `cards/00-opening.png`, `cards/01-NAME.png` and so on, `cards/NN-closing.png`.

    size: a key of SIZES; the PNGs are exactly that large. Raises StitchlogError where it is neither.
    """
    check_size(size)
    rows = recap.story.to_dict("records")
    out = {"cards/00-opening.png": _opening(recap, size).png()}
    for row in rows:
        out[f"cards/{row['order']:02d}-{slug(row['piece'])}.png"] = _piece(recap, row, size).png()
    out[f"cards/{len(rows) + 1:02d}-closing.png"] = _closing(recap, size).png()
    return out


def check_size(size: str) -> None:
    """Raises StitchlogError where `size` is not a key of SIZES."""
    if size not in SIZES:
        raise StitchlogError(f'"{size}" is not a shape of cards; write {words.listed(SIZES, "or")}')


def say_cards(recap: Recap, size: str = "wide") -> str:
    """How many cards there are and how large."""
    check_size(size)
    across, down = SIZES[size]
    return (
        f"Notes to talk from are in review/notes.md; {words.count(len(recap.story) + 2, 'card')} of {across} × {down} "
        "pixels, an opening, one a piece and a closing, are in review/cards."
    )


def slug(name: str) -> str:
    """A name as a file's name.

    >>> slug("Otter Creek"), slug("Été à l'île"), slug("日本")
    ('otter-creek', 'ete-a-l-ile', 'piece')
    """
    plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode().lower()
    return re.sub(r"[^a-z0-9]+", "-", plain).strip("-")[:60].strip("-") or "piece"


def _begin(size: str, head: str, corner: str = "") -> tuple[Card, float]:
    """A card with its head: a line, a corner text, and a row of crosses. Returns where the space below begins."""
    card = Card(*SIZES[size], MARGIN[size])
    top = card.margin + _SMALL * 0.75
    card.text(card.margin, top, head, _SMALL, theme.QUIET)
    card.text(card.width - card.margin, top, corner, _SMALL, theme.QUIET, end=True)
    card.crosses(card.margin - 3, top + 22, 18, 17, "x" * 17)
    return card, top + 70


def _piece(recap: Recap, row: dict[str, Any], size: str) -> Card:
    card, top = _begin(size, recap.period.name, f"{row['order']} of {len(recap.story)}")
    seen = [(image, words.day(day)) for _, image, day in pictures.of_period(recap.folder, row) if image]
    known = not math.isnan(row["after_share"])
    if size == "square":
        below = _words(card, row, card.margin, top, card.inner, 236) + 16
        floor = card.height - card.margin - 150
        done = floor - 132
        if seen:
            _pair(card, seen, card.margin, below, card.inner, done - 14 - below)
        elif known:
            card.crosses(card.margin, below, card.inner / 20, 20, hundredths(row))
        _progress(card, row, card.margin, done, card.inner, strip=0)
        _figures(card, piece_figures(row), card.margin, floor, card.inner)
    elif seen:
        below = _words(card, row, card.margin, top, card.inner, 250) + 24
        pictured, gap = 1140, 72
        right = card.margin + pictured + gap
        _pair(card, seen, card.margin, below, pictured, card.height - card.margin - below)
        across = card.inner - pictured - gap
        _figure_column(
            card, piece_figures(row), right, _progress(card, row, right, below, across, strip=25) + 16, across
        )
    else:
        across = 860 if known else card.inner
        _words(card, row, card.margin, top, across, 380)
        if known:
            card.crosses(card.width - card.margin - 720, top, 72, 10, hundredths(row))
        floor = card.height - card.margin - 150
        _progress(card, row, card.margin, floor - 140, across, strip=0)
        _figures(card, piece_figures(row), card.margin, floor, across)
    return card


def _words(card: Card, row: dict[str, Any], x: float, y: float, across: float, down: float) -> float:
    """Name, cloth and milestone in a box. Returns where they end."""
    sizes = (92, 80, 70, 60, 52, 46, 40) if card.width > card.height else (76, 66, 58, 52, 46, 40)
    said = [(row["cloth"], theme.QUIET, False), (milestone(row), theme.ACCENT, True)]
    said = [(text, colour, bold) for text, colour, bold in said if text]
    beside = sum(lettering.width(text, _SMALL) for text, *_ in said) + 60 < across
    lines = min(len(said), 1) if beside else len(said)
    low = y = card.block(x, y, row["piece"], across, down - lines * 54, sizes, bold=True) + 14
    for text, colour, bold in said:
        low = card.block(x, y, text, across, 54, (_SMALL,), colour, bold)
        if beside:
            x += lettering.width(text, _SMALL) + 40
        else:
            y = low + 10
    return low


def milestone(row: Mapping[str, Any]) -> str:
    """A start or a finish in a few words; '' where there is neither."""
    parts = [
        f"{verb} {words.day(row[what], year=False)}"
        for verb, what in (("started", "started"), ("finished", "finished"))
        if not pd.isna(row[what])
    ]
    text = words.listed(parts)
    return text[:1].upper() + text[1:]


def _pair(card: Card, images: list[tuple[Image.Image, str]], x: float, y: float, across: float, down: float) -> None:
    """Pictures at one scale, each with its day below; side by side or one above the other, whichever is larger."""
    gap, caption = 28, _SMALL * 1.5
    beside = ((across - gap * (len(images) - 1)) / len(images), down - caption)
    stacked = (across, (down - gap * (len(images) - 1)) / len(images) - caption)
    wide, high = max((beside, stacked), key=lambda box: _scale(images, box))
    side_by_side = (wide, high) == beside
    scale = _scale(images, (wide, high))
    for image, day in images:
        shown = image.resize((round(image.width * scale), round(image.height * scale)), Image.Resampling.LANCZOS)
        card.picture(x, y, shown)
        card.text(x, y + shown.height + _SMALL * 1.15, day, _SMALL, theme.QUIET)
        if side_by_side:
            x += max(shown.width, lettering.width(day, _SMALL)) + gap
        else:
            y += shown.height + caption + gap


def _scale(images: list[tuple[Image.Image, str]], box: tuple[float, float]) -> float:
    """The one scale at which every picture fits into its box, never more than twice its pixels."""
    return min(2.0, *(min(box[0] / i.width, box[1] / i.height) for i, _ in images))


def hundredths(row: Mapping[str, Any]) -> str:
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


def _progress(card: Card, row: dict[str, Any], x: float, y: float, across: float, strip: int) -> float:
    """Share and count, under a hundred small stitches in rows of `strip` (0: without). Returns where they end."""
    if math.isnan(row["after_share"]):
        text = f"{words.number(row['before'])} to {words.count(row['after'], 'stitch', 'stitches')}"
        return card.block(x, y, text, across, 130, (56, 48, 40, _SMALL), bold=True)
    if strip:
        cell = min(across / strip, 22.0)
        card.crosses(x, y, cell, strip, hundredths(row))
        y += cell * 100 / strip + 10
    share = review.say_share(row["before_share"], row["after_share"])
    done = f"{words.number(row['before'])} to {words.number(row['after'])} of {words.number(row['total'])}"
    y = card.block(x, y, share, across, 72, (56, 48), bold=True)
    return card.block(x, y, done, across, 90, (_SMALL,), theme.QUIET)


def piece_figures(row: Mapping[str, Any]) -> list[tuple[str, str]]:
    """The three figures that matter, each with its word: stitches, days, and time (or sessions where not timed)."""
    stitches, word = _apart(words.count(row["stitches"], "stitch", "stitches"))
    if row["estimated"]:
        partly = "partly " if row["estimated"] < row["sessions"] else ""
        stitches, word = f"≈ {stitches}", f"stitches, {partly}estimated"
    time = _apart(words.count(row["sessions"], "session"))
    if row["timed"]:
        clock = words.duration(row["minutes"]).removesuffix(" min")
        time = clock, "timed" if row["timed"] < row["sessions"] else "at the needle"
    return [(stitches, word), _apart(words.count(row["days"], "day")), time]


def _apart(counted: str) -> tuple[str, str]:
    number, word = counted.rsplit(" ", 1)
    return number, word


_FIGURE, _WORD, _LIST_SIZES = (72, 64, 56, 48, 40), (_SMALL, 32), (46, 40, _SMALL)


def _figures(card: Card, figures: list[tuple[str, str]], x: float, y: float, across: float) -> None:
    """Large figures in a row, each over its word, each with its part of the room."""
    card.rule(x, y, across)
    need = [max(lettering.width(f, _FIGURE[0]), lettering.width(w, _SMALL)) + 24 for f, w in figures]
    for (figure, word), own in zip(figures, need, strict=True):
        column = across * own / sum(need)
        low = card.block(x, y + 18, figure, column - 24, 84, _FIGURE, bold=True)
        card.block(x, low, word, column - 24, 84, _WORD, theme.QUIET)
        x += column


def _figure_column(card: Card, figures: list[tuple[str, str]], x: float, y: float, across: float) -> None:
    """Large figures one under the other, down to the card's lower margin, each over its word."""
    each = (card.height - card.margin - y) / len(figures)
    for i, (figure, word) in enumerate(figures):
        top = y + i * each
        card.rule(x, top, across)
        low = card.block(x, top + 8, figure, across, each - 56, (60, 52, 46, 40), bold=True)
        card.block(x, low, word, across, 48, _WORD, theme.QUIET)


def _opening(recap: Recap, size: str) -> Card:
    card, top = _begin(size, "In the order of their first sessions" if len(recap.story) else "A rest")
    y = card.block(card.margin, top, recap.period.name, card.inner, 260, (124, 108, 92, 80, 68), bold=True) + 20
    if recap.story.empty:
        card.block(card.margin, y, review.say_compared(recap.compared), card.inner, 420, (52, 46, 40))
        return card
    y = _days(card, recap.calendar, card.margin, y)
    floor = card.height - card.margin - 150
    _list(card, recap.story, y + 20, floor - y - 40, 2 if size == "square" else 3)
    this = recap.compared.iloc[0].to_dict()
    figures = piece_figures(this)
    figures[1] = (f"{this['days']} of {this['length']}", "days")
    _figures(card, figures, card.margin, floor, card.inner)
    return card


def _list(card: Card, story: pd.DataFrame, y: float, down: float, most_columns: int) -> None:
    """The running order in columns; where it is too long, the pieces with most stitches and how many more there are."""
    for left_out in range(len(story)):
        shown = story.nlargest(len(story) - left_out, "stitches").sort_values("order")
        lines = [f"{order} {piece}" for order, piece in zip(shown["order"], shown["piece"], strict=True)]
        lines += [f"and {words.number(left_out)} more"] if left_out else []
        for size, columns in itertools.product(_LIST_SIZES, range(1, most_columns + 1)):
            across = card.inner / columns
            flowed = _flow([lettering.wrap(t, size, across - 32) for t in lines], int(down / (size * 1.3)))
            if flowed and len(flowed) <= columns:
                for i, column in enumerate(flowed):
                    for j, text in enumerate(column):
                        card.text(card.margin + i * across, y + size * (0.92 + 1.3 * j), text, size)
                return


def _flow(entries: list[list[str]], room: int) -> list[list[str]] | None:
    """Entries of some lines each in columns of at most `room` lines, none broken in two; None where one is longer."""
    columns: list[list[str]] = [[]]
    for entry in entries:
        if columns[-1] and len(columns[-1]) + len(entry) > room:
            columns.append([])
        columns[-1] += entry
    return columns if max(map(len, columns)) <= room else None


def _days(card: Card, days: pd.DataFrame, x: float, y: float) -> float:
    """A cross for every day (week, where the days are many) with a session, else a dot; and what it means."""
    weekly = len(days) > 62
    worked = days.groupby("week")["sessions"].sum() > 0 if weekly else days["sessions"] > 0
    columns = min(len(worked), 31)
    cell = min(card.inner / columns, 56.0)
    card.crosses(x, y, cell, columns, "".join("x" if w else "." for w in worked))
    y += cell * math.ceil(len(worked) / columns)
    card.text(x, y + 44, f"a cross for every {'week' if weekly else 'day'} with a session", _SMALL, theme.QUIET)
    return y + 64


def _closing(recap: Recap, size: str) -> Card:
    card, top = _begin(size, recap.period.name)
    now = int(recap.flow["on_the_go"].iloc[-1]) if len(recap.flow) else 0
    counts = recap.changes["change"].value_counts()
    title = f"{words.count(now, 'piece')} on the go"
    y = card.block(card.margin, top, title, card.inner, 200, (108, 92, 80, 68), bold=True) + 30
    floor = card.height - card.margin - 190
    said = [review.say_changes(recap.changes[recap.changes["change"] == c]) for c in ("finished", "started")]
    texts = [t for t in (*said, review.say_untouched(recap.untouched, recap.pieces)) if t]
    for i, text in enumerate(texts):
        room = (floor - y) / (len(texts) - i) - 24
        # Names that would come out too small to read are left to the notes; the figures below count them.
        if lettering.fit(text, card.inner, room, _LIST_SIZES)[1] >= _SMALL:
            y = card.block(card.margin, y, text, card.inner, room, (52, *_LIST_SIZES)) + 24
    figures = [
        (words.number(counts.get("started", 0)), "started"),
        (words.number(counts.get("finished", 0)), "finished"),
        (words.number(now), "on the go"),
    ]
    _figures(card, figures, card.margin, floor, card.inner)
    return card
