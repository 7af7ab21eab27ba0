"""When a piece of a diary will be finished, as the diary stands on a day."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import pandas as pd

from stitchlog import words
from stitchlog.diary.diary import Diary
from stitchlog.errors import StitchlogError
from stitchlog.model.forecast import spells, whatif
from stitchlog.model.forecast.finishing import NONE, Correction, days_until_each, quantile
from stitchlog.model.forecast.known import Known, known
from stitchlog.model.forecast.paths import HORIZON, futures_from, sizes
from stitchlog.model.forecast.spells import Reading

# Half the paths come from the piece's own days, half from the stitcher's days and the share of them that falls to the
# piece: the first knows best how a long piece goes, the second what a young or resting one may still get.
_SHARED = 0.5
# What counts as the stitcher's usual share for a piece, where no other piece tells: log rate on the stitcher's days.
_USUAL_SHARE = -0.5
_USUAL_WEIGHT = 3  # so many pieces' worth
# The log of a piece's mean rate lies so far above the rate that spells vary around (mean over 27 series of 14 people).
_ABOVE = 0.7
_STAND_INS = 5  # days of other pieces that stand in for a piece's own while it has few


@dataclass(frozen=True)
class Forecast:
    """When a piece will be finished.

    remaining: stitches still to do on `as_of`. days: whole days from `as_of` to the finish on each path, shape
    (paths,), 0 where it is finished, inf where it is not within sight. status: as `Diary.standing` says. asked: the
    what-if in words ('' where there is none). correction: what the diary's own record has changed.
    """

    piece: str
    as_of: pd.Timestamp
    remaining: float
    days: np.ndarray
    total: float = float("nan")
    done: float = float("nan")
    status: str = "on the go"
    last_session: pd.Timestamp | None = None
    asked: str = ""
    correction: Correction = NONE

    def date(self, q: float) -> pd.Timestamp:
        """The day by which it is finished with chance q, 0 to 1 (NaT: not within sight)."""
        if not 0 <= q <= 1:
            raise StitchlogError(f"a chance lies between 0 and 1, and {q:g} does not")
        days = float(quantile(self.days, q))
        return self.as_of + pd.Timedelta(days=int(days)) if np.isfinite(days) else pd.NaT

    def chance(self, by: Any) -> float:
        """The chance, 0 to 1, that it is finished at the end of the day `by`."""
        return float((self.days <= (pd.Timestamp(by) - self.as_of).days).mean())

    def window(self, level: float = 0.8) -> tuple[pd.Timestamp, pd.Timestamp]:
        """First and last day of the window that holds the finish with that chance, as much outside on either side."""
        return self.date((1 - level) / 2), self.date((1 + level) / 2)

    def corrected(self, by: Correction) -> Forecast:
        """The same, put right by the diary's own record, as `learnt` gives it."""
        return replace(self, days=by.of(self.days), correction=by)


def finish(
    diary: Diary,
    piece: str,
    as_of: Any = None,
    paths: int = 2000,
    seed: int = 0,
    *,
    per_week: float | None = None,
    sessions_per_week: float | None = None,
    focus: bool = False,
    share: float | None = None,
) -> Forecast:
    """When `piece` will be finished, as the diary stands at the end of `as_of` (None: its last day).

    A finished piece, or one beyond its stated total, answers with 0 days. What if, one at a time: per_week, so many
    stitches a week; sessions_per_week, so many sessions a week of the piece's own size; focus, all the stitcher's time;
    share, this share of it, above 0 to 1. Raises StitchlogError where the total is not known, where the piece is not
    begun (but for a what-if), and where the diary holds no stitching day yet.
    """
    about = known(diary, piece, as_of)
    asked = whatif.one_of(per_week=per_week, sessions_per_week=sessions_per_week, focus=focus or None, share=share)
    refuse(about, bool(asked))
    days = days_to_reach(about, np.array([about.remaining]), paths, seed, asked)[0]
    return Forecast(
        piece=about.piece,
        as_of=about.as_of,
        remaining=about.remaining,
        days=days,
        total=about.total,
        done=about.done,
        status=about.status,
        last_session=about.last_session,
        asked=whatif.say_asked(asked),
    )


def refuse(about: Known, asked: bool = False) -> None:
    """Raises StitchlogError where nothing honest can be said."""
    name = f'"{about.piece}"'
    if about.status == "finished":
        return
    if np.isnan(about.total):
        raise StitchlogError(
            f"when {name} will be finished cannot be said: its total is not known; "
            "write total (or width, height and coverage) for it in pieces.csv"
        )
    if about.status == "not begun" and not asked:
        raise StitchlogError(
            f"when {name} will be finished cannot be said: it was not begun by {words.day(about.as_of)}; "
            "ask what if, with so many stitches a week or a share of your time"
        )
    if not (about.everything > 0).any():
        raise StitchlogError(
            f"when {name} will be finished cannot be said: the diary holds no session up to {words.day(about.as_of)}"
        )


def days_to_reach(
    about: Known, wanted: np.ndarray, paths: int, seed: int, asked: dict[str, float] | None = None
) -> np.ndarray:
    """Days until so many more stitches, ascending, are on the piece: shape (amounts, paths). asked: a what-if."""
    if asked:
        return days_until_each(wanted, whatif.futures_asked(about, asked, paths, seed), paths)
    return days_of_all([about], wanted[:, None], paths, seed)[:, 0]


def days_of_all(pieces: list[Known], wanted: np.ndarray, paths: int, seed: int, horizon: int = HORIZON) -> np.ndarray:
    """The same for several pieces of one diary and day, simulated side by side: shape (amounts, pieces, paths).

    wanted: shape (amounts, pieces). horizon: days beyond which a finish is not within sight.
    """
    shared = [int(paths * _SHARED) if (about.own > 0).any() else paths for about in pieces]
    tables = np.concatenate([tables_of(about) for about in pieces])
    width = len(tables) // len(pieces)
    out = np.empty((len(wanted), len(pieces), paths))
    for by_share in (True, False):
        counts = np.array([n if by_share else paths - n for n in shared])
        if not counts.sum():
            continue
        owner = np.repeat(np.arange(len(pieces)), counts)
        now = _levels_now(pieces, counts, by_share, seed)
        stretches = futures_from(now, tables, owner * width + np.arange(len(owner)) % width, seed)
        days = days_until_each(wanted[:, owner], stretches, len(owner), horizon)
        for j, n in enumerate(shared):
            out[:, j, slice(0, n) if by_share else slice(n, paths)] = days[:, owner == j]
    return out


def _levels_now(pieces: list[Known], counts: np.ndarray, by_share: bool, seed: int) -> list[list[np.ndarray]]:
    """Levels of today for so many paths a piece: the piece's own, or the stitcher's and those of its share."""
    rng = np.random.default_rng([seed, int(by_share)])
    drawn = [
        (read_share(about) if by_share else spells.read(about.own != 0)).draw(int(n), rng)
        for about, n in zip(pieces, counts, strict=True)
        if n
    ]
    now = [[np.concatenate(levels) for levels in zip(*drawn, strict=True)]]
    if by_share:
        now.insert(0, spells.read(pieces[0].everything != 0).draw(int(counts.sum()), rng))
    return now


def tables_of(about: Known) -> np.ndarray:
    """What a day on the piece brings: its own days, with a few of the stitcher's others standing in before them."""
    others = about.others[about.others > 0][-_STAND_INS:]
    return sizes(np.concatenate([others, about.own[about.own != 0]]))


def read_share(about: Known) -> Reading:
    """What the diary says about the share of the stitcher's days that falls to the piece."""
    days = about.everything[len(about.everything) - len(about.own) :] != 0
    return spells.read(about.own != 0, days, (usual_share(about),))


def usual_share(about: Known) -> float:
    """The log rate at which this stitcher's days fall to a piece on the go, from the other pieces' lives so far."""
    lives = about.lives
    rate = (lives["days"] + 0.5) / (lives["could"] + 1.0)
    logs = np.log(-np.log1p(-rate)) - _ABOVE
    return float((_USUAL_WEIGHT * _USUAL_SHARE + logs.sum()) / (_USUAL_WEIGHT + len(logs)))
