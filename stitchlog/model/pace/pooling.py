"""Partial pooling: what each of many uncertain values is likely to be, given that they are of one family."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import stdtr, stdtrit

# The chance that every window of a pace holds.
CHANCE = 0.90
# Steps of the grid over the spread between pieces (log scale); where half its prior would lie below, which is nearly
# flat where pieces of one stitcher are; and the most it can be, a factor of 4.5 (common practice, no source; both
# matter with three pieces or fewer).
STEPS = 64
SPREAD_SCALE, MOST_SPREAD = 1.0, 1.5


@dataclass(frozen=True)
class Pooled:
    """The pooled values, as a mixture over how far the true values may be spread (`spread`, with `weight`).

    spread, weight: (k,). middle, middle_var: (k,), the family's mean for each spread. mean, var: (k, n), each value's.
    pull: (k, n), the share of the family's mean in it. lift: (k, n), what the mean is low by on average. df: (n,).
    """

    spread: np.ndarray
    weight: np.ndarray
    middle: np.ndarray
    middle_var: np.ndarray
    mean: np.ndarray
    var: np.ndarray
    pull: np.ndarray
    lift: np.ndarray
    df: np.ndarray

    def expected(self) -> np.ndarray:
        """Each value's mean over the mixture, (n,)."""
        return np.asarray(self.weight @ self.mean)

    def window(self, chance: float = CHANCE) -> tuple[np.ndarray, np.ndarray]:
        """Low and high ends, (n,) each, that hold the value with `chance`, half of the rest on either side."""
        tail = (1.0 - chance) / 2.0
        mean, sd = self.mean + self.lift, np.sqrt(self.var)
        df = np.broadcast_to(self.df, sd.shape)
        return (quantile(tail, self.weight, mean, sd, df), quantile(1.0 - tail, self.weight, mean, sd, df))

    def chance_above(self, a: int, b: int) -> float:
        """The chance that value `a` is above value `b`, by position."""
        tie = self.pull[:, a] * self.pull[:, b] * self.middle_var
        sd = np.sqrt(np.maximum(self.var[:, a] + self.var[:, b] - 2.0 * tie, 1e-300))
        df = min(self.df[a], self.df[b])
        mean = self.mean + self.lift
        return float(self.weight @ stdtr(df, (mean[:, a] - mean[:, b]) / sd))

    def another(self, step: float = 0.0, step_var: float = 0.0) -> np.ndarray:
        """Middle, low and high end (3,) of one more value of the family, moved by `step` of variance `step_var`."""
        middle, sd = self.middle + step, np.sqrt(self.spread**2 + self.middle_var + step_var)
        ends = (0.5, (1.0 - CHANCE) / 2.0, (1.0 + CHANCE) / 2.0)
        df = np.full((len(middle), 1), np.inf)
        return np.array([quantile(p, self.weight, middle[:, None], sd[:, None], df)[0] for p in ends])


def pool(
    values: ArrayLike, variances: ArrayLike, df: ArrayLike | None = None, low_by: ArrayLike | None = None
) -> Pooled:
    """Values shrunk towards their common mean, by as much as they agree.

    values, variances: (n,), what was measured and how uncertain each is. df: (n,), degrees of freedom behind each
    variance (None: known exactly). low_by: (n,), what each value is low by on average (None: nothing); windows allow
    for it. The spread between true values has a half-Cauchy prior, cut off at MOST_SPREAD.

    The normal hierarchical model with a flat prior on the mean, summed over a grid of the spread, so that the windows
    carry the uncertainty of the spread as well (Gelman et al., Bayesian Data Analysis, 3rd ed., 5.4; from memory).
    """
    values, variances = np.asarray(values, float), np.asarray(variances, float)
    freedom = np.full(len(values), np.inf) if df is None else np.asarray(df, float)
    low = np.zeros(len(values)) if low_by is None else np.asarray(low_by, float)
    # Equal steps of the prior's own quantiles: fine where the spread is likely, and far enough out.
    most = np.arctan(MOST_SPREAD / SPREAD_SCALE)
    spread = SPREAD_SCALE * np.tan(most * (np.arange(STEPS) + 0.5) / STEPS)
    total = spread[:, None] ** 2 + variances
    precision = 1.0 / total
    # Of no values the mean is as good as unknown.
    middle_var = 1.0 / np.maximum(precision.sum(axis=1), 1e-300)
    middle = middle_var * (precision @ values)
    log_weight = 0.5 * np.log(middle_var) - 0.5 * np.log(total).sum(axis=1)
    log_weight -= 0.5 * (precision * (values - middle[:, None]) ** 2).sum(axis=1)
    weight = np.exp(log_weight - log_weight.max())
    weight /= weight.sum()
    pull = variances / total

    def drawn(own: np.ndarray) -> np.ndarray:
        return np.asarray(pull * (middle_var * (precision @ own))[:, None] + (1.0 - pull) * own)

    var = (1.0 - pull) * variances + pull**2 * middle_var[:, None]
    return Pooled(spread, weight, middle, middle_var, drawn(values), var, pull, drawn(low), freedom)


def quantile(p: float, weight: np.ndarray, mean: np.ndarray, sd: np.ndarray, df: np.ndarray) -> np.ndarray:
    """The p-quantile of mixtures of t distributions: weight (k,), mean, sd and df (k, n) -> (n,)."""
    # Parts of next to no weight would cost time and change nothing.
    kept = weight > 1e-8 * weight.max()
    weight, mean, sd, df = weight[kept], mean[kept], sd[kept], np.minimum(df[kept], 1e6)
    ends = mean + sd * stdtrit(df, p)
    low, high = ends.min(axis=0), ends.max(axis=0)
    for _ in range(40):
        middle = (low + high) / 2.0
        above = weight @ stdtr(df, (middle - mean) / sd) > p * weight.sum()
        low, high = np.where(above, low, middle), np.where(above, middle, high)
        if np.all(high - low < 1e-7):
            break
    return np.asarray((low + high) / 2.0)
