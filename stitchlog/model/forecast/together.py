"""In which order the pieces on the go will be finished, all of them sharing one stitcher's days."""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd

from stitchlog.diary.diary import Diary
from stitchlog.model.forecast import spells
from stitchlog.model.forecast.finishing import NONE, Correction, quantile
from stitchlog.model.forecast.known import Known, day_of, seen
from stitchlog.model.forecast.paths import CHUNK, futures, rates, sizes, step_of
from stitchlog.model.forecast.pieces import read_share

_YEARS = 10  # how far ahead the order is followed
_RECENT = 180  # days that say how much of the time goes to pieces that are not in the order
COLUMNS = ["piece", "remaining", "place", "next_chance", "early", "middle", "late", "year_chance"]


def order(
    diary: Diary, as_of: Any = None, paths: int = 500, seed: int = 0, by_record: Correction = NONE
) -> pd.DataFrame:
    """The finish order of all pieces on the go with a known total, simulated together.

    Columns: piece, remaining (stitches), place (mean place in the order, 1 the first), next_chance (that it is the next
    to be finished), early, middle, late (days by which it is finished with chance 0.1, 0.5, 0.9; NaT beyond ten years),
    year_chance (that it is finished within a year). In the order of `place`. .attrs: as_of, elsewhere (the share of
    time, 0 to 1, that goes to pieces not in the order: new ones, ones without a total).

    On each path the stitcher's weeks come as `simulate_days` has them; a week's stitches are shared by how ready the
    stitcher is for each piece, and what a finished piece leaves goes to the others. by_record: puts the days right.
    """
    day = day_of(diary, as_of)
    now = seen(diary, day)
    pieces = [now.about(name) for name in now.open()]
    out = pd.DataFrame(columns=COLUMNS)
    if pieces and (pieces[0].everything > 0).any():
        away = elsewhere(diary.sessions[diary.sessions["date"] <= day], day, [p.piece for p in pieces])
        days = np.apply_along_axis(by_record.of, 0, _simulate(pieces, away, paths, seed))
        out = _table(pieces, days, day)
        out.attrs = {"as_of": day, "elsewhere": away}
    return out


def elsewhere(sessions: pd.DataFrame, day: pd.Timestamp, pieces: list[str]) -> float:
    """The share of the last half year's stitches that went to other pieces than these."""
    recent = sessions[sessions["date"] > day - pd.Timedelta(days=_RECENT)]
    total = recent["stitches"].sum()
    return float(recent.loc[~recent["piece"].isin(pieces), "stitches"].sum() / total) if total > 0 else 0.0


def _table(pieces: list[Known], days: np.ndarray, day: pd.Timestamp) -> pd.DataFrame:
    """The frame from days to finish, shape (paths, pieces)."""
    # Pieces that are never finished share the places that are left.
    rank = pd.DataFrame(days).rank(axis=1, method="average").to_numpy()
    first = days.min(axis=1, keepdims=True)
    next_up = (days == first) & np.isfinite(first)
    shares = next_up / np.maximum(next_up.sum(axis=1, keepdims=True), 1)

    def at(q: float, j: int) -> pd.Timestamp:
        found = float(quantile(days[:, j], q))
        return day + pd.Timedelta(days=int(found)) if np.isfinite(found) else pd.NaT

    out = pd.DataFrame(
        {
            "piece": [p.piece for p in pieces],
            "remaining": [p.remaining for p in pieces],
            "place": rank.mean(axis=0),
            "next_chance": shares.mean(axis=0),
            "early": pd.to_datetime([at(0.1, j) for j in range(len(pieces))]),
            "middle": pd.to_datetime([at(0.5, j) for j in range(len(pieces))]),
            "late": pd.to_datetime([at(0.9, j) for j in range(len(pieces))]),
            "year_chance": (days <= 365).mean(axis=0),
        }
    )
    return out.sort_values(["place", "piece"], ignore_index=True)


def _simulate(pieces: list[Known], away: float, paths: int, seed: int) -> np.ndarray:
    """Days to finish, shape (paths, pieces), inf beyond ten years."""
    left = np.repeat([[p.remaining for p in pieces]], paths, axis=0)
    days = np.full(left.shape, np.inf)
    # Half or less is cut from `away` where it is all: pieces on the go get something.
    away = min(away, 0.95)
    levels = [read_share(p).draw(paths, np.random.default_rng([seed, 1, j])) for j, p in enumerate(pieces)]
    stitcher = futures([spells.read(pieces[0].everything != 0)], sizes(pieces[0].everything), paths, seed)
    others: np.ndarray | None = None
    passed = 0
    for chunk, stretch in enumerate(stitcher):
        rng, step = np.random.default_rng([seed, 2, chunk]), step_of(chunk)
        ready = np.exp(np.stack([rates(level, step, rng) for level in levels], axis=2), dtype=float)
        if others is None:
            others = ready[:, 0].sum(axis=1) * away / (1.0 - away)
        worked = stretch.dense(step)
        for when in range(CHUNK):
            share = ready[:, when] * np.isinf(days)
            total = np.maximum(share.sum(axis=1) + others, 1e-300)
            got = worked[:, when, None] * share / total[:, None]
            done = np.isinf(days) & (got >= left - 1e-6) & (got > 0)
            part = np.ceil(np.divide(left, got, where=done, out=np.ones_like(left)) * step).clip(1, step)
            days[done] = (passed + when * step + part)[done]
            left = left - got
        passed += stretch.days
        if np.isfinite(days).all() or passed >= _YEARS * 365:
            break
    return days
