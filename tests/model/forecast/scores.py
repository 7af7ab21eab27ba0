"""How good a forecast was: the continuous ranked probability score and how often windows hold."""

from __future__ import annotations

import numpy as np


def crps(sample: np.ndarray, truth: float) -> float:
    """The continuous ranked probability score of an ensemble, in the unit of the sample; 0 is perfect, less is better.

    mean |x - y| - half of mean |x - x'| (Gneiting and Raftery 2007, Journal of the American Statistical Association
    102:359-378, equation 21).

    >>> crps(np.array([1.0, 2.0, 3.0, 4.0]), 2.5)
    0.375
    """
    x = np.sort(np.asarray(sample, float))
    n = len(x)
    spread = float((2 * np.arange(1, n + 1) - n - 1) @ x) / n**2
    return float(np.abs(x - truth).mean()) - spread


def days_score(days: np.ndarray, truth: float, seen: float) -> float:
    """CRPS of the log of days to finish. Days and truth beyond `seen`, where the data ends, count as `seen`."""
    return crps(np.log1p(np.minimum(days, seen)), float(np.log1p(min(truth, seen))))


def holds(days: np.ndarray, truth: float, seen: float, level: float) -> bool:
    """Whether the central window with chance `level` holds the truth, both cut off at `seen`."""
    low, high = np.quantile(np.minimum(days, seen), [(1 - level) / 2, (1 + level) / 2])
    return bool(low <= min(truth, seen) <= high)
