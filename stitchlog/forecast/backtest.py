"""What the forecast would have said at each past month of this very diary, and what came."""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd

from stitchlog import words
from stitchlog.diary import Diary
from stitchlog.forecast.finishing import quantile
from stitchlog.forecast.known import day_of, seen
from stitchlog.forecast.pieces import days_of_all

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
_PIECES, _LEAN = 3, 0.15  # so many pieces, and so far from a half, until a leaning is worth a sentence
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
    finished = diary.standing(day).set_index("piece")["finished"]
    rows = []
    for cut in _cuts(diary, day, months):
        then = seen(diary, cut)
        if not (then.everything > 0).any():
            continue
        pieces = [then.about(name) for name in then.open()]
        if not pieces:
            continue
        days = days_of_all(pieces, np.array([[about.remaining for about in pieces]]), paths, seed, _HORIZON)[0]
        passed = (day - cut).days
        for about, found in zip(pieces, days, strict=True):
            came = finished[about.piece]
            actual = float((came - cut).days) if pd.notna(came) else np.nan
            said = dict(zip(QUANTILES, quantile(found, np.array(LEVELS)), strict=True))
            rows.append(
                {"piece": about.piece, "cut": cut, "remaining": about.remaining, "actual_days": actual}
                | {"seen_days": passed, **said, "held": _held(actual, passed, said["q10"], said["q90"])}
            )
    return pd.DataFrame(rows, columns=COLUMNS)


def _cuts(diary: Diary, day: pd.Timestamp, months: int | None) -> list[pd.Timestamp]:
    """Ends of months from the diary's first day to before `day`."""
    ends = list(pd.date_range(diary.first_day, day - pd.Timedelta(days=1), freq="ME"))
    return ends if months is None else ends[-months:] if months > 0 else []


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


def widening(record: pd.DataFrame) -> float:
    """The factor by which windows are widened, on the log scale, so that past ones would have held as they should.

    1 where the 80 % windows of `record` held in 80 % or more. Otherwise the 80 % quantile of how far finishes lay from
    the middle, in half windows (conformal prediction: Vovk, Gammerman and Shafer 2005, with a weight for each piece and
    not each month, as months of a piece are alike), drawn towards 1 while few pieces tell.
    """
    told = record[record["held"].notna()]
    if told.empty or told["held"].astype(bool).mean() >= _LEVEL:
        return 1.0
    # A finish that has not come lies at least as far off as the days that have passed.
    actual = np.log1p(told["actual_days"].fillna(told["seen_days"]).to_numpy(float))
    low, middle, high = (np.log1p(told[q].to_numpy(float)) for q in ("q10", "q50", "q90"))
    off = np.abs(actual - middle) / np.maximum(np.where(actual > middle, high - middle, middle - low), 0.05)
    weight = 1.0 / told.groupby("piece")["piece"].transform("size").to_numpy(float)
    ascending = np.argsort(off)
    reached = np.cumsum(weight[ascending]) / weight.sum()
    factor = float(off[ascending][np.searchsorted(reached, _LEVEL - 1e-9).clip(0, len(off) - 1)])
    pieces = told["piece"].nunique()
    return float(np.clip(factor ** (pieces / (pieces + _TRUST)), 1.0, _MOST))


def say_record(record: pd.DataFrame) -> str:
    """The track record in a few sentences."""
    told = record["held"].dropna().astype(bool)
    text = "No past window has run out yet that a finish could be held against."
    if len(told):
        run = "window that has" if len(told) == 1 else "windows that have"
        held = words.number(int(told.sum()))
        text = f"Of {words.number(len(told))} past {run} run out, {held} held; four in five should."
    factor = widening(record)
    if factor > 1.005:
        text += f" The windows here are therefore drawn {words.percent(factor - 1)} wider."
    return text + _lean(record)


def _lean(record: pd.DataFrame) -> str:
    """Whether finishes tend to come before or after the middle, where enough pieces tell."""
    told = record[record["seen_days"] >= record["q50"]]
    if told["piece"].nunique() < _PIECES:
        return ""
    early = float((told["actual_days"] <= told["q50"]).mean())
    if abs(early - 0.5) < _LEAN:
        return ""
    side = "before" if early > 0.5 else "after"
    share = early if early > 0.5 else 1.0 - early
    return f" So far {words.percent(share)} of finishes came {side} the middle of what was said, where half should."
