"""How far colours are apart, and whether a thread shows on a fabric."""

from __future__ import annotations

import functools
import math
from collections.abc import Sequence

import numpy as np
from coloraide import Color

# Colour differences (CIEDE2000) below which a colour on its fabric is said to ..., our own reading of many swatches: no
# source. About 1 is the least that an eye tells apart side by side.
SHOWS = ((5.0, "will hardly show"), (14.0, "will be faint"), (25.0, "will be soft"), (math.inf, "will show well"))
# Below this contrast (WCAG) a colour and its fabric are about equally light, and only the hue tells them apart.
SAME_LIGHT = 1.3


def delta_e(one: str, other: str) -> float:
    """The colour difference of two hex colours by CIEDE2000 (ISO/CIE 11664-6), D65; NaN where either is not known.

    >>> round(delta_e("#ffffff", "#000000"), 1)
    100.0
    """
    if not one or not other:
        return math.nan
    return difference(_colour(one), _colour(other))


def difference(one: Color, other: Color) -> float:
    """The colour difference of two colours by CIEDE2000."""
    return float(one.delta_e(other, method="2000"))


def contrast(one: str, other: str) -> float:
    """The contrast of two hex colours as WCAG 2.2 defines it, 1 to 21; NaN where either is not known.

    >>> round(contrast("#000000", "#ffffff"), 1)
    21.0
    """
    if not one or not other:
        return math.nan
    return float(_colour(one).contrast(_colour(other), method="wcag21"))


@functools.lru_cache(maxsize=4096)
def _colour(code: str) -> Color:
    return Color(code).convert("lab-d65")


@functools.lru_cache(maxsize=4096)
def lab(code: str) -> tuple[float, float, float]:
    """L*, a* and b* of a hex colour (CIELAB, D65)."""
    return tuple(_colour(code).coords())  # type: ignore[return-value]


def hardly_shows(threads: Sequence[str], fabrics: Sequence[str]) -> np.ndarray:
    """Whether each thread (hex) hardly shows on each fabric (hex; '': not known, False), shape (threads, fabrics)."""
    out = np.zeros((len(threads), len(fabrics)), dtype=bool)
    known = [place for place, fabric in enumerate(fabrics) if fabric]
    if not len(threads) or not known:
        return out
    one, other = (np.array([lab(code) for code in codes]) for codes in (threads, [fabrics[i] for i in known]))
    apart = one[:, None] - other[None]
    # Most pairs need no second look: by its formula CIEDE2000 is never below the difference in lightness over 1.75, nor
    # below that in a* and b* times 0.36 (where its rotation takes away most) over 1 + 0.0675 of their mean chroma.
    chroma = (np.hypot(*one.T[1:])[:, None] + np.hypot(*other.T[1:])[None]) / 2
    near = np.abs(apart[:, :, 0]) < 1.75 * SHOWS[0][0]
    near &= 0.36 * np.hypot(apart[:, :, 1], apart[:, :, 2]) < SHOWS[0][0] * (1 + 0.0675 * chroma)
    for thread, place in np.argwhere(near):
        out[thread, known[place]] = delta_e(threads[thread], fabrics[known[place]]) < SHOWS[0][0]
    return out


def shows(delta: float, light: float) -> str:
    """How a thread shows on its fabric, in words: by their difference (CIEDE2000) and contrast (WCAG)."""
    if math.isnan(delta):
        return "not known"
    said = next(text for upto, text in SHOWS if delta < upto)
    return f"{said}, by its hue alone" if light < SAME_LIGHT and delta >= SHOWS[1][0] else said
