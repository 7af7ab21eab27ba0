"""Days to finish from a series, and the quantiles that are read from them."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
import pandas as pd

from stitchlog.errors import StitchlogError
from stitchlog.model.forecast import spells
from stitchlog.model.forecast.paths import HORIZON, Stretch, amounts_of, futures, sizes


@dataclass(frozen=True)
class Correction:
    """What a diary's own record changes in a forecast.

    later: how much further off finishes are, on the log scale (below 0: nearer). wider: the factor by which windows are
    stretched around their middle on the log scale.
    """

    later: float = 0.0
    wider: float = 1.0

    def of(self, days: np.ndarray) -> np.ndarray:
        """Days to finish, shape (paths,), put right: whole days, at least 1 (0 where nothing is left to do)."""
        middle = np.log1p(quantile(days, 0.5))
        if self == NONE or middle == 0:
            return days
        logs = np.log1p(days)
        if np.isfinite(middle):
            logs = middle + self.wider * (logs - middle)
        out = np.maximum(np.round(np.expm1(logs + self.later)), 1.0)
        out[out > HORIZON] = np.inf
        return out


NONE = Correction()


def finish_series(daily: pd.Series, remaining: float, paths: int = 2000, seed: int = 0) -> np.ndarray:
    """Days to finish from a daily series alone, as of its last day.

    daily: stitches a day, zeros included. remaining: stitches still to do. Returns whole days, shape (paths,): 0 where
    nothing remains, at least 1 otherwise, inf where a path does not get there within `HORIZON` days. The same seed
    gives the same answer, and a path never finishes more work sooner. Raises StitchlogError where `remaining` is NaN.
    """
    if np.isnan(remaining):
        raise StitchlogError("how many stitches remain must be a number")
    amounts = amounts_of(daily)
    if remaining > 0 and not (amounts > 0).any():
        return np.full(paths, np.inf)
    return days_until(remaining, own_futures(amounts, paths, seed), paths)


def own_futures(amounts: np.ndarray, paths: int, seed: int) -> Iterable[Stretch]:
    """Futures from stitches a day alone; some day must have some."""
    return futures([spells.read(amounts != 0)], sizes(amounts), paths, seed)


def days_until(remaining: float, stretches: Iterable[Stretch], paths: int) -> np.ndarray:
    """Days until `remaining` stitches are worked, shape (paths,); inf beyond the horizon."""
    return days_until_each(np.array([remaining]), stretches, paths)[0]


def days_until_each(wanted: np.ndarray, stretches: Iterable[Stretch], paths: int, horizon: int = HORIZON) -> np.ndarray:
    """The same for several amounts, ascending, on the same paths: shape (amounts, paths).

    wanted: shape (amounts,), or (amounts, paths) where it differs by path.
    """
    wanted = np.broadcast_to(wanted if wanted.ndim == 2 else wanted[:, None], (len(wanted), paths))
    days = np.where(wanted > 0, np.inf, 0.0)
    done, passed = np.zeros(paths), 0
    if not (wanted > 0).any() or not np.isfinite(wanted).any():
        return days
    for stretch in stretches:
        for i in np.flatnonzero(np.isinf(days).any(axis=1)):
            day, worked = stretch.reach(wanted[i] - done)
            days[i] = np.where(np.isinf(days[i]), passed + day, days[i])
        done, passed = done + worked, passed + stretch.days
        if passed >= horizon or np.isfinite(days[-1]).all():
            break
    days[days > horizon] = np.inf
    return days


def quantile(days: np.ndarray, q: float | np.ndarray) -> np.ndarray:
    """The day by which a share `q` of the paths are there: whole days, inf where they are not (type 1 of Hyndman and
    Fan 1996, The American Statistician 50:361-365, which never lies between two days)."""
    ordered = np.sort(days)
    at = np.ceil(np.asarray(q) * len(ordered) - 1e-9).astype(int) - 1
    return ordered[at.clip(0, len(ordered) - 1)]
