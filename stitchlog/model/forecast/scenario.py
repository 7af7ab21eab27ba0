"""What if: the same simulated days dealt otherwise, each scenario named in words.

All are read from the effort on each path up to each finish, so that they agree with one another by construction: with
more time nothing is finished later on any path, with all of it a piece is finished no later than as things go, and what
one piece gets first, the others wait for.
"""

from __future__ import annotations

import numpy as np

from stitchlog import words
from stitchlog.errors import StitchlogError
from stitchlog.model.forecast.finishing import Forecast, refuse
from stitchlog.model.forecast.future import Future
from stitchlog.model.forecast.paths import HORIZON

_WEEK = 7


def with_share(future: Future, piece: str, share: float = 1.0) -> Forecast:
    """The finish of the piece with this share, above 0 to 1, of all the stitcher's time."""
    if not 0 < share <= 1:
        raise StitchlogError(f"share must be above 0 and at most 1, and {share:g} is not")
    said = "with all your time" if share == 1 else f"with {words.percent(share)} of your time"
    need = _need(future, piece)
    return _forecast(future, piece, future.dealt.when(need / share), said)


def with_pace(future: Future, piece: str, per_week: float) -> Forecast:
    """The finish of the piece with so many stitches every week: one day on all paths."""
    if not 0 < per_week < np.inf:
        raise StitchlogError(f"per week must be above 0, and {per_week:g} is not")
    left = future.past.standing["remaining"].iloc[future.past.row(piece)]
    days = np.full(future.paths, max(np.ceil(left / per_week * _WEEK), 1.0))
    _refuse(future, piece)
    said = f"with {words.count(per_week, 'stitch', 'stitches')} a week"
    return future.forecast(piece, np.where(days > HORIZON, np.inf, days), said)


def with_more(future: Future, piece: str, stitches: float, said: str) -> Forecast:
    """The finish of the piece with so many stitches more on every stitching day, dealt out as ever. said: in words."""
    _need(future, piece)
    effort, length = future.dealt.effort_of, np.diff(np.concatenate([[0], future.dealt.edges]))
    usual = future.dealt.usual
    days = np.where(length == 1, effort > 0, np.minimum(effort / usual, length))
    clock = future.dealt.clock[:, future.pieces.index(piece)]
    return _forecast(future, piece, future.dealt.when(clock, effort + stitches * days), said)


def with_first(future: Future, piece: str, first: list[str]) -> Forecast:
    """The finish of the piece where these come first, one after the other, on every stitching day; it may be one of
    them. What they get sooner, all others wait for."""
    dealt, needs = future.dealt, [_need(future, name) for name in first]
    said = f"if {words.listed(first)} {'comes' if len(first) == 1 else 'come'} first"
    if piece in first:
        return _forecast(future, piece, dealt.when(sum(needs[: first.index(piece) + 1], np.zeros(future.paths))), said)
    _need(future, piece)
    clock = dealt.clock[:, future.pieces.index(piece)]
    later = clock.copy()
    for name, need in zip(first, needs, strict=True):
        mine = (dealt.piece == future.pieces.index(name)) & (dealt.until <= clock[dealt.path] + 1e-6)
        later += need - np.bincount(dealt.path[mine], dealt.effort[mine], future.paths)
    return _forecast(future, piece, dealt.when(later), said)


def reached(future: Future, piece: str, shares: np.ndarray) -> np.ndarray:
    """Days until these shares of what remains of the piece are done, as things go: shape (shares, paths)."""
    dealt, j = future.dealt, future.pieces.index(piece)
    mine = np.flatnonzero(dealt.piece == j)
    mine = mine[np.argsort(dealt.path[mine], kind="stable")]
    path, effort = dealt.path[mine], np.cumsum(dealt.effort[mine])
    begins = np.searchsorted(path, np.arange(future.paths))
    effort = effort - np.concatenate([[0.0], effort])[begins][path]
    out = np.full((len(shares), future.paths), np.inf)
    for i, share in enumerate(shares):
        if share >= 1:
            out[i] = future.days(piece)
            continue
        aim = share * dealt.need[path, j]
        there = np.flatnonzero(effort >= aim - 1e-6)
        rows, at = np.unique(path[there], return_index=True)
        clock = np.full(future.paths, np.inf)
        turn = there[at]
        clock[rows] = dealt.until[mine[turn]] - (effort[turn] - aim[turn])
        out[i] = future.right(piece, dealt.when(clock))
    return out


def _refuse(future: Future, piece: str) -> None:
    refuse(future.past.standing.iloc[future.past.row(piece)], future.past, asked=True)


def _need(future: Future, piece: str) -> np.ndarray:
    """Effort that the piece still needs on each path; one not begun is as fast as others of its size."""
    _refuse(future, piece)
    if piece in future.pieces:
        return np.asarray(future.dealt.need[:, future.pieces.index(piece)])
    row = future.past.row(piece)
    return np.asarray(future.past.standing["remaining"].iloc[row] / future.dealt.speed[:, row])


def _forecast(future: Future, piece: str, days: np.ndarray, said: str) -> Forecast:
    about = future.past.standing.iloc[future.past.row(piece)]
    if about["status"] == "finished" or about["remaining"] <= 0:
        return future.forecast(piece, np.zeros(future.paths), said)
    return future.forecast(piece, future.right(piece, days), said)
