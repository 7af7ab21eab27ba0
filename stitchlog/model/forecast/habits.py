"""How this stitcher goes about several pieces: what is picked up next, how fast each goes, and the pull of the end.

Three things are learnt from the diary and drawn towards the typical stitcher while it is short:

- *What comes next.* The piece in hand counts 1, every open piece `other` times its share of the visits remembered, a
  new one `new`, and the next day's piece is drawn in proportion (a conditional logit, McFadden 1974). A visit is a
  day's work on a piece; how many are remembered, and what is left to a piece that lies forgotten, is learnt, too.
  After a finish nothing is in hand, and a new one counts `after`.
- *Speed.* Stitches that a usual day brings on a piece, against the others (random intercepts with a slope on size).
- *The pull of the end.* A day that comes near the end stretches to reach it.

Each is kept as a posterior on a grid and drawn a path, so that a young diary is as unsure as it should be.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from stitchlog.model.forecast.history import History

# Visits that are remembered, on average, and the share at which a piece is picked up that lies forgotten: every pair.
_MEMORIES, _FLOORS = (grid.ravel() for grid in np.meshgrid([5.0, 20.0, 80.0, 320.0], [0.002, 0.01, 0.04]))
_OTHER = np.round(np.geomspace(0.01, 100, 17), 6)
_NEW = np.round(np.geomspace(0.001, 3, 10), 6)
_AFTER = np.round(np.geomspace(0.01, 10, 13), 6)
# The typical stitcher: log-normal priors (median, standard deviation of the log).
_OTHER_PRIOR, _NEW_PRIOR, _AFTER_PRIOR = (1.0, 1.5), (0.03, 1.0), (0.3, 1.5)
_VISITS = 400  # the last visits, which tell: habits of years ago say little
# The pull: a day worth 1 / pull of what remains still finishes, within `ZONE` usual days of the end.
_PULLS = np.array([1.0, 1.25, 1.5, 2.0, 2.5, 3.0, 4.0])
_PULL_PRIOR = np.array([0.15, 0.2, 0.2, 0.2, 0.1, 0.1, 0.05])
ZONE = 1.5
_SURE = 0.02  # no single day is believed beyond this
# Speed: spread between pieces and of days (log), so many pieces' and days' worth of it; ridge on the effect of size.
_BETWEEN, _PIECES, _WITHIN, _DAYS, _RIDGE = 0.3, 5.0, 0.63, 10.0, 10.0


@dataclass(frozen=True)
class Habits:
    """Draws of a stitcher's habits, one a path, and what is known of each piece.

    other, new, after, pull, decay (what is left of a share after a visit), floor: shape (paths,). share: of the visits
    remembered and never less than the floor, shape (paths, pieces of `standing`), as is speed. effort: the diary's days
    in usual stitches, speeds taken out.
    """

    other: np.ndarray
    new: np.ndarray
    after: np.ndarray
    pull: np.ndarray
    decay: np.ndarray
    share: np.ndarray
    floor: np.ndarray
    speed: np.ndarray
    effort: np.ndarray


def habits(past: History, paths: int, seed: int) -> Habits:
    """Habits drawn from what the diary says, for so many paths."""
    rng = np.random.default_rng([seed, 1])
    pull_rng = np.random.default_rng([seed, 4])
    choice, after, share = _choices(past)
    at = np.unravel_index(_draw(choice, paths, rng), choice.shape)
    each = after / after.sum(axis=1, keepdims=True)
    which = (np.round(np.cumsum(each, axis=1), 9)[at[0]] < rng.random(paths)[:, None]).sum(axis=1)
    mean, sd = speeds(past)
    # Pieces that wait in the stash draw last, so that they change nothing for those that are begun.
    order = np.argsort(past.standing["status"].to_numpy() == "not begun", kind="stable")
    drawn = np.empty((len(mean), paths))
    drawn[order] = rng.standard_normal((len(mean), paths))
    rate = np.exp(mean)
    effort = np.bincount(past.at, past.stitches / rate[past.piece], past.days)
    return Habits(
        other=_OTHER[at[1]],
        new=_NEW[at[2]],
        after=_AFTER[which.clip(0, len(_AFTER) - 1)],
        pull=_PULLS[_draw(_pulls(past, rate, effort), paths, pull_rng)],
        decay=1.0 - 1.0 / _MEMORIES[at[0]],
        share=share[at[0]],
        floor=_FLOORS[at[0]],
        speed=np.round(np.exp(mean + sd * drawn.T), 4),
        effort=effort,
    )


def _draw(weight: np.ndarray, count: int, rng: np.random.Generator) -> np.ndarray:
    """Places drawn in proportion to the weights, shape (count,)."""
    steps = np.round(np.cumsum(weight / weight.sum()), 9)
    return np.asarray(np.searchsorted(steps, rng.random(count)).clip(0, weight.size - 1))


def _prior(grid: np.ndarray, prior: tuple[float, float]) -> np.ndarray:
    return np.asarray(-0.5 * ((np.log(grid) - np.log(prior[0])) / prior[1]) ** 2)


def _choices(past: History) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Posterior of (memory, other, new), of `after` under each memory, and each piece's share now, shape (memories,
    pieces)."""
    events, share = _transitions(past)
    choice = np.repeat((_prior(_OTHER, _OTHER_PRIOR)[:, None] + _prior(_NEW, _NEW_PRIOR))[None], len(_MEMORIES), axis=0)
    after = np.repeat(_prior(_AFTER, _AFTER_PRIOR)[None], len(_MEMORIES), axis=0)
    kind, over = events[:, 0, 0], events[:, 0, 1] == 1
    for k in range(len(_MEMORIES)):
        hand, chosen, all_ = events[:, k, 2:].T
        stayed, began, went = (~over & (kind == n) for n in range(3))
        going = stayed | began | went
        choice[k] -= np.log(1.0 + _OTHER[:, None, None] * all_[going] + _NEW[:, None]).sum(axis=-1)
        choice[k] += np.log1p(_OTHER[:, None] * hand[stayed]).sum(axis=1)[:, None]
        choice[k] += began.sum() * np.log(_NEW) + (np.log(_OTHER) * went.sum() + np.log(chosen[went]).sum())[:, None]
        ended = over & (kind != 0) & (all_ > 0)
        new, rest = kind[ended] == 1, all_[ended]
        both = _AFTER[:, None] + rest
        after[k] += np.where(new, np.log(_AFTER[:, None] / both), np.log(rest / both)).sum(axis=1)
    return np.exp(choice - choice.max()), np.exp(after - after.max(axis=1, keepdims=True)), share


def _transitions(past: History) -> tuple[np.ndarray, np.ndarray]:
    """Of each of the last visits but the first, under each memory: whether it stayed (0), began a piece (1) or went to
    another (2), whether the one in hand was over, and the shares of the one in hand, the chosen one and all that were
    open; shape (visits, memories, 5). And the shares after the last visit, shape (memories, pieces)."""
    piece, at = past.visits["piece"].to_numpy(), past.visits["at"].to_numpy()
    pieces = len(past.standing)
    begin = max(0, len(piece) - _VISITS - int(5 * _MEMORIES[-1]))
    begun = np.zeros(pieces, bool)
    begun[piece[:begin]] = True
    share, lost = np.zeros((len(_MEMORIES), pieces)), np.ones(len(_MEMORIES))
    keep = 1.0 - 1.0 / _MEMORIES
    events = []
    for i in range(begin, len(piece)):
        now = piece[i]
        if i > begin and i >= len(piece) - _VISITS:
            hand = piece[i - 1]
            closed = past.ends <= at[i]
            over = bool(closed[hand])
            kind = 0 if now == hand else 2 if begun[now] else 1
            # A finished piece that is worked on again says nothing of a habit.
            if not closed[now] or kind == 1 or (kind == 0 and not over):
                known = (share / (1.0 - lost)[:, None] + _FLOORS[:, None]) * (begun & ~closed)
                told = np.empty((len(_MEMORIES), 5))
                told[:, 0], told[:, 1], told[:, 2], told[:, 3] = kind, over, known[:, hand], known[:, now]
                told[:, 4] = known.sum(axis=1)
                events.append(told)
        begun[now] = True
        share *= keep[:, None]
        share[:, now] += 1.0 - keep
        lost *= keep
    now_share = share / np.maximum(1.0 - lost, 1e-9)[:, None] + _FLOORS[:, None]
    return np.array(events).reshape(-1, len(_MEMORIES), 5), now_share


def speeds(past: History) -> tuple[np.ndarray, np.ndarray]:
    """Log of the stitches of a usual day on each piece of `standing`, against the geometric mean of all, and its
    standard deviation: random intercepts with a slope on the log of the size."""
    visits = past.visits[past.visits["stitches"] > 0]
    pieces = len(past.standing)
    piece, logs = visits["piece"].to_numpy(), np.log(visits["stitches"].to_numpy())
    count = np.bincount(piece, minlength=pieces)
    seen = count > 0
    if not seen.any():
        return np.zeros(pieces), np.full(pieces, _BETWEEN)
    mean = np.bincount(piece, logs, pieces) / np.maximum(count, 1)
    size = np.log(past.standing["total"].to_numpy(float))
    size = np.where(
        np.isfinite(size), size, size[np.isfinite(size) & seen].mean() if np.isfinite(size[seen]).any() else 0
    )
    left = ((logs - mean[piece]) ** 2).sum()
    within = (left + _DAYS * _WITHIN**2) / (len(logs) - seen.sum() + _DAYS)
    between = _BETWEEN**2
    for _ in range(10):
        weight = np.where(seen, 1.0 / (between + within / np.maximum(count, 1)), 0.0)
        middle, centre = (weight @ mean) / weight.sum(), (weight @ size) / weight.sum()
        spread = weight * (size - centre)
        slope = (spread @ (mean - middle)) / (spread @ (size - centre) + _RIDGE)
        expected = middle + slope * (size - centre)
        trust = between * weight
        moved = trust * (mean - expected)
        doubt = between * (1.0 - trust)
        between = ((moved**2 + doubt)[seen].sum() + _PIECES * _BETWEEN**2) / (seen.sum() + _PIECES)
    return np.round(expected + moved - middle, 6), np.round(np.sqrt(doubt), 6)


def _pulls(past: History, rate: np.ndarray, effort: np.ndarray) -> np.ndarray:
    """Posterior of the pull, from days on which an end was near."""
    days = np.sort(effort[effort > 0])
    post = np.log(_PULL_PRIOR)
    if len(days):
        visits = past.visits
        left = visits["before"].to_numpy() / rate[visits["piece"]]
        near = (left > 0) & (left < ZONE * days.mean()) & (visits["stitches"].to_numpy() > 0)
        done = visits["stitches"].to_numpy()[near] >= visits["before"].to_numpy()[near] - 1e-6
        short = np.searchsorted(days, left[near] / _PULLS[:, None] - 1e-9) / len(days)
        chance = _SURE + (1.0 - 2.0 * _SURE) * (1.0 - short)
        post = post + np.where(done, np.log(chance), np.log1p(-chance)).sum(axis=1)
    return np.asarray(np.exp(post - post.max()))
