"""The stitcher's coming days dealt out to pieces: those in progress, those set aside, and starts yet to come."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from stitchlog.model.forecast import spells
from stitchlog.model.forecast.habits import ZONE, Habits, habits
from stitchlog.model.forecast.history import History
from stitchlog.model.forecast.paths import HORIZON, Stretch, futures, sizes, step_of

NEW = 4  # starts yet to come that are followed at once; a fifth takes the place of the longest idle
_SMALL = 1e-6  # stitches that are rounding
_ROUNDS = 3  # pieces that one turn may go on to, as each is finished
_ASIDE = 0.25  # how readily a piece that is set aside is picked up, against one that merely lies
_SIZE = 60.0  # usual days that a piece takes, where the diary holds no size


@dataclass(frozen=True)
class Dealt:
    """Who gets what on every path.

    Effort is counted in stitches of a usual piece: a piece's stitches over its speed. need: effort until each piece is
    finished, shape (paths, pieces). clock: effort on all pieces up to its finish, inf where that is beyond the horizon.
    edges: day on which each step ends, shape (steps,). effort_of: effort of each step, shape (paths, steps). path,
    step, piece, stitches, effort, until: of every turn in order, `until` being the effort on all pieces up to its end;
    pieces beyond those of `need` are starts yet to come. usual: effort of a usual stitching day. speed: of every piece
    in `History.standing`, shape (paths, all pieces).
    """

    need: np.ndarray
    clock: np.ndarray
    edges: np.ndarray
    effort_of: np.ndarray
    path: np.ndarray
    step: np.ndarray
    piece: np.ndarray
    stitches: np.ndarray
    effort: np.ndarray
    until: np.ndarray
    usual: float
    speed: np.ndarray

    @cached_property
    def done(self) -> np.ndarray:
        """Day on which each piece is finished, with its part (inf: beyond the horizon), shape (paths, pieces)."""
        return np.stack([self.when(clock) for clock in self.clock.T], axis=1) if self.clock.size else self.clock

    def when(self, clock: np.ndarray, effort_of: np.ndarray | None = None) -> np.ndarray:
        """Day on which so much effort is spent on each path, with its part; shape (paths,). effort_of: of each step,
        where it is another than the one dealt."""
        spent = np.cumsum(self.effort_of if effort_of is None else effort_of, axis=1)
        reached = spent >= clock[:, None] - _SMALL
        at = reached.argmax(axis=1)
        rows = np.arange(len(clock))
        after = spent[rows, at]
        before = np.where(at > 0, spent[rows, at - 1], 0.0)
        start = np.concatenate([[0], self.edges])[at]
        part = (np.where(np.isfinite(clock), clock, 0.0) - before) / np.maximum(after - before, 1e-9)
        return np.where(reached[rows, at], start + part.clip(1e-3, 1.0) * (self.edges[at] - start), np.inf)


@dataclass
class _State:
    """Where the paths stand; changed in place. Rows are paths, columns pieces and then the
    starts yet to come; `ready` is the same on all paths."""

    left: np.ndarray
    share: np.ndarray
    speed: np.ndarray
    ready: np.ndarray
    hand: np.ndarray
    spent: np.ndarray


def simulate(past: History, paths: int, seed: int, horizon: int = HORIZON) -> tuple[tuple[str, ...], Dealt]:
    """The open pieces, and who gets what of so many futures."""
    rows = past.open()
    names = tuple(past.standing["piece"].iloc[rows])
    habit = habits(past, paths, seed)
    if not (habit.effort > 0).any():
        return names, _nothing(habit.speed, len(names))
    coming = futures([spells.read(past.everything != 0)], sizes(habit.effort), paths, seed)
    return names, deal(past, rows, coming, habit, seed, horizon)


def _nothing(speed: np.ndarray, pieces: int) -> Dealt:
    """What is dealt where no day has a stitch."""
    paths, none, nought = len(speed), np.empty(0, np.int32), np.empty(0)
    never, still = np.full((paths, pieces), np.inf), np.zeros((paths, 1))
    edges = np.array([HORIZON])
    return Dealt(never, never, edges, still, none, none, none, nought, nought, nought, 1.0, speed)


def deal(
    past: History, names: np.ndarray, stretches: Iterable[Stretch], habit: Habits, seed: int, horizon: int = HORIZON
) -> Dealt:
    """The days of `stretches` (in usual stitches) dealt out to the pieces in rows `names` of `past.standing`.

    Day by day in the near chunk, in a few turns a step further on. A turn goes to one piece, and on to others where
    that one is finished within it.
    """
    paths, count = len(habit.other), len(names)
    rng = np.random.default_rng([seed, 2])
    state = _begin(past, names, habit, paths, rng)
    large = _sizes(past, habit)
    zone = ZONE * float(habit.effort[habit.effort > 0].mean())
    whole_need = state.left[:, :count] / state.speed[:, :count]
    clock = np.full((paths, count), np.inf)
    turns: list[tuple[np.ndarray, ...]] = []
    edges: list[int] = []
    efforts: list[np.ndarray] = []
    passed = 0
    for chunk, stretch in enumerate(stretches):
        step = 1 if chunk == 0 else step_of(chunk)
        worked = stretch.dense(step).astype(float)
        parts = 1 if step == 1 else 2 if step <= 7 else 3 if step <= 28 else 4
        for when in range(worked.shape[1]):
            whole = np.zeros(paths)
            for _ in range(parts):
                rows = np.flatnonzero(worked[:, when] > 0)
                left = worked[rows, when] / parts
                for _again in range(_ROUNDS):
                    _choose(state, rows, habit, large, count, rng)
                    at = state.hand[rows]
                    speed, need = state.speed[rows, at], state.left[rows, at]
                    can = left * speed
                    over = (need <= can) | ((need <= can * habit.pull[rows]) & (need <= zone * speed))
                    got = np.where(over, need, can)
                    used = got / speed
                    state.left[rows, at] = need - got
                    state.spent[rows] += used
                    whole[rows] += used
                    real = over & (at < count)
                    clock[rows[real], at[real]] = state.spent[rows[real]]
                    turns.append((rows, np.full(len(rows), len(edges)), at, got, used, state.spent[rows]))
                    more = left - used > _SMALL
                    rows, left = rows[more], (left - used)[more]
                    if not len(rows):
                        break
                else:  # what is left goes to a start that is not followed to its end
                    state.spent[rows] += left
                    whole[rows] += left
                    turns.append(
                        (
                            rows,
                            np.full(len(rows), len(edges)),
                            np.full(len(rows), count + NEW),
                            left,
                            left,
                            state.spent[rows],
                        )
                    )
            efforts.append(whole)
            edges.append(passed + (when + 1) * step)
        passed += stretch.days
        if passed >= horizon or (horizon < HORIZON and np.isfinite(clock).all()):
            break
    path, step_at, piece, stitches, effort, until = (np.concatenate(column) for column in zip(*turns, strict=True))
    return Dealt(
        need=whole_need,
        clock=clock,
        edges=np.array(edges),
        effort_of=np.array(efforts).T,
        path=path.astype(np.int32),
        step=step_at.astype(np.int32),
        piece=piece.astype(np.int32),
        stitches=stitches,
        effort=effort,
        until=until,
        usual=float(habit.effort[habit.effort > 0].mean()),
        speed=habit.speed,
    )


def _sizes(past: History, habit: Habits) -> np.ndarray:
    """Sizes that a start yet to come may have, in usual stitches."""
    total = past.standing["total"].to_numpy(float)
    known = np.isfinite(total) & (total > 0) & (past.standing["status"] != "not begun").to_numpy()
    if known.any():
        return total[known] / habit.speed[:, known].mean(axis=0)
    return np.array([_SIZE * habit.effort[habit.effort > 0].mean()])


def _begin(past: History, names: np.ndarray, habit: Habits, paths: int, rng: np.random.Generator) -> _State:
    visits = past.visits["piece"].to_numpy()
    rows = past.standing.iloc[names]
    left = np.tile(rows["remaining"].to_numpy(float), (paths, 1))
    speed = habit.speed[:, names]
    for j in np.flatnonzero(~np.isfinite(left[0]) | (left[0] <= 0)):
        # Where the total is not known, or was too low, a piece is as large as others are, what is done taken off.
        size = rng.choice(_sizes(past, habit), paths) * speed[:, j]
        left[:, j] = np.maximum(size - rows["done"].iloc[j], 0.25 * size)
    hand = np.flatnonzero(names == visits[-1]) if len(visits) else np.empty(0, int)
    blank = np.zeros((paths, NEW))
    aside = np.where((rows["status"] == "set aside").to_numpy(), _ASIDE, 1.0)
    return _State(
        left=np.concatenate([left, blank], axis=1),
        share=np.concatenate([habit.share[:, names], blank], axis=1),
        speed=np.concatenate([speed, blank + 1.0], axis=1),
        ready=np.concatenate([aside, np.ones(NEW)]),
        hand=np.full(paths, hand[0] if len(hand) else -1),
        spent=np.zeros(paths),
    )


def _choose(
    state: _State, rows: np.ndarray, habit: Habits, large: np.ndarray, count: int, rng: np.random.Generator
) -> None:
    """Puts the piece of the next turn in hand on the paths `rows`."""
    hand = state.hand[rows]
    left = state.left[rows]
    going = (hand >= 0) & (left[np.arange(len(rows)), hand] > 0)
    share = state.share[rows]
    weight = np.empty((len(rows), left.shape[1] + 1))
    weight[:, :-1] = share * (left > 0) * state.ready
    weight[:, :-1] *= np.where(going, habit.other[rows], 1.0)[:, None]
    weight[np.flatnonzero(going), hand[going]] += 1.0
    weight[:, -1] = np.where(going, habit.new[rows], habit.after[rows])
    steps = np.cumsum(weight, axis=1)
    pick = (steps <= (rng.random(len(rows)) * steps[:, -1])[:, None]).sum(axis=1)
    begun = np.flatnonzero(pick >= left.shape[1])
    if len(begun):
        at = rows[begun]
        free = np.where(state.left[at, count:] <= 0, -1.0, state.share[at, count:])
        slot = free.argmin(axis=1) + count
        state.left[at, slot] = large[rng.integers(0, len(large), len(begun))]
        share[begun, slot] = 0.0
        pick[begun] = slot
    lost = 1.0 - habit.decay[rows]
    share *= habit.decay[rows, None]
    share += (lost * habit.floor[rows])[:, None]
    share[np.arange(len(rows)), pick] += lost
    state.share[rows] = share
    state.hand[rows] = pick
