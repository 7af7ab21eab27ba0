"""Possible futures of a diary: which coming days are stitching days, and how much is stitched on each."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import pandas as pd

from stitchlog.forecast import spells
from stitchlog.forecast.spells import Reading

HORIZON = 15 * 365  # days ahead; beyond them a finish is not within sight
CHUNK = 26  # steps simulated at a time, so that a near finish costs little
# A step is a week in the first two years, and four weeks from there on, where nobody can tell one week from another.
_NEAR, _FAR, _NEAR_CHUNKS = spells.WEEK, 4 * spells.WEEK, 4
_TABLE = 4096  # entries of the table that a day's stitches are drawn from
# Days' stitches are drawn from the diary's own stitching days, late ones first: a third of the paths each with a weight
# that halves every 5, 20 and 80 stitching days, because nobody knows how lasting a change in the size of a day is.
_HALVES = (5.0, 20.0, 80.0)
_FINE_CHANCE = 1 << 16


@dataclass(frozen=True)
class Stretch:
    """The futures of the next `days` days, sparse.

    spots: path * days + day of every stitching day, ascending. stitches: on each of them.
    """

    spots: np.ndarray
    stitches: np.ndarray
    paths: int
    days: int

    def dense(self) -> np.ndarray:
        """Stitches a day, shape (paths, days)."""
        out = np.zeros(self.paths * self.days, np.float32)
        out[self.spots] = self.stitches
        return out.reshape(self.paths, self.days)

    def reach(self, wanted: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """For each path the day (from 1) on which `wanted` stitches, shape (paths,), are reached, inf where they are
        not, and the stitches worked in all."""
        total = np.concatenate([[0.0], np.cumsum(self.stitches, dtype=float)])
        edges = np.searchsorted(self.spots, np.arange(self.paths + 1) * self.days)
        base = total[edges[:-1]]
        first = np.searchsorted(total, base + wanted - 1e-6) - 1
        reached = (first < edges[1:]) & (wanted > 0)
        day = np.full(self.paths, np.inf)
        day[reached] = self.spots[first[reached]] % self.days + 1
        return day, total[edges[1:]] - base


def simulate_days(daily: pd.Series, days: int, paths: int = 2000, seed: int = 0) -> np.ndarray:
    """Stitches on each of the coming days, shape (paths, days), each row one possible future.

    daily: stitches a day, zeros included, up to the day the forecast is made on. The same seed gives the same futures,
    and a longer look ahead begins with the shorter one. A diary with no stitching day foresees none: all zero.
    """
    amounts = amounts_of(daily)
    out = np.zeros((paths, max(days, 0)), np.float32)
    if not (amounts > 0).any():
        return out
    start = 0
    for stretch in futures([spells.read(amounts != 0)], sizes(amounts), paths, seed):
        out[:, start : start + stretch.days] = stretch.dense()[:, : days - start]
        start += stretch.days
        if start >= days:
            break
    return out


def amounts_of(daily: pd.Series) -> np.ndarray:
    """The series as plain numbers, days that are missing as 0."""
    return np.nan_to_num(daily.to_numpy(float, na_value=0.0))


def futures(
    readings: list[Reading], tables: np.ndarray, paths: int, seed: int, share: float = 1.0
) -> Iterator[Stretch]:
    """Stretches of days one after another, without end.

    A day is worked with the product of the readings' chances (one reading: a diary by itself; two: the stitcher's days,
    and the share of them that falls to a piece), times `share`. tables: as `sizes` gives them, a path's stitches drawn
    from one.
    """
    now = [reading.draw(paths, np.random.default_rng([seed, i])) for i, reading in enumerate(readings)]
    return futures_from(now, tables, np.arange(paths) % len(tables), seed, share)


def futures_from(
    now: list[list[np.ndarray]], tables: np.ndarray, rows: np.ndarray, seed: int, share: float = 1.0
) -> Iterator[Stretch]:
    """The same from the levels of today, a list of them for each factor of the chance, each of shape (paths,).

    rows: the row of `tables` that a path's stitches are drawn from, shape (paths,).
    """
    chunk = 0
    while True:
        rng = np.random.default_rng([seed, len(now) + chunk])
        step = step_of(chunk)
        chance = np.full((len(rows), CHUNK), share, np.float32)
        for levels in now:
            chance *= spells.chance_of_a_day(rates(levels, step, rng))
        yield stretch_of(chance, step, tables, rows, rng)
        chunk += 1


def step_of(chunk: int) -> int:
    """Days in a step of the chunk."""
    return _NEAR if chunk < _NEAR_CHUNKS else _FAR


def stretch_of(
    chance: np.ndarray, step: int, tables: np.ndarray, rows: np.ndarray, rng: np.random.Generator
) -> Stretch:
    """Stitching days for their chance in every step, shape (paths, steps), and stitches on them."""
    paths, steps = chance.shape
    days = steps * step
    dice = rng.integers(0, _FINE_CHANCE, (paths, steps, step), np.uint16)
    limit = np.round(chance * _FINE_CHANCE).astype(np.uint32)
    spots = np.flatnonzero(dice < limit[:, :, None])
    each = np.diff(np.searchsorted(spots, np.arange(paths + 1) * days))
    entry = np.repeat(rows * _TABLE, each) + rng.integers(0, _TABLE, len(spots), np.uint16)
    return Stretch(spots, tables.ravel().take(entry), paths, days)


def rates(levels: list[np.ndarray], step: int, rng: np.random.Generator) -> np.ndarray:
    """Log rates of the coming steps of so many days, shape (paths, steps); `levels` move on to the end of them."""
    paths = len(levels[0])
    when = np.arange(CHUNK + 1, dtype=np.int16)[:, None]
    total = np.repeat(np.asarray(levels[0], np.float32)[None], CHUNK, axis=0)
    for i, part in enumerate(spells.PARTS, start=1):
        drawn = part.levels(rng.standard_normal((CHUNK + 1, paths), np.float32)).astype(np.float32)
        drawn[0] = levels[i]
        changes = rng.random((CHUNK + 1, paths), np.float32) < part.ends(step)
        # The step of the latest change so far; row 0 is the level that we came with.
        since = np.maximum.accumulate(np.where(changes, when, 0), axis=0)
        level = np.take_along_axis(drawn, since[1:].astype(np.intp), axis=0)
        total += level
        levels[i] = level[-1]
    return total.T


def sizes(amounts: np.ndarray) -> np.ndarray:
    """Tables of a stitching day's stitches, shape (weights, entries). amounts: stitches a day, the first day first."""
    worked = _settled(amounts)
    age = np.arange(len(worked))[::-1]
    order = np.argsort(worked, kind="stable")
    share = (np.arange(_TABLE) + 0.5) / _TABLE
    rows = []
    for half in _HALVES:
        weight = np.cumsum((0.5 ** (age / half))[order])
        rows.append(worked[order][np.searchsorted(weight / weight[-1], share).clip(0, len(worked) - 1)])
    return np.array(rows, np.float32)


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
    return out
