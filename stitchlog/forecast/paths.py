"""Possible futures of a diary: which coming days are stitching days, and how much is stitched on each."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import pandas as pd

from stitchlog.forecast import spells

HORIZON = 20 * 365  # days ahead; beyond it a finish is 'not within sight'
_CHUNK = 26  # weeks simulated at a time, so that a near finish costs little
_TABLE = 4096  # entries of the table that a day's stitches are drawn from
# Days' stitches are drawn from the diary's own stitching days, late ones first: a third of the paths each with a weight
# that halves every 5, 20 and 80 stitching days, because nobody knows how lasting a change in the size of a day is.
_HALVES = (5.0, 20.0, 80.0)


def simulate_days(daily: pd.Series, days: int, paths: int = 2000, seed: int = 0) -> np.ndarray:
    """Stitches on each of the coming days, shape (paths, days), each row one possible future.

    daily: stitches a day, zeros included, up to the day the forecast is made on. The same seed gives the same futures,
    and a longer look ahead begins with the shorter one. With no stitching day at all, nothing is foreseen: all zero.
    """
    if days <= 0:
        return np.zeros((paths, 0), np.float32)
    parts, have = [], 0
    for chunk in futures(daily, paths, seed):
        parts.append(chunk)
        have += chunk.shape[1]
        if have >= days:
            break
    return np.concatenate(parts, axis=1)[:, :days]


def futures(daily: pd.Series, paths: int, seed: int) -> Iterator[np.ndarray]:
    """The same in chunks of half a year, without end, each of shape (paths, days of the chunk)."""
    amounts = daily.to_numpy(float, na_value=0.0)
    table = _sizes(amounts, paths)
    state, grids = spells.read(amounts != 0)
    first = np.random.default_rng([seed, 0])
    at = np.searchsorted(np.cumsum(state), (first.permutation(paths) + first.random(paths)) / paths * state.sum())
    where = np.unravel_index(np.minimum(at, state.size - 1), state.shape)
    levels = [grid[i].astype(np.float32) for grid, i in zip(grids, where, strict=True)]
    chunk = 0
    while True:
        chunk += 1
        rng = np.random.default_rng([seed, chunk])
        rate, levels = _rates(levels, rng)
        chance = spells.chance_of_a_day(rate)
        worked = rng.random((paths, _CHUNK, spells.WEEK), np.float32) < chance[:, :, None]
        worked = worked.reshape(paths, -1)
        pick = rng.integers(0, _TABLE, worked.shape, dtype=np.uint16)
        yield np.where(worked, table[np.arange(paths)[:, None] % len(_HALVES), pick], np.float32(0.0))


def _rates(levels: list[np.ndarray], rng: np.random.Generator) -> tuple[np.ndarray, list[np.ndarray]]:
    """Log rates of the coming weeks, shape (paths, weeks), and the levels at their end."""
    paths = len(levels[0])
    total = np.full((paths, _CHUNK), spells.TYPICAL, np.float32)
    last = []
    for part, level in zip(spells.PARTS, levels, strict=True):
        new = part.shape(rng.standard_normal((paths, _CHUNK), np.float32)).astype(np.float32)
        changed = rng.random((paths, _CHUNK), np.float32) < part.ends()
        # The week of the latest change so far, 0 for none: column 0 holds the level that we came with.
        since = np.maximum.accumulate(np.where(changed, np.arange(1, _CHUNK + 1), 0), axis=1)
        run = np.take_along_axis(np.concatenate([level[:, None], new], axis=1), since, axis=1)
        total += run
        last.append(run[:, -1])
    return total, last


def _sizes(amounts: np.ndarray, paths: int) -> np.ndarray:
    """Tables of a stitching day's stitches, shape (weights, entries), each sorted."""
    sizes = _settled(amounts)
    if not len(sizes):
        return np.zeros((len(_HALVES), _TABLE), np.float32)
    age = np.arange(len(sizes))[::-1]
    order = np.argsort(sizes, kind="stable")
    share = (np.arange(_TABLE) + 0.5) / _TABLE
    rows = []
    for half in _HALVES:
        weight = np.cumsum((0.5 ** (age / half))[order])
        rows.append(sizes[order][np.searchsorted(weight / weight[-1], share).clip(0, len(sizes) - 1)])
    return np.array(rows, np.float32)


def _settled(amounts: np.ndarray) -> np.ndarray:
    """Stitches of the stitching days, none below 0: what a day unpicked on balance is taken off the days before it.

    So a finish once reached is never lost again on a path, and the total stays what it was.
    """
    out = amounts[amounts != 0].copy()
    owed = 0.0
    for i in np.flatnonzero(out < 0)[::-1] if (out < 0).any() else ():
        owed, out[i] = -out[i], 0.0
        for j in range(i - 1, -1, -1):
            take = min(owed, max(out[j], 0.0))
            out[j] -= take
            owed -= take
            if owed <= 0:
                break
    return out
