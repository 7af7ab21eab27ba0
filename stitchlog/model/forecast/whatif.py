"""What if: so many stitches or sessions a week, all the time there is, a share of it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any

import numpy as np

from stitchlog import words
from stitchlog.errors import StitchlogError
from stitchlog.model.forecast import spells
from stitchlog.model.forecast.known import Known
from stitchlog.model.forecast.paths import CHUNK, Stretch, futures, played, sizes

_OWN_DAYS = 5  # days of its own from which a piece's sessions are known; before, the stitcher's days stand in


def one_of(**asked: Any) -> dict[str, float]:
    """The what-if that is asked, {} where none is. Raises StitchlogError for two at once, or a value out of bounds."""
    given = {name: float(value) for name, value in asked.items() if value is not None}
    if len(given) > 1:
        names = words.listed(name.replace("_", " ") for name in given)
        raise StitchlogError(f"ask one what-if at a time, not {names} together")
    for name, value in given.items():
        most = 1.0 if name == "share" else np.inf
        if not 0 < value <= most or not np.isfinite(value):
            bounds = "above 0 and at most 1" if name == "share" else "above 0"
            raise StitchlogError(f"{name.replace('_', ' ')} must be {bounds}, and {value:g} is not")
    return given


def say_asked(asked: dict[str, float]) -> str:
    """The what-if in words, '' where there is none.

    >>> say_asked({"per_week": 300.0}), say_asked({})
    ('with 300 stitches a week', '')
    """
    for name, value in asked.items():
        if name == "per_week":
            return f"with {words.count(value, 'stitch', 'stitches')} a week"
        if name == "sessions_per_week":
            return f"with {words.number(value, 0 if value == round(value) else 1)} sessions a week"
        if name == "share" and value < 1:
            return f"with {words.percent(value)} of your time"
        return "with all your time"
    return ""


def futures_asked(about: Known, asked: dict[str, float], paths: int, seed: int) -> Iterable[Stretch]:
    """Futures of the piece under the what-if."""
    name, value = next(iter(asked.items()))
    if name in ("focus", "share"):
        share = 1.0 if name == "focus" else value
        return futures([spells.read(about.everything != 0)], sizes(about.everything), paths, seed, share)
    own = about.own if (about.own > 0).sum() >= _OWN_DAYS else about.everything
    table = sizes(own)
    usual = float(table.mean())
    return _steady(value / usual if name == "per_week" else value, table, paths, seed)


def _steady(sessions_per_week: float, table: np.ndarray, paths: int, seed: int) -> Iterator[Stretch]:
    """Futures with the same chance on every day; beyond a session a day, each session grows."""
    chance = min(1.0, sessions_per_week / spells.WEEK)
    table = table * np.float32(sessions_per_week / spells.WEEK / chance)
    steady = np.full((paths, CHUNK), chance, np.float32)
    return played(lambda step, rng: steady, table, np.arange(paths) % len(table), [seed, 0])
