"""How ready this stitcher is to pick up the needle, now and later: the model that every forecast rests on.

A day is a stitching day with a chance that is never seen, only felt in the diary. On a log scale the chance is the sum
of three parts that each last a while and then change: a habit (years), a season (months) and a mood (days). On any day
each part may end, with a chance of one in its usual length, and is then drawn afresh; so a diary has bursts, breaks of
weeks, and changes of heart. Reading the diary says how likely every mixture of the three is today.

The model is a hidden Markov chain with three independent renewal parts; the reading is the forward algorithm (Rabiner
1989, Proceedings of the IEEE 77:257-286, section III) on a grid. DEVELOPERS.md says how the constants were chosen.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache, lru_cache

import numpy as np
from scipy.stats import norm

WEEK = 7


@dataclass(frozen=True)
class Part:
    """One part of the readiness to stitch.

    spread: standard deviation of the log rate. length: usual days until it changes. points: levels that the reading
    tells apart. falls: how much further it falls than it rises.
    """

    spread: float
    length: float
    points: int
    falls: float = 0.0

    def ends(self, days: int) -> float:
        """The chance that it changes within so many days."""
        return 1.0 - (1.0 - 1.0 / self.length) ** days

    def levels(self, z: np.ndarray) -> np.ndarray:
        """Levels (log rate) for standard normal values."""
        return self.spread * np.where(z < 0, z * (1.0 + self.falls), z * (1.0 - self.falls))

    @cache  # noqa: B019  there are three parts, and they live as long as the program
    def table(self, entries: int) -> np.ndarray:
        """So many levels, each as likely as the next."""
        return self.levels(norm.ppf((np.arange(entries) + 0.5) / entries)).astype(np.float32)

    @cache  # noqa: B019
    def grid(self) -> tuple[np.ndarray, np.ndarray]:
        """Levels that the reading tells apart, and the chance of each before anything is known."""
        z = np.linspace(-2.4, 2.4, self.points)
        chance = norm.pdf(z)
        chance /= chance.sum()
        return self.levels(z / np.sqrt(chance @ z**2)), chance


# The constants are shared by all diaries; people differ in what the reading finds, not in these.
TYPICAL = -3.1  # log of the daily rate around which people lie, long breaks included: one day in 22
PARTS = (
    Part(spread=1.1, length=2000, points=7),  # habit: years
    Part(spread=1.7, length=140, points=9, falls=0.4),  # season: months; people stop more often than they double
    Part(spread=0.6, length=10, points=5),  # mood: days
)
_OLDEST = 417 * WEEK  # eight years: what is older says nothing about today, as even habits have changed since
_FINE = 8 * WEEK  # the last days, read one by one; earlier ones week by week, which is quicker and loses nothing
_SCALED = 8  # steps of the reading between two scalings of the chances, which keep them from vanishing
_TOP = 2.5  # no log rate above: the chance is 1 within rounding


@dataclass(frozen=True)
class Reading:
    """What a diary says about its last day.

    chance: shape (typical, habit, season, mood), sums to 1. typical: log rates around which the parts vary, one a row
    of `chance`. evidence: log likelihood of the diary under each of them.
    """

    chance: np.ndarray
    typical: np.ndarray
    evidence: np.ndarray

    def draw(self, paths: int, rng: np.random.Generator) -> list[np.ndarray]:
        """For each path the typical rate, habit, season and mood of today, each of shape (paths,)."""
        steps = np.cumsum(self.chance)
        even = (rng.permutation(paths) + rng.random(paths)) / paths  # stratified: the same law, less noise
        at = np.searchsorted(steps / steps[-1], even).clip(0, steps.size - 1)
        row, *where = np.unravel_index(at, self.chance.shape)
        grids = [part.grid()[0] for part in PARTS]
        return [self.typical[row], *(grid[i] for grid, i in zip(grids, where, strict=True))]

    def weighed(self, weight: np.ndarray) -> Reading:
        """A copy with other weights of the typical rates, shape (typical,)."""
        inner = self.chance / self.chance.sum(axis=(1, 2, 3), keepdims=True)
        return replace(self, chance=inner * (weight / weight.sum())[:, None, None, None])


def read(worked: np.ndarray, could: np.ndarray | None = None, typical: tuple[float, ...] = (TYPICAL,)) -> Reading:
    """Reads a diary, the first day first.

    worked: bool, one a day: was there a session. could: bool, the days that count at all (None: every day); `worked`
    is read on those alone. typical: log rates to tell apart, equally likely beforehand.
    """
    worked = worked[-_OLDEST:]
    could = np.ones(len(worked), bool) if could is None else could[-_OLDEST:]
    return _read((worked & could).tobytes(), could.tobytes(), typical)


@lru_cache(maxsize=256)  # one report asks of the same days many times over
def _read(worked_days: bytes, able_days: bytes, typical: tuple[float, ...]) -> Reading:
    worked, could = np.frombuffer(worked_days, bool), np.frombuffer(able_days, bool)
    rates = np.asarray(typical, float)
    grids, priors = zip(*(part.grid() for part in PARTS), strict=True)
    rate = (grids[0][:, None, None] + grids[1][None, :, None] + grids[2]).reshape(-1, PARTS[2].points)
    chance = chance_of_a_day(rates[:, None, None] + rate)
    log_yes, log_no = np.log(chance), np.log1p(-chance)
    # Habit and season along one axis, mood along the other: a step is then two small matrix products.
    state = np.outer(np.outer(priors[0], priors[1]), priors[2])[None].repeat(len(rates), axis=0)
    evidence = np.zeros(len(rates))
    seen: dict[tuple[int, int], np.ndarray] = {}
    steps = _steps(worked, could)
    for i, (yes, no, days) in enumerate(steps, start=1):
        if i > 1:
            slow, quick = _moves(days)
            state = slow @ state @ quick
        if yes or no:
            if (yes, no) not in seen:
                seen[yes, no] = np.exp(yes * log_yes + no * log_no)
            state = state * seen[yes, no]
        if i % _SCALED == 0 or i == len(steps):
            total = state.sum(axis=(1, 2))
            evidence += np.log(total)
            state = state / total[:, None, None]
    shape = [len(rates), *(part.points for part in PARTS)]
    reading = Reading(state.reshape(shape), rates, evidence)
    return reading.weighed(np.exp(evidence - evidence.max()))


@cache
def _moves(days: int) -> tuple[np.ndarray, np.ndarray]:
    """What so many days do to the chances of habit and season, from the left, and of mood, from the right."""
    stay = []
    for part in PARTS:
        ends = part.ends(days)
        stay.append((1.0 - ends) * np.eye(part.points) + ends * part.grid()[1])
    return np.kron(stay[0], stay[1]).T, stay[2]


def chance_of_a_day(log_rate: np.ndarray) -> np.ndarray:
    """The chance that a day is a stitching day, for the log of its rate, shape and all as `log_rate`.

    In double precision whatever it is given: a single-precision exponential differs between processors by enough to
    turn a day of a simulated future, and with it all that is drawn after.
    """
    return np.asarray(1.0 - np.exp(-np.exp(np.minimum(log_rate, _TOP), dtype=float)))


def _steps(worked: np.ndarray, could: np.ndarray) -> list[tuple[int, int, int]]:
    """Days with and without a session, and the length, of every step of the reading: weeks, then days."""
    coarse = max(len(worked) - _FINE, 0)
    starts = [0, *range(coarse % WEEK, coarse, WEEK)] if coarse % WEEK else list(range(0, coarse, WEEK))
    starts += range(coarse, len(worked))
    if not starts:
        return []
    yes = np.add.reduceat(worked.astype(int), starts)
    able = np.add.reduceat(could.astype(int), starts)
    length = np.diff([*starts, len(worked)])
    return [(int(y), int(a - y), int(n)) for y, a, n in zip(yes, able, length, strict=True)]
