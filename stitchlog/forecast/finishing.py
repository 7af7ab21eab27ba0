"""When a piece will be finished: a window with a chance, not one date."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
import pandas as pd

from stitchlog.forecast import spells
from stitchlog.forecast.paths import HORIZON, Stretch, amounts_of, futures, sizes


def finish_series(daily: pd.Series, remaining: float, paths: int = 2000, seed: int = 0) -> np.ndarray:
    """Days to finish from a daily series alone, as of its last day.

    daily: stitches a day, zeros included. remaining: stitches still to do. Returns whole days, shape (paths,): 0 where
    nothing remains, at least 1 otherwise, inf where a path does not get there within `HORIZON` days. The same seed
    gives the same answer, and a path never finishes more work sooner.
    """
    amounts = amounts_of(daily)
    if not remaining > 0:
        return np.zeros(paths)
    if not (amounts > 0).any():
        return np.full(paths, np.inf)
    return days_until(remaining, futures([spells.read(amounts != 0)], sizes(amounts), paths, seed), paths)


def days_until(remaining: float, stretches: Iterable[Stretch], paths: int) -> np.ndarray:
    """Days until `remaining` stitches are worked on each path, inf beyond the horizon."""
    days, wanted, passed = np.full(paths, np.inf), np.full(paths, float(remaining)), 0
    for stretch in stretches:
        day, worked = stretch.reach(wanted)
        days = np.where(np.isinf(days), passed + day, days)
        wanted, passed = wanted - worked, passed + stretch.days
        if passed >= HORIZON or np.isfinite(days).all():
            break
    days[days > HORIZON] = np.inf
    return days
