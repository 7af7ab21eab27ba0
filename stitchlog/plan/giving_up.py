"""Chances of claims on simulated days, and which to give up so that the rest comes out together."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from stitchlog.plan.spending import Claim, spend

# What is kept should come out together with at least this chance.
SAFE = 0.8
# Paths that the search looks at; what it finds is held against all of them.
_SEARCH = 400
# A need this small is rounding.
_TINY = 1e-6


def met_by(days: np.ndarray, claims: Sequence[Claim]) -> np.ndarray:
    """Whether each claim is met, shape (paths, claims), where `days` (paths, days) are spent on them all."""
    return spend(days, claims) <= _TINY


def alone_chances(days: np.ndarray, claims: Sequence[Claim]) -> list[float]:
    """The chance of each claim if it were the only one."""
    return [float(met_by(days, [replace(c, follows=None)]).mean()) for c in claims]


def chance_of_all(days: np.ndarray, claims: Sequence[Claim], served: Sequence[int], judged: Sequence[int]) -> float:
    """The chance that all the `judged` of the `served` claims are met together (1 where none is judged)."""
    return float(_met(days, claims, served, judged).all(axis=1).mean())


def give_up(
    days: np.ndarray,
    claims: Sequence[Claim],
    judged: Sequence[int],
    safe: float = SAFE,
    alone: Sequence[float] | None = None,
) -> list[int]:
    """Which of the `judged` claims to give up, in order, so that the rest comes out together with `safe` or more.

    First those that would not reach `safe` even alone, the least likely first; then, one at a time, the one whose going
    helps the rest most; at last whatever can be kept after all is kept. Claims that are not judged are always served.
    alone: the claims' chances by themselves, where they are known already.
    """
    served, left, dropped = list(range(len(claims))), list(judged), []

    def drop(i: int) -> None:
        served.remove(i)
        left.remove(i)
        dropped.append(i)

    if chance_of_all(days, claims, served, left) >= safe:
        return []
    alone = alone_chances(days, claims) if alone is None else alone
    for i in sorted((i for i in judged if alone[i] < safe), key=lambda i: (alone[i], -claims[i].need)):
        drop(i)
    some = days[:_SEARCH]
    while chance_of_all(days, claims, served, left) < safe:
        drop(max(left, key=lambda i: _helps(some, claims, served, left, i)))
    for i in [i for i in reversed(dropped) if alone[i] >= safe]:
        if chance_of_all(days, claims, sorted([*served, i]), [*left, i]) >= safe:
            served, left = sorted([*served, i]), [*left, i]
            dropped.remove(i)
    return dropped


def _helps(
    days: np.ndarray, claims: Sequence[Claim], served: Sequence[int], judged: Sequence[int], without: int
) -> tuple[float, float]:
    """How the rest stands without one claim: the chance of all the rest, then the mean number of it that is met."""
    rest = [i for i in judged if i != without]
    met = _met(days, claims, [i for i in served if i != without], rest)
    return float(met.all(axis=1).mean()), float(met.sum(axis=1).mean())


def _met(days: np.ndarray, claims: Sequence[Claim], served: Sequence[int], judged: Sequence[int]) -> np.ndarray:
    place = {i: n for n, i in enumerate(served)}
    some = [replace(claims[i], follows=_place(place, claims[i].follows)) for i in served]
    return met_by(days, some)[:, [place[i] for i in judged]]


def _place(place: dict[int, int], i: int | None) -> int | None:
    return None if i is None else place.get(i)
