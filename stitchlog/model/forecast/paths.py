"""Possible futures of a diary: which coming days are stitching days, and how much is stitched on each."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cache
from itertools import accumulate, count
from typing import Any

import numpy as np
import pandas as pd
from scipy.stats import binom, norm

from stitchlog.model.forecast import spells
from stitchlog.model.forecast.spells import Reading

HORIZON = 15 * 365  # days ahead; beyond them a finish is not within sight
CHUNK = 26  # steps simulated at a time, so that a near finish costs little
# Days in a step, chunk by chunk: a week in the first year, two in the second, four in the next two, and a quarter of a
# year from there on, where single weeks cannot be told apart.
_NEAR, _FAR = spells.WEEK, 13 * spells.WEEK
_STEPS = (_NEAR, _NEAR, 2 * spells.WEEK, 4 * spells.WEEK, _FAR)
_TABLE = 4096  # entries of the table that a day's stitches are drawn from
# Days' stitches are drawn from the diary's own stitching days, late ones first: a third of the paths each with a weight
# that halves every 5, 20 and 80 stitching days, because nobody knows how lasting a change in the size of a day is.
_HALVES = (5.0, 20.0, 80.0)
# A young diary has seen a few days of one spell: how large a usual day is stays in doubt (on the log scale) by so much
# for one stitching day, and so much for one spell, which so many days make known.
_DAY_DOUBT, _SPELL_DOUBT, _KNOWN_AFTER = 0.8, 0.8, 75.0
_USUAL_SPREAD, _FEW = 0.7, 5.0  # of the log of days' stitches, as usual, and so many days' worth of that
_SCALES = 5
_RUNS = 512  # runs of stitching days that far steps are drawn from
_FINE = 1024  # chances, and shares of them, that the number of days in a far step is drawn for


@dataclass(frozen=True)
class Stretch:
    """The futures of the next `steps` steps of `step` days, sparse.

    spots: path * steps + step of every one that is stitched in, ascending. stitches: in each of them.
    """

    spots: np.ndarray
    stitches: np.ndarray
    paths: int
    steps: int
    step: int = 1

    @property
    def days(self) -> int:
        return self.steps * self.step

    def dense(self, step: int = 1) -> np.ndarray:
        """Stitches in every `step` days, a whole number of steps, shape (paths, days / step)."""
        together = step // self.step
        width = self.steps // together
        sums = np.bincount(self.spots // together, self.stitches, self.paths * width)
        return sums.reshape(self.paths, width).astype(np.float32)

    def reach(self, wanted: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """For each path the day (from 1) on which `wanted` stitches, shape (paths,), are reached, inf where they are
        not, and the stitches worked in all."""
        total = np.concatenate([[0.0], np.cumsum(self.stitches, dtype=float)])
        edges = np.searchsorted(self.spots, np.arange(self.paths + 1) * self.steps)
        aim = total[edges[:-1]] + wanted - 1e-6
        first = np.searchsorted(total, aim) - 1
        reached = (first < edges[1:]) & (wanted > 0)
        spot, part = first[reached], aim[reached]
        # Within a step the stitches are spread evenly.
        inside = np.ceil((part - total[spot]) / (total[spot + 1] - total[spot]) * self.step).clip(1, self.step)
        day = np.full(self.paths, np.inf)
        day[reached] = self.spots[spot] % self.steps * self.step + inside
        return day, total[edges[1:]] - total[edges[:-1]]


def simulate_days(
    daily: pd.Series, days: int, paths: int = 2000, seed: int = 0, typical: tuple[float, ...] = (spells.TYPICAL,)
) -> np.ndarray:
    """Stitches on each of the coming days, shape (paths, days), each row one possible future.

    daily: stitches a day, zeros included, up to the day the forecast is made on. The same seed gives the same futures,
    and a longer look ahead begins with the shorter one. A diary with no stitching day foresees none: all zero.
    typical: log rates of stitching days to tell apart, as `spells.read` takes them.
    """
    amounts = amounts_of(daily)
    out = np.zeros((paths, max(days, 0)), np.float32)
    if not (amounts > 0).any():
        return out
    start = 0
    for stretch in futures([spells.read(amounts != 0, typical=typical)], sizes(amounts), paths, seed, daily=True):
        out[:, start : start + stretch.days] = stretch.dense()[:, : days - start]
        start += stretch.days
        if start >= days:
            break
    return out


def amounts_of(daily: pd.Series) -> np.ndarray:
    """The series as plain numbers, days that are missing as 0."""
    return np.asarray(np.nan_to_num(daily.to_numpy(float, na_value=0.0)))


def futures(
    readings: list[Reading], tables: np.ndarray, paths: int, seed: int, share: float = 1.0, daily: bool = False
) -> Iterator[Stretch]:
    """Stretches of days one after another, without end.

    A day is worked with the product of the readings' chances (one reading: a diary by itself; two: the stitcher's days,
    and the share of them that falls to a piece), times `share`. tables: as `sizes` gives them, a path's stitches drawn
    from one. daily: every stretch tells its days apart, far ones too, which takes longer.
    """
    now = [reading.draw(paths, np.random.default_rng([seed, i])) for i, reading in enumerate(readings)]
    return futures_from(now, tables, np.arange(paths) % len(tables), seed, share, daily)


def futures_from(
    now: list[list[np.ndarray]],
    tables: np.ndarray,
    rows: np.ndarray,
    seed: int,
    share: float = 1.0,
    daily: bool = False,
) -> Iterator[Stretch]:
    """Stretches from the levels of today: for each factor of the chance a list of them, each of shape (paths,).

    rows: the row of `tables` that a path's stitches are drawn from, shape (paths,).
    """

    def chance(step: int, rng: np.random.Generator) -> np.ndarray:
        out = np.full((len(rows), CHUNK), share, np.float32)
        for levels in now:
            out *= spells.chance_of_a_day(rates(levels, step, rng))
        return out

    return played(chance, tables, rows, [seed, len(now)], daily)


def played(
    chance: Callable[[int, np.random.Generator], np.ndarray],
    tables: np.ndarray,
    rows: np.ndarray,
    seed: list[int],
    daily: bool = False,
) -> Iterator[Stretch]:
    """Stretches without end. chance: of a stitching day in the coming steps of so many days, shape (paths, CHUNK)."""
    runs = np.empty(0)
    for chunk in count():
        rng = np.random.default_rng([*seed[:-1], seed[-1] + chunk])
        step = _NEAR if daily else step_of(chunk)
        if step == _NEAR:
            yield _by_days(chance(step, rng), step, tables, rows, rng)
        else:
            if not len(runs):
                runs = _runs(tables, rng)
            yield _by_steps(chance(step, rng), step, runs, rows, rng)


def step_of(chunk: int) -> int:
    """Days in a step of the chunk."""
    return _STEPS[min(chunk, len(_STEPS) - 1)]


def _by_days(chance: np.ndarray, step: int, tables: np.ndarray, rows: np.ndarray, rng: np.random.Generator) -> Stretch:
    """Stitching days for their chance in every step, shape (paths, steps), and stitches on them."""
    paths, days = len(chance), chance.shape[1] * step
    spots = np.flatnonzero(_dice(rng, paths * days) < np.repeat(_threshold(chance), step))
    each = np.diff(np.searchsorted(spots, np.arange(paths + 1) * days))
    entry = np.repeat(rows * _TABLE, each) + _dice(rng, len(spots), _TABLE)
    return Stretch(spots, tables.ravel().take(entry), paths, days)


def _by_steps(chance: np.ndarray, step: int, runs: np.ndarray, rows: np.ndarray, rng: np.random.Generator) -> Stretch:
    """A step's days together: how many they are, and the stitches of so many days drawn ahead."""
    which = np.round(np.sqrt(chance) * (_FINE - 1)).astype(np.int32).ravel()
    worked = _day_counts(step).ravel().take(which * _FINE + _dice(rng, len(which), _FINE))
    spots = np.flatnonzero(worked)
    entry = ((worked[spots].astype(int) - 1) * runs.shape[1] + rows[spots // chance.shape[1]]) * _RUNS
    stitches = runs.ravel().take(entry + _dice(rng, len(spots), _RUNS))
    return Stretch(spots, stitches, len(chance), chance.shape[1], step)


@cache
def _day_counts(days: int) -> np.ndarray:
    """How many of so many days are worked, shape (chances, shares), a row's entries equally likely.

    Row i is for a chance of (i / (rows - 1)) ** 2, so that small chances are told apart.
    """
    share = (np.arange(_FINE) + 0.5) / _FINE
    chances = (np.arange(_FINE) / (_FINE - 1)) ** 2
    below: Any = binom.cdf(np.arange(days), days, chances[:, None])
    return np.array([np.searchsorted(row, share) for row in below], np.uint8)


def _runs(tables: np.ndarray, rng: np.random.Generator) -> np.ndarray:
    """Stitches of the first one, two ... days of runs of stitching days, shape (days, rows of tables, runs)."""
    entry = rng.integers(0, _TABLE, (_FAR, _RUNS), np.uint16)
    return np.array(list(accumulate(tables.take(day, axis=1) for day in entry)))


def rates(levels: list[np.ndarray], step: int, rng: np.random.Generator) -> np.ndarray:
    """Log rates of the coming steps of so many days, shape (paths, steps); `levels` move on to the end of them."""
    paths = len(levels[0])
    total = np.repeat(np.asarray(levels[0], np.float32), CHUNK)
    for i, part in enumerate(spells.PARTS, start=1):
        changes = _dice(rng, paths * CHUNK) < _threshold(part.ends(step))
        # A level lasts from its change to the next one; the one that a path came with lasts to its first.
        came = np.flatnonzero(~changes[::CHUNK])
        changes[::CHUNK] = True
        since = np.cumsum(changes, dtype=np.int32) - 1
        drawn = part.table(_TABLE).take(_dice(rng, since[-1] + 1, _TABLE))
        drawn[since[::CHUNK][came]] = levels[i][came]
        level = drawn.take(since)
        total += level
        levels[i] = level[CHUNK - 1 :: CHUNK]
    return total.reshape(paths, CHUNK)


def _dice(rng: np.random.Generator, count: int, sides: int = 1 << 16) -> np.ndarray:
    """Whole numbers from 0, each as likely as the next, shape (count,). sides: a power of 2, at most 65,536."""
    drawn: np.ndarray = rng.bit_generator.random_raw(-(-count // 4)).view(np.uint16)[:count]
    return drawn & np.uint16(sides - 1)


def _threshold(chance: np.ndarray | float) -> np.ndarray:
    """Dice below this fall with that chance, to within 1 in 65,536."""
    return np.minimum(np.round(np.multiply(chance, 1 << 16)), (1 << 16) - 1).astype(np.uint16)


def sizes(amounts: np.ndarray) -> np.ndarray:
    """Tables of a stitching day's stitches, shape (weights x scales, entries). amounts: stitches a day, the first day
    first."""
    worked = _settled(amounts)
    age = np.arange(len(worked))[::-1]
    order = np.argsort(worked, kind="stable")
    share = (np.arange(_TABLE) + 0.5) / _TABLE
    rows = []
    for half in _HALVES:
        weight = np.cumsum((0.5 ** (age / half))[order])
        rows.append(worked[order][np.searchsorted(weight / weight[-1], share).clip(0, len(worked) - 1)])
    doubt = np.sqrt(_DAY_DOUBT**2 / len(worked) + _SPELL_DOUBT**2 / (1.0 + (len(amounts) / _KNOWN_AFTER) ** 2))
    # A stitcher whose days hardly differ leaves less in doubt.
    logs = np.log(worked[worked > 0])
    spread = (logs.var() * len(logs) + _FEW * _USUAL_SPREAD**2) / (len(logs) + _FEW) if len(logs) else _USUAL_SPREAD**2
    doubt *= np.sqrt(spread) / _USUAL_SPREAD
    scales = np.round(np.exp(doubt * norm.ppf((np.arange(_SCALES) + 0.5) / _SCALES)), 4)
    return np.concatenate([np.array(rows) * scale for scale in scales]).astype(np.float32)


def _settled(amounts: np.ndarray) -> np.ndarray:
    """Stitches of the stitching days, none below 0: what a day unpicked on balance is taken off the days before it.

    So a finish once reached is never lost again on a path, and the total stays what it was.
    """
    out = amounts[amounts != 0].copy()
    owed = 0.0
    for i in np.flatnonzero(out < 0)[::-1]:
        owed, out[i] = -out[i], 0.0
        for j in range(i - 1, -1, -1):
            take = min(owed, max(out[j], 0.0))
            out[j] -= take
            owed -= take
            if owed <= 0:
                break
    return np.asarray(out)
