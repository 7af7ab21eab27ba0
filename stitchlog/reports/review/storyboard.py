"""The pieces of a review, one after the other, as a fragment of a page: before and after, and the story."""

from __future__ import annotations

import html
import math
from pathlib import Path
from typing import Any

import pandas as pd
from PIL import Image

from stitchlog import words
from stitchlog.render import pictures
from stitchlog.reports import review
from stitchlog.reports.review.recap import Recap

_PAIR = "display:flex;flex-wrap:wrap;gap:1rem;align-items:flex-end;margin:.6rem 0"
_FIGURE = "margin:0;flex:1 1 14rem;max-width:26rem"
_IMAGE = "display:block;width:100%;height:auto;border:1px solid var(--rule,#ccc)"
# Both pictures of a pair are fitted into this box, so that neither looks nearer than the other.
_BOX = (640, 480)


def storyboard_html(recap: Recap) -> str:
    """A section a piece, as HTML: heading, pictures (or a bar of progress), sentences."""
    return "\n".join(_section(recap.folder, row) for row in recap.story.to_dict("records"))


def _section(folder: Path, row: dict[str, Any]) -> str:
    seen = pictures.of_period(folder, row)
    figures = "".join(_figure(image, row["piece"], day) for _, image, day in seen if image)
    lost = "".join(
        f'<p class="note">The picture {html.escape(path)} could not be opened.</p>'
        for path, image, _ in seen
        if not image
    )
    shown = f'<div style="{_PAIR}">{figures}</div>' if figures else bar(row)
    points = "".join(f"<li>{html.escape(said)}</li>" for said in review.say_piece(row))
    return (
        f'<section class="piece"><h3>{row["order"]}. <bdi>{html.escape(row["piece"])}</bdi></h3>'
        f"{shown}{lost}<ul>{points}</ul></section>"
    )


def _figure(image: Image.Image, piece: str, day: pd.Timestamp) -> str:
    text = words.day(day)
    alternative = html.escape(f"{piece} on {text}", quote=True)
    return (
        f'<figure style="{_FIGURE}"><img style="{_IMAGE}" alt="{alternative}" '
        f'src="{pictures.uri(pictures.fitted(image, *_BOX))}"><figcaption>{html.escape(text)}</figcaption></figure>'
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
