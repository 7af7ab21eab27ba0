"""Spending stitches on commitments: the nearest end first, each stitch on one piece, counted wherever it may count."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np


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
    paths = days.shape[0]
    lacks = np.repeat(np.array([[c.need for c in claims]], dtype=float), paths, axis=0).T.copy()
    order = sorted(range(len(claims)), key=lambda i: (claims[i].closes, claims[i].opens, i))
    heirs = {c.follows: i for i, c in enumerate(claims) if c.follows is not None}
    for day in range(days.shape[1]):
        today = [i for i in order if claims[i].opens <= day <= claims[i].closes]
        if not today:
            continue
        stitches = days[:, day].astype(float)
        pool = _Pool(stitches)
        for i in today:
            claim = claims[i]
            lacks[i] -= (stitches > 0) & (lacks[i] > 0) if claim.by_days else pool.give(claim, lacks[i])
            if claim.closes == day and i in heirs:
                lacks[heirs[i]] += lacks[i]
    return lacks.T


class _Pool:
    """One day's stitches on every path, sorted by what they have been counted for."""

    def __init__(self, stitches: np.ndarray) -> None:
        self.fresh = stitches.copy()  # counted for nothing yet
        self.open = np.zeros_like(stitches)  # counted for shared claims that allow any piece; the piece is not settled
        self.held: dict[str, np.ndarray] = {}  # settled on a piece, and counted for a shared claim

    def give(self, claim: Claim, want: np.ndarray) -> np.ndarray:
        """Stitches that the claim gets of at most `want`, taken where they hinder the others least."""
        if not claim.shared:
            got = np.minimum(want, self.fresh)
            self.fresh = self.fresh - got
            return got
        if claim.piece == "":
            counted = self.open + sum(self.held.values(), np.zeros_like(self.open))
            new = np.minimum(np.maximum(want - counted, 0.0), self.fresh)
            self.fresh, self.open = self.fresh - new, self.open + new
            return np.minimum(want, counted + new)
        own = self.held.get(claim.piece, np.zeros_like(self.open))
        from_open = np.minimum(np.maximum(want - own, 0.0), self.open)
        new = np.minimum(np.maximum(want - own - from_open, 0.0), self.fresh)
        self.open, self.fresh = self.open - from_open, self.fresh - new
        self.held[claim.piece] = own + from_open + new
        return np.minimum(want, self.held[claim.piece])
