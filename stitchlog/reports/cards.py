"""Cards of a review for a video or a post: an opening, one a piece, a closing."""

from __future__ import annotations

import math
import re
import unicodedata
from collections.abc import Mapping
from typing import Any

import pandas as pd
from PIL import Image

from stitchlog import pictures, review, theme, words
from stitchlog.diary import Diary
from stitchlog.errors import StitchlogError
from stitchlog.reports.card import Card
from stitchlog.review import Period

SIZES = {"wide": (1920, 1080), "square": (1080, 1080)}
# The smallest letters, in pixels: of a card 1920 wide on a phone held upright they are 1.2 mm, held across 2.6 mm.
_SMALL = 36
_MARGIN = {"wide": 96, "square": 64}


def cards(diary: Diary, period: Period, story: pd.DataFrame, size: str = "wide") -> dict[str, bytes]:
    """The cards by path: `cards/00-opening.png`, `cards/01-NAME.png` and so on, `cards/NN-closing.png`.

    story: the frame of `review.story` for the period. size: a key of SIZES; the PNGs are exactly that large. Raises
    StitchlogError where it is neither.
    """
    check_size(size)
    rows = story.to_dict("records")
    out = {"cards/00-opening.png": _opening(diary, period, rows, size).png()}
    for row in rows:
        out[f"cards/{row['order']:02d}-{slug(row['piece'])}.png"] = _piece(diary, period, row, len(rows), size).png()
    out[f"cards/{len(rows) + 1:02d}-closing.png"] = _closing(diary, period, size).png()
    return out


def check_size(size: str) -> None:
    """Raises StitchlogError where `size` is not a key of SIZES."""
    if size not in SIZES:
        raise StitchlogError(f'"{size}" is not a shape of cards; write {words.listed(SIZES, "or")}')


def say_cards(story: pd.DataFrame, size: str = "wide") -> str:
    """How many cards there are and how large."""
    check_size(size)
    across, down = SIZES[size]
    return (
        f"Notes to talk from are in review/notes.md; {words.count(len(story) + 2, 'card')} of {across} × {down} "
        "pixels, an opening, one a piece and a closing, are in review/cards."
    )


def slug(name: str) -> str:
    """A name as a file's name.

    >>> slug("Otter Creek"), slug("Été à l'île"), slug("日本")
    ('otter-creek', 'ete-a-l-ile', 'piece')
    """
    plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode().lower()
    return re.sub(r"[^a-z0-9]+", "-", plain).strip("-")[:60].strip("-") or "piece"


def _begin(period: Period, size: str, corner: str) -> tuple[Card, float]:
    """A card with its head: the period, a corner text, and a row of crosses. Returns where the space below begins."""
    card = Card(*SIZES[size], _MARGIN[size])
    top = card.margin + _SMALL * 0.75
    card.text(card.margin, top, period.name, _SMALL, theme.QUIET)
    card.end_text(card.width - card.margin, top, corner, _SMALL, theme.QUIET)
    card.crosses(card.margin - 3, top + 22, 18, 17, "x" * 17)
    return card, top + 70


def _piece(diary: Diary, period: Period, row: dict[str, Any], of: int, size: str) -> Card:
    card, top = _begin(period, size, f"{row['order']} of {of}")
    images = _images(diary, row)
    if size == "wide":
        beside = bool(images) or not math.isnan(row["after_share"])
        across = 860 if beside else card.inner
        right = card.margin + 860 + 64
        _words(card, row, card.margin, top, across, 360)
        if images:
            _pair(card, images, right, top, card.width - card.margin - right, card.height - card.margin - top - 56)
        elif beside:
            _hundred(card, row, right + 80, top, 640)
        _progress(card, row, card.margin, 606, across, small=bool(images))
        _figures(card, piece_figures(row), card.margin, 826, across)
        return card
    _words(card, row, card.margin, top, card.inner, 220)
    below = top + 236
    if images:
        _pair(card, images, card.margin, below, card.inner, 300)
    elif not math.isnan(row["after_share"]):
        _hundred(card, row, card.margin, below, 340)
    _progress(card, row, card.margin, 750, card.inner, small=bool(images))
    _figures(card, piece_figures(row), card.margin, 890, card.inner)
    return card


def _words(card: Card, row: dict[str, Any], x: float, y: float, across: float, down: float) -> None:
    lines = [t for t in (row["cloth"], milestone(row)) if t]
    name = card.block(x, y, row["piece"], across, down - len(lines) * 52, (92, 80, 70, 60, 52, 46, 40), bold=True)
    y = name + 14
    if row["cloth"]:
        y = card.block(x, y, row["cloth"], across, 52, (_SMALL,), theme.QUIET) + 10
    if milestone(row):
        card.block(x, y, milestone(row), across, 52, (_SMALL,), theme.ACCENT, bold=True)


def milestone(row: Mapping[str, Any]) -> str:
    """A start or a finish in a few words; '' where there is neither."""
    parts = [
        f"{verb} {words.day(row[what], year=False)}"
        for verb, what in (("started", "started"), ("finished", "finished"))
        if not pd.isna(row[what])
    ]
    text = words.listed(parts)
    return text[:1].upper() + text[1:]


def _images(diary: Diary, row: dict[str, Any]) -> list[tuple[Image.Image, str]]:
    found = []
    for when in ("before", "after"):
        image = pictures.load(diary.folder, row[f"{when}_photo"]) if row[f"{when}_photo"] else None
        if image is not None:
            found.append((image, words.day(row[f"{when}_photo_date"])))
    return found


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
        x, y = (x + shown.width + gap, y) if side_by_side else (x, y + shown.height + caption + gap)


def _scale(images: list[tuple[Image.Image, str]], box: tuple[float, float]) -> float:
    """The one scale at which every picture fits into its box, never more than twice its pixels."""
    return min(2.0, *(min(box[0] / i.width, box[1] / i.height) for i, _ in images))


def hundredths(row: Mapping[str, Any]) -> str:
    """The piece as a hundred stitches: o done before, x done in the period, a dot for what is left.

    A part that is begun but less than a hundredth is still one cross; the last dot stays until all is done.
    """
    before, after = row["before_share"], row["after_share"]
    low, high = sorted((_hundredth(before), _hundredth(after)))
    if after > before and high == low:
        low, high = (low - 1, high) if low == 100 or (low and after < 1 and low == 99) else (low, high + 1)
    if after < before:
        low = high = _hundredth(after)
    return "o" * low + "x" * (high - low) + "." * (100 - high)


def _hundredth(share: float) -> int:
    return 100 if share >= 1 else min(99, round(share * 100))


def _hundred(card: Card, row: dict[str, Any], x: float, y: float, across: float) -> None:
    card.crosses(x, y, across / 10, 10, hundredths(row))


def _progress(card: Card, row: dict[str, Any], x: float, y: float, across: float, small: bool) -> None:
    if math.isnan(row["after_share"]):
        text = f"{words.number(row['before'])} to {words.count(row['after'], 'stitch', 'stitches')}"
        card.block(x, y + 40, text, across, 60, (52, 46, 40, 36), bold=True)
        return
    if small:
        cell = min(across / 50, 17.2)
        card.crosses(x, y, cell, 50, hundredths(row))
    share = review.say_share(row["before_share"], row["after_share"])
    done = f"{words.number(row['before'])} to {words.number(row['after'])} of {words.number(row['total'])}"
    bottom = card.block(x, y + (44 if small else 10), share, across, 66, (52,), bold=True)
    card.block(x, bottom, done, across, 48, (_SMALL,), theme.QUIET)


def piece_figures(row: Mapping[str, Any]) -> list[tuple[str, str]]:
    """The three figures that matter, each with its word: stitches, days, and time (or sessions where not timed)."""
    out = [(words.number(row["stitches"]), "stitch" if words.number(row["stitches"]) == "1" else "stitches")]
    if row["estimated"]:
        out = [
            (
                f"≈ {out[0][0]}",
                "stitches, partly estimated" if row["estimated"] < row["sessions"] else "stitches, estimated",
            )
        ]
    out.append((words.number(row["days"]), "day" if row["days"] == 1 else "days"))
    if row["timed"]:
        out.append((clock_time(row["minutes"]), "timed" if row["timed"] < row["sessions"] else "at the needle"))
    else:
        out.append((words.number(row["sessions"]), "session" if row["sessions"] == 1 else "sessions"))
    return out


def clock_time(minutes: float) -> str:
    """Minutes as hours and minutes, short enough for a card.

    >>> clock_time(45), clock_time(150), clock_time(1480)
    ('45 min', '2 h 30', '25 h')
    """
    hours, rest = divmod(round(minutes), 60)
    if hours == 0:
        return f"{rest} min"
    if hours >= 10 or rest == 0:
        return f"{words.number(round(minutes / 60))} h"
    return f"{hours} h {rest:02d}"


def _figures(card: Card, figures: list[tuple[str, str]], x: float, y: float, across: float) -> None:
    """Large figures in a row, each over its word."""
    card.rule(x, y, across)
    each = across / len(figures)
    for i, (figure, word) in enumerate(figures):
        card.block(x + i * each, y + 18, figure, each - 24, 84, (72, 64, 56, 48, 40), bold=True)
        card.block(x + i * each, y + 100, word, each - 24, 84, (_SMALL, 32), theme.QUIET)


def _opening(diary: Diary, period: Period, rows: list[dict[str, Any]], size: str) -> Card:
    card, top = _begin(period, size, "")
    compared = review.compared(diary, period.start, period.end)
    this = compared.iloc[0].to_dict()
    y = card.block(card.margin, top, period.name, card.inner, 260, (124, 108, 92, 80, 68), bold=True) + 20
    if not rows:
        card.block(card.margin, y, review.say_compared(compared), card.inner, 420, (52, 46, 40))
        return card
    y = _days(card, diary, period, card.margin, y)
    foot = card.height - card.margin - 190
    named = " · ".join(f"{row['order']} {row['piece']}" for row in rows)
    card.block(card.margin, y + 24, named, card.inner, foot - y - 48, (52, 46, 40, _SMALL))
    figures = piece_figures(this)
    figures[1] = (f"{this['days']} of {this['length']}", "days")
    _figures(card, figures, card.margin, foot, card.inner)
    return card


def _days(card: Card, diary: Diary, period: Period, x: float, y: float) -> float:
    """A cross for every day (week, where the days are many) with a session, else a dot; and what it means."""
    days = review.calendar(diary, period.start, period.end)
    weekly = len(days) > 62
    worked = days.groupby("week")["sessions"].sum() > 0 if weekly else days["sessions"] > 0
    columns = min(len(worked), 31)
    cell = min(card.inner / columns, 44.0)
    card.crosses(x, y, cell, columns, "".join("x" if w else "." for w in worked))
    y += cell * math.ceil(len(worked) / columns)
    card.text(x, y + 44, f"a cross for every {'week' if weekly else 'day'} with a session", _SMALL, theme.QUIET)
    return y + 64


def _closing(diary: Diary, period: Period, size: str) -> Card:
    card, top = _begin(period, size, "")
    changed = review.changes(diary, period.start, period.end)
    flow = review.flow(diary, period.start, period.end)
    now = int(flow["on_the_go"].iloc[-1]) if len(flow) else 0
    counts = changed["change"].value_counts()
    title = f"{words.count(now, 'piece')} on the go"
    y = card.block(card.margin, top, title, card.inner, 200, (108, 92, 80, 68), bold=True) + 30
    foot = card.height - card.margin - 190
    said = [review.say_changes(changed), review.say_untouched(review.untouched(diary, period.start, period.end))]
    texts = [t for t in said if t]
    each = (foot - y - 30) / len(texts)
    for text in texts:
        y = card.block(card.margin, y, text, card.inner, each - 24, (52, 46, 40, _SMALL)) + 24
    figures = [
        (words.number(counts.get("started", 0)), "started"),
        (words.number(counts.get("finished", 0)), "finished"),
        (words.number(now), "on the go"),
    ]
    _figures(card, figures, card.margin, foot, card.inner)
    return card
