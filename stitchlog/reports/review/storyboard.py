"""The pieces of a review, one after the other, as a fragment of a page: before and after, and the story."""

from __future__ import annotations

import html
import math
from typing import Any

import pandas as pd
from PIL import Image

from stitchlog import words
from stitchlog.diary.frames import each_record
from stitchlog.model import pictures as model
from stitchlog.render import pictures
from stitchlog.reports import review
from stitchlog.reports.review.recap import Recap

_PAIR = "display:flex;flex-wrap:wrap;gap:1rem;align-items:flex-end;margin:.6rem 0"
_FIGURE = "margin:0;flex:1 1 14rem;max-width:26rem"
_IMAGE = "display:block;width:100%;height:auto;border:1px solid var(--rule,#ccc)"
# Both pictures of a pair are fitted into this box, so that neither looks nearer than the other.
_BOX = (640, 480)
_WIDE_FIGURE = "margin:0;flex:1 1 100%;max-width:54rem"
_WIDE_BOX = (1000, 800)


def storyboard_html(recap: Recap) -> str:
    """A section a piece, as HTML: heading, pictures (or a bar of progress), sentences."""
    credits = {row["piece"]: row for row in each_record(recap.credits)}
    sections = [_section(recap, row, credits[row["piece"]]) for row in each_record(recap.story)]
    return "\n".join(sections)


def listed_html(sentences: list[str]) -> str:
    """Sentences as a list; '' where there are none."""
    points = "".join(f"<li>{html.escape(text)}</li>" for text in sentences)
    return f"<ul>{points}</ul>" if points else ""


def say_pictures(recap: Recap) -> str:
    """Which pieces are still to photograph, and which pictures cannot be opened or have no day; '' where none."""
    shown = recap.story
    said = (
        model.say_to_photograph(recap.to_photograph),
        model.say_unreadable(shown) if len(shown) else "",
        model.say_undated(recap.undated),
    )
    return " ".join(text for text in said if text)


def gallery_html(recap: Recap) -> str:
    """The finishes of `Recap.finishes` as HTML: each with its last picture; '' where none has one."""
    figures = [
        _figure(image, f"{row['piece']}, finished", row["finished"], wide=True)
        for row in each_record(recap.finishes)
        if row["photo"] and (image := pictures.load(recap.folder, row["photo"]))
    ]
    return f'<div style="{_PAIR}">{"".join(figures)}</div>' if figures else ""


def _section(recap: Recap, row: dict[str, Any], credit: dict[str, Any]) -> str:
    seen = pictures.of_period(recap.folder, row)
    done = pd.notna(row["finished"])
    # A finish is shown across the whole page.
    figures = "".join(
        _figure(image, row["piece"], day, wide=done and path == row["after_photo"])
        for path, image, day in seen
        if image
    )
    shown = f'<div style="{_PAIR}">{figures}</div>' if figures else bar(row)
    said = [*review.say_piece(row), review.say_credits(credit)]
    points = "".join(f"<li>{html.escape(text)}</li>" for text in said if text)
    return (
        f'<section class="piece"><h3>{row["order"]}. <bdi>{html.escape(row["piece"])}</bdi></h3>'
        f"{shown}<ul>{points}</ul></section>"
    )


def _figure(image: Image.Image, piece: str, day: pd.Timestamp, wide: bool = False) -> str:
    text = words.day(day)
    alternative = html.escape(f"{piece} on {text}", quote=True)
    box = _WIDE_BOX if wide else _BOX
    return (
        f'<figure style="{_WIDE_FIGURE if wide else _FIGURE}"><img style="{_IMAGE}" alt="{alternative}" '
        f'src="{pictures.uri(pictures.fitted(image, *box))}"><figcaption>{html.escape(text)}</figcaption></figure>'
    )


def bar(row: dict[str, Any]) -> str:
    """A drawn bar of progress with its text alternative; '' where the whole is not known."""
    before, after = row["before_share"], row["after_share"]
    if math.isnan(after):
        return ""
    low, high = min(before, after) * 100, max(before, after) * 100
    said = html.escape(f"{row['piece']}: {review.say_share(before, after)}", quote=True)
    return (
        f'<svg role="img" aria-label="{said}" viewBox="0 0 100 4" preserveAspectRatio="none" '
        'style="display:block;width:100%;max-width:40rem;height:1.1rem;border:1px solid var(--edge,#8a8374)">'
        f'<rect width="{low:.2f}" height="4" fill="var(--edge,#8a8374)" fill-opacity=".45"/>'
        f'<rect x="{low:.2f}" width="{high - low:.2f}" height="4" fill="var(--accent,#1a5998)"/></svg>'
    )
