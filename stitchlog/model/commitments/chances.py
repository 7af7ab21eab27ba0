"""Simulated days spent on claims, the chances that come of it, and what to drop so that the rest can be met."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

# What is kept should be met together with at least this chance.
SAFE = 0.8
# Paths that the search for what to give up looks at; what it finds is held against all of them.
_SEARCH = 400
# A need this small is rounding.
_TINY = 1e-6


@dataclass(frozen=True)
class Claim:
    """What one commitment wants of coming days, which are numbered from 0.

    opens, closes: first and last day, both included. need: stitches (with `by_days`: days on which anything is worked).
    piece: '' any. shared: whether a stitch counted here may count elsewhere too. follows: the number of the claim whose
    shortfall this one takes over once that is closed.
    """

    opens: int
    closes: int
    need: float
    piece: str = ""
    shared: bool = True
    by_days: bool = False
    follows: int | None = None


def spend(days: np.ndarray, claims: Sequence[Claim]) -> np.ndarray:
    """What each claim still lacks at the end, shape (paths, claims), where `days` (paths, days) are spent on them all.

    Rules, day by day and stitch by stitch: claims are served in the order of their last day (then of their first, then
    as listed). A stitch is worked on one piece. A shared claim counts it beside other shared claims that allow that
    piece; one that is not shared keeps it to itself. Claims without a piece leave the piece open for others to settle.
    """
    lacks = np.tile(np.array([[c.need] for c in claims], dtype=float).reshape(-1, 1), len(days))
    order = sorted(range(len(claims)), key=lambda i: (claims[i].closes, claims[i].opens))
    heirs = {c.follows: i for i, c in enumerate(claims) if c.follows is not None}
    for day in range(days.shape[1]):
        stitches = days[:, day].astype(float)
        pool = Pool(stitches)
        for i in order:
            claim = claims[i]
            if claim.opens <= day <= claim.closes:
                lacks[i] -= (
                    (stitches > 0) & (lacks[i] > 0) if claim.by_days else pool.give(lacks[i], claim.piece, claim.shared)
                )
            if claim.closes == day and i in heirs:
                lacks[heirs[i]] += lacks[i]
    return np.asarray(lacks.T)


class Pool:
    """One day's stitches on every path, sorted by what they have been counted for."""

    def __init__(self, stitches: np.ndarray) -> None:
        self.fresh = stitches  # counted for nothing yet
        self.open = np.zeros_like(stitches)  # counted for shared claims that allow any piece; the piece is not settled
        self.held: dict[str, np.ndarray] = {}  # settled on a piece, and counted for a shared claim

    def give(self, want: np.ndarray, piece: str, shared: bool) -> np.ndarray:
        """Stitches that a claim gets of at most `want`, taken where they hinder the others least."""
        if not shared:
            got = np.minimum(want, self.fresh)
            self.fresh = self.fresh - got
            return np.asarray(got)
        if piece == "":
            counted = self.open + sum(self.held.values())
            new = np.minimum(np.maximum(want - counted, 0.0), self.fresh)
            self.fresh, self.open = self.fresh - new, self.open + new
            return np.asarray(np.minimum(want, counted + new))
        own = self.held.get(piece, np.zeros_like(self.open))
        from_open = np.minimum(np.maximum(want - own, 0.0), self.open)
        new = np.minimum(np.maximum(want - own - from_open, 0.0), self.fresh)
        self.open, self.fresh = self.open - from_open, self.fresh - new
        self.held[piece] = own + from_open + new
        return np.asarray(np.minimum(want, self.held[piece]))


def share_out(total: float, claims: Sequence[tuple[float, bool]]) -> list[float]:
    """How many of `total` stitches on one piece count for each of the claims (what it wants, whether shared) on it.

    They are served in order, as in `spend`; what is left when all are served counts for whoever may count it.

    >>> share_out(100.0, [(30, True), (50, False), (60, True)])
    [50.0, 50.0, 50.0]
    >>> share_out(100.0, [(60, False), (40, True), (10, False)])
    [60.0, 40.0, 0.0]
    """
    pool = Pool(np.array([total]))
    got = [float(pool.give(np.array([want]), "", shared)[0]) for want, shared in claims]
    fresh, taken = float(pool.fresh[0]), sum(own for own, (_, shared) in zip(got, claims, strict=True) if not shared)
    return [total - taken if shared else own + fresh for own, (_, shared) in zip(got, claims, strict=True)]


def met_by(days: np.ndarray, claims: Sequence[Claim], served: Sequence[int] | None = None) -> np.ndarray:
    """Whether each of the `served` claims (their numbers; None: all) is met where `days` (paths, days) are spent on
    these alone, shape (paths, served)."""
    served = range(len(claims)) if served is None else served
    place: dict[int | None, int] = {i: n for n, i in enumerate(served)}
    return spend(days, [replace(claims[i], follows=place.get(claims[i].follows)) for i in served]) <= _TINY


def alone_chances(days: np.ndarray, claims: Sequence[Claim]) -> list[float]:
    """The chance of each claim if it were the only one."""
    return [float(met_by(days, claims, [i]).mean()) for i in range(len(claims))]


def chance_of_all(days: np.ndarray, claims: Sequence[Claim], served: Sequence[int], judged: Sequence[int]) -> float:
    """The chance that all the `judged` of the `served` claims are met together (1 where none is judged)."""
    return _together(days, claims, served, judged)[0]


def give_up(days: np.ndarray, claims: Sequence[Claim], judged: Sequence[int], alone: Sequence[float]) -> list[int]:
    """Which of the `judged` claims to drop, in order, so that the rest is met together with a chance of `SAFE`.

    First those that would not reach it even alone, the least likely first; then, one at a time, the one whose going
    helps the rest most; at last whatever can be kept after all is kept. Claims that are not judged are always served.
    alone: the claims' chances by themselves.
    """
    beside = [i for i in range(len(claims)) if i not in judged]

    def chances(left: Sequence[int], paths: int | None = None) -> tuple[float, float]:
        return _together(days[:paths], claims, sorted([*beside, *left]), left)

    left, dropped = list(judged), list[int]()
    if chances(left)[0] >= SAFE:
        return []
    hopeless = sorted((i for i in judged if alone[i] < SAFE), key=lambda i: (alone[i], -claims[i].need))
    while hopeless or chances(left)[0] < SAFE:
        worst = hopeless.pop(0) if hopeless else max(left, key=lambda i: chances([j for j in left if j != i], _SEARCH))
        left.remove(worst)
        dropped.append(worst)
    for i in [i for i in reversed(dropped) if alone[i] >= SAFE]:
        if chances([*left, i])[0] >= SAFE:
            left.append(i)
            dropped.remove(i)
    return dropped


def _together(
    days: np.ndarray, claims: Sequence[Claim], served: Sequence[int], judged: Sequence[int]
) -> tuple[float, float]:
    """The chance that all the `judged` of the `served` claims are met, and how many of them are, on average."""
    met = met_by(days, claims, served)[:, np.isin(served, judged)]
    return float(met.all(axis=1).mean()), float(met.sum(axis=1).mean())
