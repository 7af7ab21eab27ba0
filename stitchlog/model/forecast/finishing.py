"""Days to finish from a series, and the quantiles that are read from them."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import cast

import numpy as np
import pandas as pd

from stitchlog import words
from stitchlog.diary.diary import Day
from stitchlog.errors import StitchlogError
from stitchlog.model.forecast import spells
from stitchlog.model.forecast.history import History
from stitchlog.model.forecast.paths import HORIZON, Stretch, amounts_of, futures, sizes


@dataclass(frozen=True)
class Forecast:
    """When a piece will be finished.

    remaining: stitches still to do on `as_of`. days: whole days from `as_of` to the finish on each path, shape
    (paths,), 0 where it is finished, inf where it is not within the horizon; put right by the diary's own record.
    status: as `Diary.standing` says. scenario: what is supposed, in words ('' as things go). sessions: so many days'
    work on pieces the diary holds. plain: days to the finish at the piece's own pace since it was begun, breaks and
    all (inf: it has none).
    """

    piece: str
    as_of: pd.Timestamp
    remaining: float
    days: np.ndarray
    total: float = float("nan")
    done: float = float("nan")
    status: str = "on the go"
    last_session: pd.Timestamp | None = None
    scenario: str = ""
    sessions: int = 0
    plain: float = float("inf")

    def date(self, q: float) -> pd.Timestamp:
        """The day by which it is finished with chance q, 0 to 1 (NaT: not within the horizon)."""
        if not 0 <= q <= 1:
            raise StitchlogError(f"a chance lies between 0 and 1, and {q:g} does not")
        days = float(quantile(self.days, q))
        return self.as_of + pd.Timedelta(days=int(days)) if np.isfinite(days) else cast("pd.Timestamp", pd.NaT)

    def chance(self, by: Day) -> float:
        """The chance, 0 to 1, that it is finished at the end of the day `by`."""
        return float((self.days <= (pd.Timestamp(by) - self.as_of).days).mean())

    def range(self, level: float = 0.8) -> tuple[pd.Timestamp, pd.Timestamp]:
        """First and last day of the range that holds the finish with that chance, as much outside on either side."""
        return self.date((1 - level) / 2), self.date((1 + level) / 2)


def refuse(about: pd.Series, past: History, asked: bool = False) -> None:
    """Raises StitchlogError where nothing honest can be said of a piece, a row of `Diary.standing`."""
    if about["status"] == "finished":
        return
    cannot = f'when "{about["piece"]}" will be finished cannot be worked out: '
    if np.isnan(about["total"]):
        raise StitchlogError(
            f"{cannot}its total is not known; write total (or width, height and coverage) for it in pieces.csv"
        )
    if about["status"] == "not begun" and not asked:
        raise StitchlogError(
            f"{cannot}it was not begun by {words.day(past.day)}; ask with so many stitches a week or a share of your "
            "time"
        )
    if not (past.everything > 0).any():
        raise StitchlogError(f"{cannot}the diary holds no session up to {words.day(past.day)}")


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
    return np.asarray(days_until_each(np.array([remaining]), stretches, paths)[0])


def days_until_each(wanted: np.ndarray, stretches: Iterable[Stretch], paths: int, horizon: int = HORIZON) -> np.ndarray:
    """Days to reach each of several amounts, ascending, on the same paths: shape (amounts, paths).

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
    return np.asarray(ordered[at.clip(0, len(ordered) - 1)])
