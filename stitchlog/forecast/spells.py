"""How ready this stitcher is to pick up the needle, now and later: the model that every forecast rests on.

A day is a stitching day with a chance that is never seen, only felt in the diary. On a log scale the chance is the sum
of three parts that each last a while and then change: a habit (years), a season (months) and a mood (days). On any day
each part may end, with a chance of one in its usual length, and is then drawn afresh; so a diary has bursts, breaks of
weeks, and changes of heart. Reading the diary week by week says how likely every mixture of the three is today.

The model is a hidden Markov chain with three independent renewal parts; the reading is the forward algorithm (Rabiner
1989, Proceedings of the IEEE 77:257-286, section III), done on a grid. DEVELOPERS.md says how the constants were chosen.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.stats import norm

WEEK = 7


@dataclass(frozen=True)
class Part:
    """One part of the readiness to stitch. spread: standard deviation of the log rate; length: usual days until it
    changes; points: levels that the reading tells apart; falls: how much further it falls than it rises."""

    spread: float
    length: float
    points: int
    falls: float = 0.0

    def ends(self) -> float:
        """The chance that it changes within a week."""
        return 1.0 - (1.0 - 1.0 / self.length) ** WEEK

    def shape(self, z: np.ndarray) -> np.ndarray:
        """Levels (log rate) for standard normal values."""
        return self.spread * np.where(z < 0, z * (1.0 + self.falls), z * (1.0 - self.falls))

    def grid(self) -> tuple[np.ndarray, np.ndarray]:
        """Levels that the reading tells apart, and the chance of each before anything is known."""
        z = np.linspace(-2.4, 2.4, self.points)
        chance = norm.pdf(z)
        chance /= chance.sum()
        return self.shape(z / np.sqrt(chance @ z**2)), chance


# The constants are shared by all diaries; people differ in what the reading finds, not in these.
TYPICAL = (
    -3.4
)  # log of the daily rate around which people lie: a session in 30 days, for diaries that include long breaks
PARTS = (
    Part(spread=1.1, length=2000, points=7),  # habit: years
    Part(spread=1.7, length=160, points=9, falls=0.2),  # season: months; people stop more thoroughly than they speed up
    Part(spread=0.5, length=10, points=5),  # mood: days
)
_TOP = 2.5  # no rate above: a chance of 1 within rounding


def chance_of_a_day(log_rate: np.ndarray) -> np.ndarray:
    """The chance that a day is a stitching day, for the log of its rate."""
    return 1.0 - np.exp(-np.exp(np.minimum(log_rate, _TOP)))


def read(active: np.ndarray) -> tuple[np.ndarray, list[np.ndarray]]:
    """What the diary says about today: the chance of every mixture of levels after the last day.

    active: bool, one a day, the first day first. Returns the chances, shape (habit, season, mood), summing to 1, and
    the levels along each axis.
    """
    grids, priors = zip(*(part.grid() for part in PARTS), strict=True)
    rate = TYPICAL + grids[0][:, None, None] + grids[1][None, :, None] + grids[2][None, None, :]
    chance = chance_of_a_day(rate)
    log_yes, log_no = np.log(chance), np.log1p(-chance)
    state = priors[0][:, None, None] * priors[1][None, :, None] * priors[2][None, None, :]
    for i, (worked, days) in enumerate(_weeks(active)):
        if i:
            for axis, (part, prior) in enumerate(zip(PARTS, priors, strict=True)):
                shape = [1, 1, 1]
                shape[axis] = -1
                ends = part.ends()
                state = (1.0 - ends) * state + ends * state.sum(axis, keepdims=True) * prior.reshape(shape)
        seen = worked * log_yes + (days - worked) * log_no
        state = state * np.exp(seen - seen.max())
        state /= state.sum()
    return state, list(grids)


def _weeks(active: np.ndarray) -> list[tuple[int, int]]:
    """Stitching days and days of every week; weeks end on the last day, so the first may be short."""
    first = len(active) % WEEK
    weeks = [(int(active[:first].sum()), first)] if first else []
    full = active[first:].reshape(-1, WEEK).sum(axis=1)
    return weeks + [(int(k), WEEK) for k in full]
