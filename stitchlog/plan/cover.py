"""The fewest pieces that meet an event's prompts."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

import numpy as np
import pandas as pd
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import csr_array

from stitchlog.errors import StitchlogError
from stitchlog.tags import meets, needs_of, tags_of

__all__ = ["cover", "meets", "mending", "needs_of", "tags_of"]

# How long the order among covers of the same size may take.
_TIE_SECONDS = 1.0


def cover(
    needs: Mapping[str, Any],
    have: Mapping[str, Any],
    *,
    due: Iterable[str] = (),
    neglected: Mapping[str, float] | None = None,
    on_the_go: Iterable[str] = (),
    able: Mapping[str, Iterable[str]] | None = None,
) -> pd.DataFrame:
    """The fewest pieces that meet every prompt that can be met, and which piece meets which prompt.

    needs: {prompt: tags, `a b` both, `a; b` either, empty: any piece will do}. have: {piece: tags, `a; b`}.
    Among covers of the same size, in this order: most pieces of `due`; the greatest sum of `neglected` (days since a
    piece was last worked on); most pieces of `on_the_go`; those named first in `have`. `able` narrows a prompt to some
    pieces, where tags alone do not decide.

    Returns prompt, piece (None where no piece meets it), in the order of `needs`. A prompt that several of the chosen
    pieces meet goes to the one with the fewest others. .attrs: ties_settled (False where the order among covers of the
    same size was cut short after a second; the size itself is always the least).

    Method: exact set cover as a mixed-integer programme, solved by HiGHS: first the size, then the order.
    """
    prompts, pieces = list(needs), list(have)
    own = [tags_of(have[p]) for p in pieces]
    ways = [needs_of(needs[q]) for q in prompts]
    can = np.array([[any(way <= tags for way in ws) for tags in own] for ws in ways], dtype=bool)
    can = can.reshape(len(prompts), len(pieces))
    for i, prompt in enumerate(prompts):
        if able is not None and prompt in able:
            can[i] &= np.isin(pieces, list(able[prompt]))
    first, old, going = set(due), neglected or {}, set(on_the_go)
    ranks = np.array([[p in first, round(old.get(p, 0.0)), p in going] for p in pieces], dtype=float).reshape(-1, 3)
    chosen, settled = _fewest(can, ranks)
    out = pd.DataFrame({"prompt": prompts, "piece": pd.Series(_shared_out(can, chosen, pieces), dtype=object)})
    out.attrs["ties_settled"] = settled
    return out


def mending(needs: Any, have: Mapping[str, Any]) -> tuple[list[str], list[str]]:
    """The fewest tags that a piece would want to meet a prompt that none meets, and the pieces that want only those.

    >>> mending("river water", {"Otter": "river; animal", "Pear": "fruit"})
    (['water'], ['Otter'])
    """
    best: tuple[list[str], list[str]] = ([], [])
    for way in needs_of(needs):
        missing = {piece: sorted(way - tags_of(tags)) for piece, tags in have.items()}
        least = min((len(m) for m in missing.values()), default=len(way))
        tags = next((m for m in missing.values() if len(m) == least), sorted(way))
        near = [p for p, m in missing.items() if m == tags] if least < len(way) else []
        if not best[0] or len(tags) < len(best[0]):
            best = (tags, near)
    return best


def _fewest(can: np.ndarray, ranks: np.ndarray) -> tuple[np.ndarray, bool]:
    """The pieces (bool) of the smallest cover, of those the greatest in the first column of ranks, then the second.

    And whether that order is settled.
    """
    chosen = np.zeros(can.shape[1], dtype=bool)
    rows = np.unique(can[can.any(axis=1)], axis=0)
    if not len(rows):
        return chosen, True
    # A prompt that allows all that another allows is met whenever that other one is.
    within = (rows.astype(int) @ rows.T) == rows.sum(axis=1)[:, None]
    np.fill_diagonal(within, False)
    rows = rows[~within.any(axis=0)]
    useful = np.flatnonzero(_undominated(rows, ranks))
    rows, ranks = rows[:, useful], ranks[useful]
    covering = LinearConstraint(csr_array(rows.astype(float)), lb=1.0)
    picked, settled = _solve(np.ones(len(useful)), [covering])
    size = picked.sum()
    weight = np.zeros(len(useful))
    for column in ranks.T:
        # One step of a rank outweighs all that the later ranks can add up to.
        weight = weight * (size * max(column.max(), 1.0) + 1) + column
    if np.ptp(weight) > 0:
        as_few = LinearConstraint(np.ones((1, len(useful))), lb=size, ub=size)
        better, settled = _solve(-weight, [covering, as_few], seconds=_TIE_SECONDS)
        picked = better if weight @ better > weight @ picked else picked
    chosen[useful] = picked
    return chosen, settled


def _undominated(rows: np.ndarray, ranks: np.ndarray) -> np.ndarray:
    """The pieces worth a choice: no other piece meets all that it meets and ranks at least as high."""
    n = rows.shape[1]
    order = np.lexsort([-np.arange(n), *ranks.T[::-1]])
    place = np.empty(n, dtype=int)
    place[order] = np.arange(n)
    inside = (rows.T.astype(int) @ rows) == rows.sum(axis=0)[:, None]
    return rows.any(axis=0) & ~(inside & (place[None, :] > place[:, None])).any(axis=1)


def _solve(cost: np.ndarray, limits: list[LinearConstraint], seconds: float = np.inf) -> tuple[np.ndarray, bool]:
    """The pieces (bool) of least cost, and whether that is proven; none at all where the time was too short for any."""
    options = {"mip_rel_gap": 0.0, "time_limit": seconds}
    answer = milp(cost, constraints=limits, integrality=np.ones(len(cost)), bounds=Bounds(0, 1), options=options)
    if answer.x is None and seconds == np.inf:
        raise StitchlogError(f"the fewest pieces could not be worked out: {answer.message}")
    x = np.zeros(len(cost)) if answer.x is None else answer.x
    return np.round(x).astype(bool), answer.status == 0


def _shared_out(can: np.ndarray, chosen: np.ndarray, pieces: list[str]) -> list[str | None]:
    """Each prompt's piece among the chosen: those with one way first, others to the piece with the fewest so far."""
    load = np.zeros(len(pieces))
    out: list[str | None] = [None] * len(can)
    ways = can & chosen
    for i in np.argsort(ways.sum(axis=1), kind="stable"):
        if ways[i].any():
            best = min(np.flatnonzero(ways[i]), key=lambda j: (load[j], j))
            load[best] += 1
            out[i] = pieces[best]
    return out
