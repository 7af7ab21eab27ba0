"""How past forecasts have done on this diary, and what that changes: a map of the probability integral transform."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

_GRID = 100  # steps of the map
TRUST = 10.0  # so many pieces' record counts half


@dataclass(frozen=True)
class Calibration:
    """What a forecast's chance has been worth: `true[i]` for the chance `i / 100`, ascending from 0 to 1.

    The probability integral transform of a finish is the chance that the forecast gave to so early a day; over good
    forecasts it is uniform (Gneiting, Balabdaoui and Raftery 2007, J. R. Statist. Soc. B 69:243-268), and where it is
    not, its distribution says what each chance is worth.
    """

    true: np.ndarray
    pieces: float = 0.0

    def of(self, days: np.ndarray, base: np.ndarray | None = None) -> np.ndarray:
        """Days to finish, shape (paths,), put right. base: the forecast that the record is of (None: `days`).

        The change is a rising function of the day, so what comes sooner on a path still does.
        """
        base = days if base is None else base
        order = np.argsort(base, kind="stable")
        near = base[order]
        count = int(np.isfinite(near).sum())
        if self.pieces == 0 or count == 0 or near[-1] <= 0:
            return days
        place = (np.arange(len(near)) + 0.5) / len(near)
        # The place of each path among the paths once it is put right, and the day that stands there.
        at = np.interp(place, self.true, np.linspace(0.0, 1.0, _GRID + 1)) * len(near) - 0.5
        moved = np.interp(at, np.arange(count), near[:count])
        moved[at > count - 1] = np.inf
        right = np.empty_like(moved)
        right[order] = moved
        if days is base:
            return np.asarray(right)
        known = np.isfinite(near) & np.isfinite(moved)
        if not known.any():
            return days
        x, y = near[known], moved[known]
        out = np.interp(days, x, y)
        out = np.where(days < x[0], days * (y[0] / x[0]), out)
        out = np.where(days > x[-1], days * (y[-1] / x[-1]), out)
        # On its own path nothing that comes sooner is put later, nor the other way about.
        out = np.where(days > base, np.maximum(out, right), np.minimum(out, right))
        return np.asarray(np.where(days == base, right, out))


NONE = Calibration(np.linspace(0.0, 1.0, _GRID + 1))


def calibration(low: np.ndarray, high: np.ndarray, weight: np.ndarray) -> Calibration:
    """What the record says. low, high: the chance given to earlier days than the finish, and to those and it (1 where
    it has not come); weight: of each forecast, a piece's adding up to 1. Drawn towards no change while few tell."""
    grid = np.linspace(0.0, 1.0, _GRID + 1)
    wide = np.maximum(high - low, 0.02)
    low = np.clip((low + high - wide) / 2, 0.0, 1.0 - wide)
    told = np.clip((grid - low[:, None]) / wide[:, None], 0.0, 1.0)
    total = float(weight.sum())
    return Calibration(np.round((TRUST * grid + weight @ told) / (TRUST + total), 6), total)
