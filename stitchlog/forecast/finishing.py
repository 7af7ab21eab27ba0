"""When a piece will be finished: a window with a chance, not one date."""

from __future__ import annotations

import numpy as np
import pandas as pd

from stitchlog.forecast.paths import HORIZON, futures


def finish_series(daily: pd.Series, remaining: float, paths: int = 2000, seed: int = 0) -> np.ndarray:
    """Days to finish from a daily series alone, as of its last day.

    daily: stitches a day, zeros included. remaining: stitches still to do. Returns whole days, shape (paths,): 0 where
    nothing remains, at least 1 otherwise, inf where a path does not get there within `HORIZON` days. The same seed gives
    the same answer, and a path never finishes more work sooner.
    """
    if remaining <= 0:
        return np.zeros(paths)
    days = np.full(paths, np.inf)
    if not np.isfinite(remaining) or not (daily.to_numpy(float, na_value=0.0) > 0).any():
        return days
    done, passed = np.zeros(paths), 0
    for chunk in futures(daily, paths, seed):
        reached = done[:, None] + np.cumsum(chunk, axis=1, dtype=float)
        short = (reached < remaining - 1e-9).sum(axis=1)
        now = np.isinf(days) & (short < chunk.shape[1])
        days[now] = passed + short[now] + 1
        done, passed = reached[:, -1], passed + chunk.shape[1]
        if passed >= HORIZON or np.isfinite(days).all():
            break
    days[days > HORIZON] = np.inf
    return days
