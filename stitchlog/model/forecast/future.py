"""The one future: the stitcher's coming days, and how they fall to every piece."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
import pandas as pd

from stitchlog.diary.diary import Day, Diary
from stitchlog.errors import StitchlogError
from stitchlog.model.forecast.backtest import learnt
from stitchlog.model.forecast.calibration import Calibration
from stitchlog.model.forecast.dealing import Dealt, simulate
from stitchlog.model.forecast.finishing import Forecast, refuse
from stitchlog.model.forecast.history import History, day_of, history
from stitchlog.model.forecast.paths import HORIZON

ORDER_COLUMNS = ["piece", "remaining", "place", "next_chance", "q10", "q50", "q90", "year_chance"]


@dataclass(frozen=True, eq=False)
class Future:
    """So many futures of a diary as it stands on a day, read from one simulation.

    as_of: the day. pieces: the pieces dealt to, in the order of the columns of `dealt`. past: what the diary knows.
    dealt: who gets what. diary: the one it is of.
    """

    as_of: pd.Timestamp
    pieces: tuple[str, ...]
    past: History
    dealt: Dealt
    diary: Diary

    @cached_property
    def record(self) -> Calibration:
        """What past forecasts' misses have changed in the days of a finish; looked up where a finish is asked for."""
        return learnt(self.diary)

    @property
    def paths(self) -> int:
        return len(self.dealt.done)

    def finish(self, piece: str) -> Forecast:
        """When the piece will be finished as things go. Raises StitchlogError where nothing honest can be said."""
        about = self.about(piece)
        if about["status"] == "finished" or about["remaining"] <= 0:
            return self.forecast(piece, np.zeros(self.paths))
        return self.forecast(piece, self.days(piece))

    def about(self, piece: str) -> pd.Series:
        """The piece's row of `Diary.standing`. Raises StitchlogError where no finish can be foreseen."""
        about = self.past.standing.iloc[self.past.row(piece)]
        refuse(about, self.past)
        return about

    def days(self, piece: str) -> np.ndarray:
        """Whole days to the piece's finish on each path, put right by the record; shape (paths,), inf: not within the
        horizon."""
        return _whole(self.record.of(self.dealt.done[:, self.pieces.index(piece)]))

    def right(self, piece: str, days: np.ndarray) -> np.ndarray:
        """Days to some end of the piece, put right as the record does its finish, in whole days; shape (paths,)."""
        if piece not in self.pieces:
            return _whole(days)
        return _whole(self.record.of(days, self.dealt.done[:, self.pieces.index(piece)]))

    def forecast(self, piece: str, days: np.ndarray, scenario: str = "") -> Forecast:
        """A forecast of the piece from days on each path. scenario: what is supposed, in words."""
        about = self.past.standing.iloc[self.past.row(piece)]
        last = about["last_session"]
        return Forecast(
            piece=piece,
            as_of=self.as_of,
            remaining=0.0 if about["status"] == "finished" else float(about["remaining"]),
            days=days,
            total=float(about["total"]),
            done=float(about["done"]),
            status=about["status"],
            last_session=last if pd.notna(last) else None,
            scenario=scenario,
            sessions=len(self.past.visits),
            plain=self._plain(about),
        )

    def _plain(self, about: pd.Series) -> float:
        """Days to the finish at the piece's pace since its first session."""
        own = self.past.own(about["piece"])
        if not (own > 0).any() or own.sum() <= 0:
            return np.inf
        return float(np.ceil(about["remaining"] / own.sum() * (len(own) - np.flatnonzero(own)[0])))

    def open(self) -> list[str]:
        """Pieces in progress with something left of a known total."""
        rows = self.past.standing
        rows = rows[(rows["status"] == "on the go") & (rows["remaining"] > 0)]
        return rows["piece"].tolist()

    def order(self) -> pd.DataFrame:
        """The order in which the pieces in progress will be finished.

        Columns: piece, remaining (stitches), place (mean place in the order, 1 the first), next_chance (that it is the
        next to be finished), q10, q50, q90 (days by which it is finished with that chance; NaT beyond the horizon),
        year_chance (that it is finished within a year). In the order of `place`.
        """
        names = self.open()
        if not names:
            return pd.DataFrame(columns=ORDER_COLUMNS)
        columns = [self.pieces.index(name) for name in names]
        days = np.stack([self.record.of(self.dealt.done[:, j]) for j in columns], axis=1)
        first = days.min(axis=1, keepdims=True)
        ahead = (days == first) & np.isfinite(first)
        place = pd.DataFrame(days).rank(axis=1, method="average").to_numpy().mean(axis=0)
        each = [self.finish(name) for name in names]
        out = pd.DataFrame(
            {
                "piece": names,
                "remaining": [found.remaining for found in each],
                "place": place.round(3),
                "next_chance": (ahead / np.maximum(ahead.sum(axis=1, keepdims=True), 1)).mean(axis=0).round(4),
                **{f"q{round(100 * q)}": pd.to_datetime([f.date(q) for f in each]) for q in (0.1, 0.5, 0.9)},
                "year_chance": [float((f.days <= 365).mean()) for f in each],
            }
        )
        return out.sort_values(["place", "piece"], ignore_index=True)

    def total(self, days: int) -> np.ndarray:
        """Stitches on all pieces in so many coming days, shape (paths,)."""
        return np.asarray(self.daily(days).sum(axis=1))

    def daily(self, days: int) -> np.ndarray:
        """Stitches on all pieces on each of the coming days, shape (paths, days); a far step's are spread evenly."""
        edges = np.concatenate([[0], self.dealt.edges])
        length = np.diff(edges)
        at = np.searchsorted(edges, np.arange(1, days + 1)) - 1
        if days > edges[-1]:
            raise StitchlogError(f"{days} days are beyond the {edges[-1]} days that are foreseen")
        return (self._stitches / length)[:, at]

    @cached_property
    def _stitches(self) -> np.ndarray:
        """Stitches of each step, shape (paths, steps)."""
        d = self.dealt
        shape = d.effort_of.shape
        return np.bincount(d.path * shape[1] + d.step, d.stitches, shape[0] * shape[1]).reshape(shape)

    def on(self, piece: str, days: int) -> np.ndarray:
        """Stitches on one piece on each of the coming days, shape (paths, days); all 0 where it is not dealt to."""
        if piece not in self.pieces:
            return np.zeros((self.paths, days))
        d, (paths, steps) = self.dealt, self.dealt.effort_of.shape
        mine = d.piece == self.pieces.index(piece)
        got = np.bincount(d.path[mine] * steps + d.step[mine], d.stitches[mine], paths * steps).reshape(paths, steps)
        edges = np.concatenate([[0], d.edges])
        at = np.searchsorted(edges, np.arange(1, days + 1)) - 1
        return (got / np.diff(edges))[:, at]

    def share(self, days: int) -> pd.Series:
        """Each piece's share of the stitches of the coming days, mean over the paths; what is left goes to starts yet
        to come."""
        d = self.dealt
        near = d.edges[d.step] <= max(days, int(d.edges[0]))
        got = np.bincount(d.piece[near], d.stitches[near], len(self.pieces))[: len(self.pieces)]
        return pd.Series(got / max(d.stitches[near].sum(), 1e-9), index=list(self.pieces), name="share").round(4)


def future(diary: Diary, paths: int = 2000, seed: int = 0) -> Future:
    """The futures of the diary as it stands, simulated once: who gets what of the stitcher's coming days.

    The same seed gives the same futures. Raises StitchlogError where the diary holds no session.
    """
    return diary.once(("future", paths, seed), lambda: _future(diary, paths, seed))


def _future(diary: Diary, paths: int, seed: int) -> Future:
    day = day_of(diary)
    past = history(diary, day)
    names, dealt = simulate(past, paths, seed)
    return Future(day, names, past, dealt, diary)


def _whole(days: np.ndarray) -> np.ndarray:
    """Whole days, at least 1; inf beyond the horizon."""
    out = np.maximum(np.ceil(days - 1e-6), 1.0)
    return np.where(out > HORIZON, np.inf, out)


def finish(diary: Diary, piece: str, as_of: Day | None = None, paths: int = 2000, seed: int = 0) -> Forecast:
    """When `piece` will be finished, as the diary stands at the end of `as_of` (None: its last day), as things go.

    A finished piece, or one beyond its stated total, answers with 0 days. Raises StitchlogError where the total is not
    known, where the piece is not begun, and where the diary holds no stitching day yet.
    """
    seen = diary.at(as_of)
    return future(seen, paths, seed).finish(seen.piece(diary.piece(piece)))
