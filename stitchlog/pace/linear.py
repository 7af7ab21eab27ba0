"""Straight-line models: plain least squares, and least squares where rows come in groups that differ as a whole."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

# The ratios of the groups' variance to a row's that are tried.
RATIOS = np.concatenate([[0.0], np.geomspace(1e-3, 1e2, 41)])


@dataclass(frozen=True)
class Fit:
    """Coefficients (p,), their covariance (p, p), the rows' standard deviation, R squared (NaN with groups), and
    `ratio`, the groups' variance over a row's (0 where there are no groups)."""

    coef: np.ndarray
    cov: np.ndarray
    sd: float
    r_squared: float = float("nan")
    ratio: float = 0.0

    @property
    def se(self) -> np.ndarray:
        return np.sqrt(np.diag(self.cov))


def least_squares(x: np.ndarray, y: np.ndarray) -> Fit:
    """y (n,) on the columns of x (n, p), a column of ones among them where a constant is wanted. n > p.

    Columns are brought to one length first, so that years and millionths may stand side by side; LAPACK solves.
    """
    n, p = x.shape
    length = np.linalg.norm(x, axis=0)
    scaled = x / length
    coef, _, rank, _ = np.linalg.lstsq(scaled, y, rcond=1e-13)
    if rank < p:
        raise ValueError("the columns say the same thing twice")
    left = y - scaled @ coef
    variance = float(left @ left) / (n - p)
    inverse = np.linalg.inv(np.linalg.qr(scaled, mode="r"))
    cov = variance * (inverse @ inverse.T) / np.outer(length, length)
    total = float(np.sum((y - y.mean()) ** 2))
    return Fit(coef / length, cov, variance**0.5, 1.0 - float(left @ left) / total if total > 0 else float("nan"))


def grouped_least_squares(x: np.ndarray, y: np.ndarray, group: np.ndarray, weight: np.ndarray | None = None) -> Fit:
    """y on x where every group (codes 0, 1, ... in `group`) also has a constant of its own, drawn from a normal law.

    weight (n,): a row's variance is sd^2 / weight. The ratio of variances maximises the restricted likelihood
    (REML; Patterson & Thompson 1971, Biometrika 58:545-554; from memory) over a grid that is refined twice.
    """
    root = np.sqrt(np.ones(len(y)) if weight is None else weight)
    rows = np.column_stack([x, y]) * root[:, None]
    size = int(group.max()) + 1
    mass = np.bincount(group, root**2, size)
    inner = np.column_stack([np.bincount(group, root * column, size) for column in rows.T])
    gram = rows.T @ rows
    n, p = x.shape

    def solve(ratio: float) -> tuple[np.ndarray, np.ndarray, float, float]:
        # V = I + ratio r r' within a group; its inverse takes ratio / (1 + ratio mass) of the group's own sum away.
        less = gram - inner.T @ (inner * (ratio / (1.0 + ratio * mass))[:, None])
        inverse = np.linalg.pinv(less[:p, :p], hermitian=True)
        coef = inverse @ less[:p, p]
        rest = max(float(less[p, p] - coef @ less[:p, p]), 1e-12)
        _, log_det = np.linalg.slogdet(less[:p, :p])
        score = (n - p) * np.log(rest) + np.log1p(ratio * mass).sum() + log_det
        return coef, inverse, rest, float(score)

    # The score is smooth with one valley here: look over the whole range, then twice more between the neighbours.
    tried = RATIOS
    for _ in range(3):
        best = int(np.argmin([solve(ratio)[3] for ratio in tried]))
        ratio = float(tried[best])
        tried = np.linspace(tried[max(best - 1, 0)], tried[min(best + 1, len(tried) - 1)], 21)
    coef, inverse, rest, _ = solve(ratio)
    variance = rest / (n - p)
    return Fit(coef, inverse * variance, variance**0.5, ratio=ratio)
