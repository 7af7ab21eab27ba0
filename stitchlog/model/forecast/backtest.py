"""What the forecast would have said at past days of this very diary, what came, and what is learnt from it."""

from __future__ import annotations

import numpy as np
import pandas as pd

from stitchlog.diary.diary import Day, Diary
from stitchlog.diary.frames import each_row
from stitchlog.model.forecast.calibration import NONE, Calibration, calibration
from stitchlog.model.forecast.dealing import simulate, simulate_each
from stitchlog.model.forecast.finishing import quantile
from stitchlog.model.forecast.history import day_of, history

LEVELS = (0.05, 0.1, 0.25, 0.5, 0.75, 0.9, 0.95)
QUANTILES = [f"q{round(100 * q):02d}" for q in LEVELS]
COLUMNS = ["piece", "cut", "remaining", "actual_days", "seen_days", *QUANTILES, "held"]
_HORIZON = 5 * 365  # days; a finish beyond is not within the horizon of the record
_PATHS = 100  # of each past forecast that only teaches
_CUTS, _MOST, _LEAST = 120, 36, 4  # past days that teach: so many over the pieces in progress, within these bounds
RECORD_HEADINGS = {
    "piece": "piece",
    "cut": "said on",
    "remaining": "stitches left",
    "q10": "days, 10%",
    "q50": "days, 50%",
    "q90": "days, 90%",
    "actual_days": "days it took",
    "held": "range held",
}
_REACHED = 0.8  # a piece finished below this share of its stated total tells nothing: the total was a guess


def backtest(
    diary: Diary, as_of: Day | None = None, months: int | None = None, paths: int = 200, seed: int = 0
) -> pd.DataFrame:
    """At the end of each past month (the last `months`; None: all), for each piece then in progress with a known total.

    Columns: piece, cut (the day it is said on), remaining (stitches on that day), actual_days (from cut to the finish;
    NaN: not come by `as_of`), seen_days (from cut to `as_of`), q05, q10, q25, q50, q75, q90, q95 (days by which it
    would have been finished with that chance; inf: not within five years), held (did the range from q10 to q90 hold
    the finish; None where it has not run out by `as_of`: judged before, finished pieces alone would have a say). What
    is said at a cut, and what it is put right by, uses nothing that the diary got later. Pieces whose stated total was
    never nearly reached are left out.
    """
    day = day_of(diary, as_of)
    cuts = list(pd.date_range(diary.first_day, day - pd.Timedelta(days=1), freq="ME"))
    return _said(diary, day, cuts if months is None else cuts[-months:] if months > 0 else [], paths, seed)


def learnt(diary: Diary) -> Calibration:
    """What the diary's own past forecasts, three a month, have taught by the day it is seen at."""
    return diary.once("learnt", lambda: _learnt(diary))


def _learnt(diary: Diary) -> Calibration:
    day = day_of(diary)
    pieces = max(len(history(diary, day).open()), 1)
    days = pd.date_range(diary.first_day, day - pd.Timedelta(days=1))
    cuts = days[days.day.isin([10, 20]) | days.is_month_end][-int(np.clip(_CUTS // pieces, _LEAST, _MOST)) :]
    if not len(cuts):
        return NONE
    found = simulate_each([history(diary, cut) for cut in cuts], _PATHS, 0, (day - cuts[0]).days)
    told = []
    for cut, (names, done) in zip(cuts, found, strict=True):
        standing = history(diary, cut).standing.set_index("piece")
        going = (standing["status"] == "on the go") & (standing["remaining"] > 0)
        told += [(cut, name, np.ceil(days - 1e-6)) for name, days in zip(names, done.T, strict=True) if going[name]]
    return _taught(told, _finishes(diary, day), day)


def _taught(told: list[tuple[pd.Timestamp, str, np.ndarray]], came: pd.Series, day: pd.Timestamp) -> Calibration:
    """What past forecasts (said on, piece, days) have taught by the end of `day`. came: the day of each finish."""
    found = []
    for cut, name, days in told:
        if name not in came.index:
            continue
        if pd.notna(came[name]) and came[name] <= day:
            took = (came[name] - cut).days
            found.append((name, float((days < took).mean()), float((days <= took).mean())))
        else:
            found.append((name, float((days <= (day - cut).days).mean()), 1.0))
    if not found:
        return NONE
    frame = pd.DataFrame(found, columns=["piece", "low", "high"])
    weight = 1.0 / frame.groupby("piece")["low"].transform("size")
    return calibration(frame["low"].to_numpy(), frame["high"].to_numpy(), weight.to_numpy())


def _finishes(diary: Diary, day: pd.Timestamp) -> pd.Series:
    """The day of each piece's finish by `day` (NaT: none), without pieces whose total was never nearly reached."""
    standing = history(diary, day).standing.set_index("piece")
    guessed = standing["finished"].notna() & (standing["done"] < _REACHED * standing["total"])
    return standing.loc[~guessed, "finished"]


def _foreseen(diary: Diary, cut: pd.Timestamp, paths: int, seed: int) -> list[tuple[str, float, np.ndarray]]:
    """What is foreseen at the end of the day `cut`: of each piece then in progress its name, what remains, and the days
    to its finish."""

    def look() -> list[tuple[str, float, np.ndarray]]:
        past = history(diary, cut)
        rows = past.standing[(past.standing["status"] == "on the go") & (past.standing["remaining"] > 0)]
        names, dealt = simulate(past, paths, seed, _HORIZON)
        days = np.ceil(dealt.done - 1e-6)
        return [(r.piece, float(r.remaining), days[:, names.index(r.piece)]) for r in each_row(rows) if names]

    return diary.once(("foreseen", cut, paths, seed), look)


def _said(diary: Diary, day: pd.Timestamp, cuts: list[pd.Timestamp], paths: int, seed: int) -> pd.DataFrame:
    """The frame of `backtest` at these cuts."""
    came = _finishes(diary, day)
    rows = []
    for i, cut in enumerate(cuts):
        passed = (day - cut).days
        then = _finishes(diary, cut)
        earlier = [
            (when, piece, days)
            for when in cuts[max(0, i - _MOST) : i]
            for piece, _, days in _foreseen(diary, when, paths, seed)
        ]
        right = _taught(earlier, then, cut)
        for piece, remaining, days in _foreseen(diary, cut, paths, seed):
            if piece not in came.index:
                continue
            actual = float((came[piece] - cut).days) if pd.notna(came[piece]) else np.nan
            quantiles = np.maximum(np.round(quantile(right.of(days), np.array(LEVELS))), 1.0)
            said = dict(zip(QUANTILES, np.where(quantiles > _HORIZON, np.inf, quantiles), strict=True))
            rows.append(
                {"piece": piece, "cut": cut, "remaining": remaining, "actual_days": actual}
                | {"seen_days": passed, **said, "held": _held(actual, passed, said["q10"], said["q90"])}
            )
    return pd.DataFrame(rows, columns=COLUMNS)


def _held(actual: float, passed: int, low: float, high: float) -> bool | None:
    return bool(low <= actual <= high) if passed >= high else None
