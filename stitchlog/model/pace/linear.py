"""Least squares where rows come in groups that differ as a whole."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

# The ratios of the groups' variance to a row's that are tried.
RATIOS = np.concatenate([[0.0], np.geomspace(1e-3, 1e2, 41)])


@dataclass(frozen=True)
class Fit:
    """Coefficients (p,), their covariance (p, p), the rows' standard deviation, and `ratio`, the groups' variance over
    a row's."""

    coef: np.ndarray
    cov: np.ndarray
    sd: float
    ratio: float

    @property
    def se(self) -> np.ndarray:
        return np.sqrt(np.diag(self.cov))


def grouped_least_squares(x: np.ndarray, y: np.ndarray, group: np.ndarray, weight: np.ndarray | None = None) -> Fit:
    """y (n,) on the columns of x (n, p), a constant among them, where every group also has a level of its own.

    group (n,): codes 0, 1, ...; their levels are drawn from a normal law around 0. weight (n,): a row's variance is
    sd^2 / weight (None: all alike). n > p. Where every row is a group of its own, coefficients and covariance are those
    of plain least squares.

    The ratio of variances maximises the restricted likelihood (REML; Patterson & Thompson 1971, Biometrika 58:545-554;
    from memory) over a grid that is refined twice. Columns are brought to one length first, so that years and
    millionths may stand side by side.
    """
    root = np.sqrt(np.ones(len(y)) if weight is None else weight)
    length = np.linalg.norm(x, axis=0)
    rows, amount = x / length * root[:, None], y * root
    mass = np.bincount(group, root**2)
    inner = np.column_stack([np.bincount(group, root * column) for column in (*rows.T, amount)])
    both = np.column_stack([rows, amount])
    gram = both.T @ both
    n, p = x.shape

    def solve(ratio: float) -> tuple[float, np.ndarray, np.ndarray]:
        # V = I + ratio r r' within a group; its inverse takes ratio / (1 + ratio mass) of the group's own sum away.
        less = gram - inner.T @ (inner * (ratio / (1.0 + ratio * mass))[:, None])
        inverse = np.linalg.pinv(less[:p, :p], hermitian=True)
        coef = inverse @ less[:p, p]
        rest = max(float(less[p, p] - coef @ less[:p, p]), 1e-12)
        _, log_det = np.linalg.slogdet(less[:p, :p])
        return (n - p) * np.log(rest) + np.log1p(ratio * mass).sum() + log_det, coef, inverse

    # The score is smooth with one valley here: look over the whole range, then twice more between the neighbours.
    tried = RATIOS
    for _ in range(3):
        best = int(np.argmin([solve(ratio)[0] for ratio in tried]))
        ratio = float(tried[best])
        tried = np.linspace(tried[max(best - 1, 0)], tried[min(best + 1, len(tried) - 1)], 21)
    _, coef, inverse = solve(ratio)

    def left_over(coef: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        left = amount - rows @ coef
        level = np.bincount(group, root * left) * ratio / (1.0 + ratio * mass)
        return left, left - root * level[group]

    # What is left over, fitted once more, gives back the digits that columns much alike cost.
    coef = coef + inverse @ (rows.T @ left_over(coef)[1])
    left, own = left_over(coef)
    variance = max(float(left @ own), 1e-12) / (n - p)
    return Fit(coef / length, inverse * variance / np.outer(length, length), variance**0.5, ratio)
