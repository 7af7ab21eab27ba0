"""The fewest pieces that meet an event's prompts."""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd
from scipy.optimize import Bounds, LinearConstraint, milp

from stitchlog.diary.tags import needs_of, tags_of

# How long the search for the smallest cover may take, and then that for the best among covers of the same size. Events
# of real life take a fraction of a second; hundreds of unrelated prompts may keep any solver busy for hours.
_SECONDS, _TIE_SECONDS = 1.2, 0.5


@dataclass(frozen=True)
class Cover:
    """The fewest pieces for some prompts.

    pairs: columns prompt, piece (None where no piece meets it), in the order of the prompts. least: whether it is
    certain that no fewer pieces will do: the search is cut short after a second or so, that for the order among covers
    of the same size after half.
    """

    pairs: pd.DataFrame
    least: bool


def cover(needs: Mapping[Any, Any], have: Mapping[str, Any], **prefer: Any) -> pd.DataFrame:
    """The fewest pieces that meet every prompt that can be met: prompt, piece. Arguments as `fewest`."""
    return fewest(needs, have, **prefer).pairs


def fewest(
    needs: Mapping[Any, Any],
    have: Mapping[str, Any],
    *,
    due: Iterable[str] = (),
    neglected: Mapping[str, float] | None = None,
    on_the_go: Iterable[str] = (),
    able: Mapping[Hashable, Iterable[str]] | None = None,
) -> Cover:
    """The fewest pieces that meet every prompt that can be met, and which piece meets which prompt.

    needs: {prompt: tags, `a b` both, `a; b` either, empty: any piece will do}. have: {piece: tags, `a; b`}.
    Among covers of the same size, in this order: most pieces of `due`; the greatest sum of `neglected` (days since a
    piece was last worked on); most pieces of `on_the_go`; those named first in `have`. `able` narrows a prompt to some
    pieces, where tags alone do not decide.

    A prompt that several of the chosen pieces meet goes to one on the go before one that is not begun, then to the one
    with the fewest others.

    Method: exact set cover as a mixed-integer programme, solved by HiGHS: first the size, then the order.
    """
    pieces = list(have)
    own = [tags_of(have[p]) for p in pieces]
    can = np.array(
        [[any(way <= tags for way in needs_of(text)) for tags in own] for text in needs.values()], dtype=bool
    )
    can = can.reshape(len(needs), len(pieces))
    for i, prompt in enumerate(needs):
        if able is not None and prompt in able:
            can[i] &= np.isin(pieces, list(able[prompt]))
    first, old, going = set(due), neglected or {}, set(on_the_go)
    ranks = np.array([[p in first, round(old.get(p, 0.0)), p in going] for p in pieces], dtype=float).reshape(-1, 3)
    chosen, least = _fewest(can, ranks)
    shared = _shared_out(can & chosen, pieces, np.isin(pieces, list(going)))
    return Cover(pd.DataFrame({"prompt": list(needs), "piece": pd.Series(shared, dtype=object)}), least)


def mending(needs: Any, have: Mapping[str, Any]) -> tuple[list[str], list[str]]:
    """The fewest tags that a piece would want to meet a prompt that none meets, and the pieces that want only those.

    >>> mending("river water", {"Otter": "river; animal", "Pear": "fruit"})
    (['water'], ['Otter'])
    """
    ways = needs_of(needs)
    wanting = {p: min((sorted(way - tags_of(tags)) for way in ways), key=len) for p, tags in have.items()}
    shortest = min((sorted(way) for way in ways), key=len)
    tags = min(wanting.values(), key=len, default=shortest)
    if len(tags) >= len(shortest):
        return shortest, []
    return tags, [p for p, wants in wanting.items() if wants == tags]


def _fewest(can: np.ndarray, ranks: np.ndarray) -> tuple[np.ndarray, bool]:
    """The pieces (bool) of the smallest cover, of those the greatest in the first column of ranks, then the second; and
    whether it is certain that there is no smaller one.

    can: bool, shape (prompts, pieces). ranks: shape (pieces, ranks). Of pieces that are equal in all, the first.
    """
    chosen = np.zeros(can.shape[1], dtype=bool)
    rows = np.unique(can[can.any(axis=1)], axis=0)
    if not len(rows):
        return chosen, True
    # A prompt that allows all that another allows is met whenever that other one is. The solver is lost without this.
    within = (rows.astype(int) @ rows.T) == rows.sum(axis=1)[:, None]
    np.fill_diagonal(within, False)
    rows = rows[~within.any(axis=0)]
    useful = np.flatnonzero(_undominated(rows, ranks))
    rows, ranks = rows[:, useful], ranks[useful]
    covering = LinearConstraint(rows.astype(float), lb=1.0)
    picked, least = _solve(np.ones(len(useful)), [covering], _SECONDS)
    if not picked.any():
        picked = _greedy(rows)
    size = picked.sum()
    weight = np.zeros(len(useful))
    for column in ranks.T:
        # One step of a rank outweighs all that the later ranks can add up to.
        weight = weight * (size * max(column.max(), 1.0) + 1) + column
    if least and np.ptp(weight) > 0:
        as_few = LinearConstraint(np.ones((1, len(useful))), lb=size, ub=size)
        better, _ = _solve(-weight, [covering, as_few], _TIE_SECONDS)
        picked = better if weight @ better > weight @ picked else picked
    chosen[useful] = picked
    return chosen, least


def _greedy(rows: np.ndarray) -> np.ndarray:
    """A cover (bool) found by taking, again and again, the piece that meets most of what is left."""
    picked, left = np.zeros(rows.shape[1], dtype=bool), rows
    while len(left):
        best = left.sum(axis=0).argmax()
        picked[best] = True
        left = left[~left[:, best]]
    return picked


def _undominated(rows: np.ndarray, ranks: np.ndarray) -> np.ndarray:
    """The pieces worth a choice: no other piece meets all that it meets and ranks at least as high."""
    n = rows.shape[1]
    order = np.lexsort([-np.arange(n), *ranks.T[::-1]])
    place = np.empty(n, dtype=int)
    place[order] = np.arange(n)
    inside = (rows.T.astype(int) @ rows) == rows.sum(axis=0)[:, None]
    return np.asarray(rows.any(axis=0) & ~(inside & (place[None, :] > place[:, None])).any(axis=1))


def _solve(cost: np.ndarray, limits: list[LinearConstraint], seconds: float) -> tuple[np.ndarray, bool]:
    """The pieces (bool) of least cost that were found in the time, none at all where it was too short for any; and
    whether they are certain to be those of least cost."""
    options: Any = {"mip_rel_gap": 0.0, "time_limit": seconds}
    answer = milp(
        cost, constraints=limits, integrality=np.ones(len(cost), dtype=np.int64), bounds=Bounds(0, 1), options=options
    )
    found = np.zeros(len(cost), dtype=bool) if answer.x is None else np.round(answer.x).astype(bool)
    return found, answer.status == 0


def _shared_out(ways: np.ndarray, pieces: list[str], going: np.ndarray) -> list[str | None]:
    """Each prompt's piece among those that may meet it, `ways` (prompts, pieces): prompts with one way first, others to
    a piece that is `going`, then to the one with the fewest so far."""
    load = np.zeros(len(pieces))
    out: list[str | None] = [None] * len(ways)
    for i in np.argsort(ways.sum(axis=1), kind="stable"):
        if ways[i].any():
            best = min(np.flatnonzero(ways[i]), key=lambda j: (not going[j], load[j]))
            load[best] += 1
            out[i] = pieces[best]
    return out
