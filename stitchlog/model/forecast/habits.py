"""How this stitcher goes about several pieces: what is picked up next, how fast each goes, and the pull of the end.

Three things are learnt from the diary and drawn towards the typical stitcher while it is short:

- *What comes next.* A piece in hand counts 1, every other open one `other` times its idleness to the power of `-fade`,
  a new one `new`, and the next day's piece is drawn in proportion (a conditional logit, McFadden 1974, with idleness
  counted in stitching days). After a finish the piece in hand is gone, and a new one counts `after`.
- *Speed.* Stitches that a usual day brings on a piece, against the others (random intercepts with a slope on size).
- *The pull of the end.* A day that comes near the end stretches to reach it.

Each is kept as a posterior on a grid and drawn a path, so that a young diary is as unsure as it should be.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from stitchlog.model.forecast.history import History

_FADES = np.array([0.5, 1.0, 1.5])
_OTHER = np.round(np.geomspace(0.01, 10, 13), 6)
_NEW = np.round(np.geomspace(0.001, 1, 10), 6)
_AFTER = np.round(np.geomspace(0.01, 100, 13), 6)
# The typical stitcher: log-normal priors (median, standard deviation of the log).
_OTHER_PRIOR, _NEW_PRIOR, _AFTER_PRIOR = (0.7, 1.0), (0.03, 1.0), (0.5, 1.5)
_MEMORY = 400  # visits that tell: habits of years ago say little
IDLE = 4096  # visits after which nothing more is forgotten
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

    fade (row of `kernel`), other, new, after, pull: shape (paths,). kernel: weight by idleness, shape (fades, IDLE).
    speed: shape (paths, pieces of `standing`). effort: the diary's days in usual stitches, speeds taken out.
    """

    fade: np.ndarray
    other: np.ndarray
    new: np.ndarray
    after: np.ndarray
    pull: np.ndarray
    kernel: np.ndarray
    speed: np.ndarray
    effort: np.ndarray


def habits(past: History, paths: int, seed: int) -> Habits:
    """Habits drawn from what the diary says, for so many paths."""
    rng = np.random.default_rng([seed, 1])
    pull_rng = np.random.default_rng([seed, 4])
    choice, after = _choices(past)
    at = np.unravel_index(_draw(choice, paths, rng), choice.shape)
    fade = at[0]
    each = after / after.sum(axis=1, keepdims=True)
    which = (np.round(np.cumsum(each, axis=1), 9)[fade] < rng.random(paths)[:, None]).sum(axis=1)
    mean, sd = speeds(past)
    # Pieces that wait in the stash draw last, so that they change nothing for those that are begun.
    order = np.argsort(past.standing["status"].to_numpy() == "not begun", kind="stable")
    drawn = np.empty((len(mean), paths))
    drawn[order] = rng.standard_normal((len(mean), paths))
    speed = np.round(np.exp(mean + sd * drawn.T), 4)
    rate = np.exp(mean)
    effort = np.bincount(past.at, past.stitches / rate[past.piece], past.days)
    return Habits(
        fade=fade,
        other=_OTHER[at[1]],
        new=_NEW[at[2]],
        after=_AFTER[which.clip(0, len(_AFTER) - 1)],
        pull=_PULLS[_draw(_pulls(past, rate, effort), paths, pull_rng)],
        kernel=_kernel(),
        speed=speed,
        effort=effort,
    )


def _draw(weight: np.ndarray, count: int, rng: np.random.Generator) -> np.ndarray:
    """Places drawn in proportion to the weights, shape (count,)."""
    steps = np.round(np.cumsum(weight / weight.sum()), 9)
    return np.searchsorted(steps, rng.random(count)).clip(0, weight.size - 1)


def _kernel() -> np.ndarray:
    return np.round(np.maximum(np.arange(IDLE) - 1.0, 1.0) ** -_FADES[:, None], 6)


def _prior(grid: np.ndarray, prior: tuple[float, float]) -> np.ndarray:
    return -0.5 * ((np.log(grid) - np.log(prior[0])) / prior[1]) ** 2


def _choices(past: History) -> tuple[np.ndarray, np.ndarray]:
    """Posterior of (fade, other, new), and of `after` under each fade."""
    others, kind, chosen, over = _transitions(past)
    log_choice = _prior(_OTHER, _OTHER_PRIOR)[None, :, None] + _prior(_NEW, _NEW_PRIOR)
    choice = np.repeat(log_choice, len(_FADES), axis=0)
    after = np.repeat(_prior(_AFTER, _AFTER_PRIOR)[None], len(_FADES), axis=0)
    going, ended = ~over, over & (others[:, 0] > 0)
    for k in range(len(_FADES)):
        total = 1.0 + _OTHER[:, None, None] * others[going, k] + _NEW[:, None]
        choice[k] -= np.log(total).sum(axis=-1)
        choice[k] += (kind[going] == 2).sum() * np.log(_OTHER)[:, None] + (kind[going] == 1).sum() * np.log(_NEW)
        choice[k] += np.log(chosen[going & (kind == 2), k]).sum()
        rest, new = others[ended, k], kind[ended] == 1
        both = _AFTER[:, None] + rest
        after[k] += np.where(new, np.log(_AFTER[:, None] / both), np.log(rest / both)).sum(axis=1)
    return np.exp(choice - choice.max()), np.exp(after - after.max(axis=1, keepdims=True))


def _transitions(past: History) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
    """Of each of the last visits but the first: the weight of the other open pieces, shape (visits, fades); whether it
    stayed (0), began a piece (1) or went to another (2); the chosen one's weight; whether the one in hand was over."""
    piece, at = past.visits["piece"].to_numpy(), past.visits["at"].to_numpy()
    start = max(1, len(piece) - _MEMORY)
    which = np.arange(start, len(piece))
    # The visit at which each piece was last worked on before every one of these.
    last = np.full((len(which), len(past.standing)), -1)
    if len(which):
        np.maximum.at(last[0], piece[:start], np.arange(start))
        last[np.arange(1, len(which)), piece[which[:-1]]] = which[:-1]
        last = np.maximum.accumulate(last, axis=0)
    idle = (which[:, None] - last).clip(0, IDLE - 1)
    hand, now = piece[which - 1], piece[which]
    over = past.ends[hand] <= at[which]
    open_ = (last >= 0) & ~(past.ends <= at[which][:, None])
    open_[np.arange(len(which)), hand] = False
    weight = _kernel()[:, idle] * open_
    begun = last[np.arange(len(which)), now] < 0
    kind = np.where(now == hand, 0, np.where(begun, 1, 2))
    # A finished piece that is worked on again is nobody's habit.
    keep = ~(over & (kind == 0)) & ((kind != 2) | open_[np.arange(len(which)), now])
    chosen = _kernel()[:, idle[np.arange(len(which)), now]]
    return weight.sum(axis=2).T[keep], kind[keep], chosen.T[keep], over[keep]


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
    return np.exp(post - post.max())
