"""What the forecast would have said at each past month of this very diary, and what came."""

from __future__ import annotations

from functools import lru_cache
from typing import Any

import numpy as np
import pandas as pd

from stitchlog import words
from stitchlog.diary.diary import Diary
from stitchlog.model.forecast.finishing import NONE, Correction, quantile
from stitchlog.model.forecast.known import day_of, seen
from stitchlog.model.forecast.pieces import days_of_all

LEVELS = (0.05, 0.1, 0.25, 0.5, 0.75, 0.9, 0.95)
QUANTILES = [f"q{round(100 * q):02d}" for q in LEVELS]
COLUMNS = ["piece", "cut", "remaining", "actual_days", "seen_days", *QUANTILES, "held"]
RECORD_HEADINGS = {
    "piece": "piece",
    "cut": "said on",
    "remaining": "stitches left",
    "q10": "days, 10%",
    "q50": "days, 50%",
    "q90": "days, 90%",
    "actual_days": "days it took",
    "held": "window held",
}
_HORIZON = 5 * 365  # days; a finish beyond is not within sight
_LEVEL = 0.8  # of the window that `held` is about, q10 to q90
_TRUST = 10  # so many pieces' record counts half
_WINDOWS, _QUARTERS = 120, 12  # at most so many past windows, and quarters, teach
_PIECES, _LEAN = 3, 0.15  # so many pieces, and so far from a half, until a leaning is worth a sentence
_CHANGE = 0.03  # a shift that is worth a sentence
_MOST = 3.0  # no window is widened further


def backtest(
    diary: Diary, as_of: Any = None, months: int | None = None, paths: int = 200, seed: int = 0
) -> pd.DataFrame:
    """At the end of each past month (the last `months`; None: all), for each piece then on the go with a known total.

    Columns: piece, cut (the day it is said on), remaining (stitches on that day), actual_days (from cut to the finish;
    NaN: not come by `as_of`), seen_days (from cut to `as_of`), q05, q10, q25, q50, q75, q90, q95 (days by which it
    would have been finished with that chance; inf: not within five years), held (did the window from q10 to q90 hold
    the finish; None where it has not run out by `as_of`: judged before, finished pieces alone would have a say). What
    is said at a cut uses nothing that the diary got later.
    """
    day = day_of(diary, as_of)
    return _said(diary, day, _cuts(diary, day, "ME", months), paths, seed)


def _cuts(diary: Diary, day: pd.Timestamp, freq: str, most: int | None) -> list[pd.Timestamp]:
    """Ends of months or quarters from the diary's first day to before `day`, the last of them."""
    ends = list(pd.date_range(diary.first_day, day - pd.Timedelta(days=1), freq=freq))
    return ends if most is None else ends[-most:] if most > 0 else []


def _said(diary: Diary, day: pd.Timestamp, cuts: list[pd.Timestamp], paths: int, seed: int) -> pd.DataFrame:
    """The frame of `backtest` at these cuts."""
    finished = diary.standing(day).set_index("piece")["finished"]
    rows = []
    for cut in cuts:
        passed = (day - cut).days
        for piece, remaining, quantiles in _foreseen(diary, cut, paths, seed):
            came = finished[piece]
            actual = float((came - cut).days) if pd.notna(came) else np.nan
            said = dict(zip(QUANTILES, quantiles, strict=True))
            rows.append(
                {"piece": piece, "cut": cut, "remaining": remaining, "actual_days": actual}
                | {"seen_days": passed, **said, "held": _held(actual, passed, said["q10"], said["q90"])}
            )
    return pd.DataFrame(rows, columns=COLUMNS)


@lru_cache(maxsize=64)  # a report asks of months' ends, and of quarters' ends among them
def _foreseen(diary: Diary, cut: pd.Timestamp, paths: int, seed: int) -> list[tuple[str, float, np.ndarray]]:
    """What is said at the end of the day `cut`: of each piece then on the go its name, what remains, days at LEVELS."""
    then = seen(diary, cut)
    pieces = [then.about(name) for name in then.open()]
    if not pieces or not (then.everything > 0).any():
        return []
    days = days_of_all(pieces, np.array([[about.remaining for about in pieces]]), paths, seed, _HORIZON)[0]
    return [
        (about.piece, about.remaining, quantile(found, np.array(LEVELS)))
        for about, found in zip(pieces, days, strict=True)
    ]


def _held(actual: float, passed: int, low: float, high: float) -> bool | None:
    return bool(low <= actual <= high) if passed >= high else None


def reliability(record: pd.DataFrame) -> pd.DataFrame:
    """How often finishes came by the day that had such a chance, from the frame of `backtest`.

    Columns: chance (0 to 1, said), share (0 to 1, came by then), windows (how many it rests on). A finish not come yet
    counts for a chance whose day has passed, and for no other.
    """
    rows = []
    for level, name in zip(LEVELS, QUANTILES, strict=True):
        # Only days that have passed since: there both a finish and none would have been seen.
        came = (record["actual_days"] <= record[name])[record["seen_days"] >= record[name]]
        rows.append((level, float(came.mean()) if len(came) else np.nan, len(came)))
    return pd.DataFrame(rows, columns=["chance", "share", "windows"])


def learnt(diary: Diary, as_of: Any = None, seed: int = 0) -> Correction:
    """What the forecasts of past quarters' ends teach about those of today; no correction where there is no past."""
    day = day_of(diary, as_of)
    going = max(len(seen(diary, day).open()), 1)
    # A diary with many pieces on the go looks less far back, so that a report stays quick.
    quarters = int(np.clip(_WINDOWS // going, 2, _QUARTERS))
    return correction(_said(diary, day, _cuts(diary, day, "QE", quarters), 200, seed))


def correction(record: pd.DataFrame) -> Correction:
    """How much sooner or later, and how much wider, windows should have been to hold as they say, from past ones.

    later: the median of how far finishes lay from the middle that was said, on the log scale, among windows of which
    half the chances have passed. wider: 1 where as many windows that have run out then held as should; otherwise the
    80 % quantile of how far finishes lay from the middle, in half windows. Both are conformal predictions (Vovk,
    Gammerman and Shafer 2005) with a weight for each piece and not each quarter, as quarters of a piece are alike,
    drawn towards no correction while few pieces tell.
    """
    half = record[record["seen_days"] >= record["q50"]]
    run = record[record["held"].notna()]
    # A finish that has not come lies at least as far off as the days that have passed.
    late = np.log1p(half["actual_days"].fillna(half["seen_days"])) - np.log1p(half["q50"])
    later = _of_pieces(late, half["piece"], 0.5)
    actual = np.log1p(run["actual_days"].fillna(run["seen_days"]))
    low, middle, high = (np.log1p(run[q]) + later for q in ("q10", "q50", "q90"))
    off = (actual - middle).abs() / (high - middle).where(actual > middle, middle - low).clip(lower=0.05)
    if (off <= 1.0).mean() >= _LEVEL:
        return Correction(later)
    wider = np.exp(_of_pieces(np.log(off.clip(lower=1.0)), run["piece"], _LEVEL))
    return Correction(later, float(min(wider, _MOST)))


def _of_pieces(values: pd.Series, pieces: pd.Series, level: float) -> float:
    """The quantile of values in which each piece weighs the same, drawn towards 0 while few pieces tell."""
    if values.empty:
        return 0.0
    weight = 1.0 / pieces.groupby(pieces).transform("size").to_numpy(float)
    ascending = np.argsort(values.to_numpy(float), kind="stable")
    reached = np.cumsum(weight[ascending]) / weight.sum()
    found = values.iloc[ascending[np.searchsorted(reached, level - 1e-9).clip(0, len(values) - 1)]]
    count = pieces.nunique()
    return float(found * count / (count + _TRUST))


def say_record(record: pd.DataFrame, by: Correction = NONE) -> str:
    """The track record in a few sentences, and what it has changed in the windows (`by`, as `learnt` gives it)."""
    told = record["held"].dropna().astype(bool)
    text = "No past window has run out yet that a finish could be held against."
    if len(told):
        run = "window that has" if len(told) == 1 else "windows that have"
        held = words.number(int(told.sum()))
        text = f"Of {words.number(len(told))} past {run} run out, {held} held; four in five should."
    if by.wider > 1.005:
        text += f" The windows here are therefore drawn {words.percent(by.wider - 1)} wider."
    return text + _lean(record) + _say_shift(by)


def _lean(record: pd.DataFrame) -> str:
    """Whether finishes tend to come before or after the middle, where enough pieces tell."""
    told = record[record["seen_days"] >= record["q50"]]
    if told["piece"].nunique() < _PIECES:
        return ""
    early = float((told["actual_days"] <= told["q50"]).mean())
    if abs(early - 0.5) < _LEAN:
        return ""
    side, share = ("before", early) if early > 0.5 else ("after", 1.0 - early)
    return f" So far {words.percent(share)} of finishes came {side} the middle of what was said, where half should."


def _say_shift(by: Correction) -> str:
    """By how much finishes are foreseen sooner or later than without the record."""
    change = np.expm1(by.later)
    if abs(change) < _CHANGE:
        return ""
    return f" Finishes are therefore foreseen {words.percent(abs(change))} {'sooner' if change < 0 else 'later'} here."
