"""The stitcher's coming days dealt out to pieces: those in progress, those set aside, and starts yet to come."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, fields, replace
from functools import cached_property

import numpy as np

from stitchlog.model.forecast import spells
from stitchlog.model.forecast.habits import ZONE, Habits, habits
from stitchlog.model.forecast.history import History
from stitchlog.model.forecast.paths import HORIZON, Stretch, futures_from, sizes, step_of

NEW = 4  # starts yet to come that are followed at once; a fifth takes the place of the longest idle
_SMALL = 1e-6  # stitches that are rounding
_ROUNDS = 3  # pieces that one turn may go on to, as each is finished
_ASIDE = 0.25  # how readily a piece that is set aside is picked up, against one that merely lies
_DRAWN = 16  # sizes of starts yet to come that a path chooses from
# Log rates of stitching days that the reading tells apart: that of the typical stitcher, and of one who goes on.
_TYPICAL = (-3.1, -1.5)
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
    """Where the paths stand, and their habits; changed in place. Rows are paths, columns pieces and then the starts yet
    to come, of which `large` holds the sizes. other, new, after, pull, decay, floor: as in `Habits`."""

    left: np.ndarray
    share: np.ndarray
    speed: np.ndarray
    ready: np.ndarray
    hand: np.ndarray
    large: np.ndarray
    zone: np.ndarray
    other: np.ndarray
    new: np.ndarray
    after: np.ndarray
    pull: np.ndarray
    decay: np.ndarray
    floor: np.ndarray


@dataclass(frozen=True)
class _Start:
    """All that a simulation begins with: names of the open pieces, the state, levels and tables of the coming days."""

    names: tuple[str, ...]
    state: _State
    levels: list[np.ndarray]
    tables: np.ndarray
    speed: np.ndarray
    usual: float


def simulate(past: History, paths: int, seed: int, horizon: int = HORIZON) -> tuple[tuple[str, ...], Dealt]:
    """The open pieces, and who gets what of so many futures."""
    start = _begin(past, paths, seed)
    if start is None:
        return (), _nothing(paths, len(past.standing))
    coming = futures_from([start.levels], start.tables, np.arange(paths) % len(start.tables), seed)
    return start.names, _deal(start, coming, seed, horizon)


def simulate_each(
    pasts: list[History], paths: int, seed: int, horizon: int
) -> list[tuple[tuple[str, ...], np.ndarray]]:
    """Of each of several pasts the open pieces, and the days to their finishes, shape (paths, pieces).

    They are simulated side by side, which is much quicker.
    """
    starts = [_begin(past, paths, seed) for past in pasts]
    told = [start for start in starts if start is not None]
    if not told:
        return [((), np.empty((paths, 0))) for _ in pasts]
    most = max(len(start.names) for start in told)
    rows = np.concatenate([i * len(s.tables) + np.arange(paths) % len(s.tables) for i, s in enumerate(told)])
    levels = [np.concatenate(each) for each in zip(*(start.levels for start in told), strict=True)]
    coming = futures_from([levels], np.concatenate([start.tables for start in told]), rows, seed)
    states = [_padded(start.state, most - len(start.names)) for start in told]
    state = _State(*(np.concatenate([getattr(s, f.name) for s in states]) for f in fields(_State)))
    together = replace(told[0], names=("",) * most, state=state)
    done = iter(np.split(_deal(together, coming, seed, horizon).done, len(told)))
    return [(s.names, next(done)[:, : len(s.names)]) if s else ((), np.empty((paths, 0))) for s in starts]


def _padded(state: _State, columns: int) -> _State:
    """The state with so many pieces more, which are over."""
    wide = {}
    for name, value in (("left", 0.0), ("share", 0.0), ("speed", 1.0), ("ready", 1.0)):
        matrix = getattr(state, name)
        blank = np.full((len(matrix), columns), value)
        wide[name] = np.concatenate([matrix[:, :-NEW], blank, matrix[:, -NEW:]], axis=1)
    return replace(state, **wide)


def _nothing(paths: int, pieces: int) -> Dealt:
    """What is dealt where no day has a stitch."""
    none, nought = np.empty(0, np.int32), np.empty(0)
    never, still = np.full((paths, 0), np.inf), np.zeros((paths, 1))
    edges, speed = np.array([HORIZON]), np.ones((paths, pieces))
    return Dealt(never, never, edges, still, none, none, none, nought, nought, nought, 1.0, speed)


def _deal(start: _Start, stretches: Iterable[Stretch], seed: int, horizon: int) -> Dealt:
    """The days of `stretches` (in usual stitches) dealt out to the pieces.

    Day by day in the near chunk, in a few turns a step further on. A turn goes to one piece, and on to others where
    that one is finished within it.
    """
    rng = np.random.default_rng([seed, 2])
    state, count = start.state, len(start.names)
    paths = len(state.hand)
    effort_needed = state.left[:, :count] / state.speed[:, :count]
    clock = np.where(effort_needed > 0, np.inf, 0.0)
    spent = np.zeros(paths)
    turns: list[tuple[np.ndarray, ...]] = []
    edges: list[int] = []
    efforts: list[np.ndarray] = []
    passed = 0
    for chunk, stretch in enumerate(stretches):
        step = 1 if chunk == 0 else step_of(chunk)
        worked = stretch.dense(step).astype(float)
        parts = 1 if step <= 7 else 2 if step <= 28 else 3
        for when in range(worked.shape[1]):
            before = spent.copy()
            stitched = np.flatnonzero(worked[:, when] > 0)
            for _ in range(parts if len(stitched) else 0):
                rows, left = stitched, worked[stitched, when] / parts
                for again in range(_ROUNDS + 1):
                    if again < _ROUNDS:
                        at = _choose(state, rows, count, rng)
                        speed, need = state.speed[rows, at], state.left[rows, at]
                        can = left * speed
                        over = (need <= can) | ((need <= can * state.pull[rows]) & (need <= state.zone[rows] * speed))
                        got = np.where(over, need, can)
                        used = got / speed
                        state.left[rows, at] = need - got
                    else:  # what is left goes to a start that is not followed to its end
                        at, got, used, over = np.full(len(rows), count + NEW), left, left, np.zeros(len(rows), bool)
                    spent[rows] += used
                    real = over & (at < count)
                    clock[rows[real], at[real]] = spent[rows[real]]
                    turns.append((rows, np.full(len(rows), len(edges)), at, got, used, spent[rows]))
                    more = left - used > _SMALL
                    rows, left = rows[more], (left - used)[more]
                    if not len(rows):
                        break
            efforts.append(spent - before)
            edges.append(passed + (when + 1) * step)
        passed += stretch.days
        if passed >= horizon or (horizon < HORIZON and np.isfinite(clock).all()):
            break
    path, step_at, piece, stitches, effort, until = (np.concatenate(column) for column in zip(*turns, strict=True))
    return Dealt(
        need=effort_needed,
        clock=clock,
        edges=np.array(edges),
        effort_of=np.array(efforts).T,
        path=path.astype(np.int32),
        step=step_at.astype(np.int32),
        piece=piece.astype(np.int32),
        stitches=stitches,
        effort=effort,
        until=until,
        usual=start.usual,
        speed=start.speed,
    )


def _begin(past: History, paths: int, seed: int) -> _Start | None:
    """What a simulation of a past begins with (None where no day of it has a stitch)."""
    habit = habits(past, paths, seed)
    if not (habit.effort > 0).any():
        return None
    rng = np.random.default_rng([seed, 3])
    names = past.open()
    rows = past.standing.iloc[names]
    usual = float(habit.effort[habit.effort > 0].mean())
    sizes_now = _sizes(past, habit, usual)
    large = sizes_now[rng.integers(0, len(sizes_now), (paths, _DRAWN))]
    left = np.tile(rows["remaining"].to_numpy(float), (paths, 1))
    speed = habit.speed[:, names]
    for j in np.flatnonzero(~np.isfinite(left[0]) | (left[0] <= 0)):
        # Where the total is not known, or was too low, a piece is as large as others are, what is done taken off.
        size = rng.choice(sizes_now, paths) * speed[:, j]
        left[:, j] = np.maximum(size - rows["done"].iloc[j], 0.25 * size)
    visits = past.visits["piece"].to_numpy()
    hand = np.flatnonzero(names == visits[-1]) if len(visits) else np.empty(0, int)
    blank = np.zeros((paths, NEW))
    aside = np.where((rows["status"] == "set aside").to_numpy(), _ASIDE, 1.0)
    state = _State(
        left=np.concatenate([left, blank], axis=1),
        share=np.concatenate([habit.share[:, names], blank], axis=1),
        speed=np.concatenate([speed, blank + 1.0], axis=1),
        ready=np.tile(np.concatenate([aside, np.ones(NEW)]), (paths, 1)),
        hand=np.full(paths, hand[0] if len(hand) else -1),
        large=large,
        zone=np.full(paths, ZONE * usual),
        other=habit.other,
        new=habit.new,
        after=habit.after,
        pull=habit.pull,
        decay=habit.decay,
        floor=habit.floor,
    )
    # Where no piece is in hand, its number still marks none once columns are added: it is below 0.
    reading = spells.read(past.everything != 0, typical=_TYPICAL)
    return _Start(
        names=tuple(rows["piece"]),
        state=state,
        levels=reading.draw(paths, np.random.default_rng([seed, 0])),
        tables=sizes(habit.effort),
        speed=habit.speed,
        usual=usual,
    )


def _sizes(past: History, habit: Habits, usual: float) -> np.ndarray:
    """Sizes that a start yet to come may have, in usual stitches."""
    total = past.standing["total"].to_numpy(float)
    known = np.isfinite(total) & (total > 0) & (past.standing["status"] != "not begun").to_numpy()
    return total[known] / habit.speed[:, known].mean(axis=0) if known.any() else np.array([_SIZE * usual])


def _choose(state: _State, rows: np.ndarray, count: int, rng: np.random.Generator) -> np.ndarray:
    """Puts the piece of the next turn in hand on the paths `rows`, and returns it."""
    hand, left, share = state.hand[rows], state.left[rows], state.share[rows]
    going = (hand >= 0) & (left[np.arange(len(rows)), hand] > 0)
    weight = np.empty((len(rows), left.shape[1] + 1))
    np.multiply(share, left > 0, out=weight[:, :-1])
    weight[:, :-1] *= state.ready[rows]
    weight[:, :-1] *= np.where(going, state.other[rows], 1.0)[:, None]
    weight[np.flatnonzero(going), hand[going]] += 1.0
    weight[:, -1] = np.where(going, state.new[rows], state.after[rows])
    steps = np.cumsum(weight, axis=1)
    pick = (steps <= (rng.random(len(rows)) * steps[:, -1])[:, None]).sum(axis=1)
    begun = np.flatnonzero(pick >= left.shape[1])
    if len(begun):
        at = rows[begun]
        free = np.where(state.left[at, count:] <= 0, -1.0, state.share[at, count:])
        slot = free.argmin(axis=1) + count
        state.left[at, slot] = state.large[at, rng.integers(0, _DRAWN, len(begun))]
        share[begun, slot] = 0.0
        pick[begun] = slot
    lost = 1.0 - state.decay[rows]
    share *= state.decay[rows, None]
    share += (lost * state.floor[rows])[:, None]
    share[np.arange(len(rows)), pick] += lost
    state.share[rows] = share
    state.hand[rows] = pick
    return np.asarray(pick)
