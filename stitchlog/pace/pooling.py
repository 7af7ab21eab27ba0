"""Partial pooling: what each of many uncertain values is likely to be, given that they are of one family."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.special import stdtr, stdtrit

# Steps of the grid over the spread between pieces, and where half its prior lies below: nearly flat where pieces of one
# stitcher are, within a factor of e either way (common practice, no source; it matters with three pieces or fewer).
STEPS = 64
SPREAD_SCALE = 1.0


@dataclass(frozen=True)
class Pooled:
    """The pooled values, as a mixture over how far the true values may be spread (`spread`, with `weight`).

    spread, weight: (k,). middle, middle_var: (k,), the family's mean for each spread. mean, var: (k, n), each value's.
    pull: (k, n), the share of the family's mean in it. df: (n,).
    """

    spread: np.ndarray
    weight: np.ndarray
    middle: np.ndarray
    middle_var: np.ndarray
    mean: np.ndarray
    var: np.ndarray
    pull: np.ndarray
    df: np.ndarray

    def expected(self) -> np.ndarray:
        """Each value's mean over the mixture, (n,)."""
        return self.weight @ self.mean

    def window(self, chance: float = 0.9) -> tuple[np.ndarray, np.ndarray]:
        """Low and high ends, (n,) each, that hold the value with `chance`, half of the rest on either side."""
        # The variance of a single value is known from few sessions; the family's is not, so the more a value is
        # pulled towards the family, the less its own degrees of freedom matter.
        df = self.df / np.clip(1.0 - self.pull, 0.05, 1.0) ** 2
        tail = (1.0 - chance) / 2.0
        sd = np.sqrt(self.var)
        return (quantile(tail, self.weight, self.mean, sd, df), quantile(1.0 - tail, self.weight, self.mean, sd, df))

    def chance_above(self, a: int, b: int) -> float:
        """The chance that value `a` is above value `b`, by position."""
        tie = self.pull[:, a] * self.pull[:, b] * self.middle_var
        sd = np.sqrt(np.maximum(self.var[:, a] + self.var[:, b] - 2.0 * tie, 1e-300))
        df = min(self.df[a], self.df[b])
        return float(self.weight @ stdtr(df, (self.mean[:, a] - self.mean[:, b]) / sd))

    def another(self) -> tuple[float, float]:
        """Mean and variance of one more value of the family, not yet seen."""
        mean = float(self.weight @ self.middle)
        var = self.weight @ (self.spread**2 + self.middle_var + (self.middle - mean) ** 2)
        return mean, float(var)


def pool(
    values: np.ndarray, variances: np.ndarray, df: np.ndarray | None = None, scale: float = SPREAD_SCALE
) -> Pooled:
    """Values drawn towards their common mean, by as much as they agree.

    values, variances: (n,), what was measured and how uncertain each is. df: (n,), degrees of freedom behind each
    variance (None: known exactly). scale: half of the prior of the spread between true values (half-Cauchy) lies below.

    The normal hierarchical model with a flat prior on the mean, summed over a grid of the spread, so that the windows
    carry the uncertainty of the spread as well (Gelman et al., Bayesian Data Analysis, 3rd ed., 5.4; from memory).
    """
    values, variances = np.asarray(values, float), np.asarray(variances, float)
    df = np.full(len(values), np.inf) if df is None else np.asarray(df, float)
    # Equal steps of the prior's own quantiles: fine where the spread is likely, and far enough out.
    spread = scale * np.tan(np.pi / 2 * (np.arange(STEPS) + 0.5) / STEPS)
    total = spread[:, None] ** 2 + variances
    precision = 1.0 / total
    middle_var = 1.0 / precision.sum(axis=1)
    middle = middle_var * (precision @ values)
    log_weight = 0.5 * np.log(middle_var) - 0.5 * np.log(total).sum(axis=1)
    log_weight -= 0.5 * (precision * (values - middle[:, None]) ** 2).sum(axis=1)
    weight = np.exp(log_weight - log_weight.max())
    weight /= weight.sum()
    pull = variances / total
    mean = pull * middle[:, None] + (1.0 - pull) * values
    var = (1.0 - pull) * variances + pull**2 * middle_var[:, None]
    return Pooled(spread, weight, middle, middle_var, mean, var, pull, df)


def quantile(p: float, weight: np.ndarray, mean: np.ndarray, sd: np.ndarray, df: np.ndarray) -> np.ndarray:
    """The p-quantile of mixtures of t distributions: weight (k,), mean, sd and df (k, n) -> (n,)."""
    ends = mean + sd * stdtrit(np.minimum(df, 1e6), p)
    low, high = ends.min(axis=0), ends.max(axis=0)
    for _ in range(40):
        middle = (low + high) / 2.0
        above = weight @ stdtr(np.minimum(df, 1e6), (middle - mean) / sd) > p
        low, high = np.where(above, low, middle), np.where(above, middle, high)
        if np.all(high - low < 1e-7):
            break
    return (low + high) / 2.0
