"""Scores the forecast on any file of daily series, beside what a stitcher would do instead.

python -m tests.tools.score_forecasts FILE.csv [--paths N] [--seed N] [--cases OUT.csv] [--answers IN.csv]

FILE.csv has the columns series, date and amount, a row a day with something on it. Every series is cut at several of
its days; at each cut the work still to do is what its mean so far would take 20, 60 and 180 days for. The score is the
CRPS of the log of days to finish; a finish that the data does not reach counts as its end.

So that a method can run elsewhere, in an environment of its own: --cases writes the questions (series, days: how many
of the series' first days it may see, span, remaining), and --answers reads a row a question and path (series, days,
span, answer: days to finish, inf allowed) and scores them beside the others.
"""

from __future__ import annotations

import argparse
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import pandas as pd

from stitchlog.model.forecast.finishing import finish_series
from tests.model.forecast.scores import days_score, holds

CUTS = (0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8)
SPANS = (20, 60, 180)
_LEAST_DAYS, _LEAST_WORKED, _LEAST_BEFORE, _LEAST_AFTER = 60, 40, 15, 15
Method = Callable[[pd.Series, float, int, int], np.ndarray]


@dataclass(frozen=True)
class Case:
    """A series cut at a day. remaining: work to do after `past`. truth: days it took (inf: longer than `seen` days)."""

    series: str
    past: pd.Series
    remaining: float
    span: int
    truth: float
    seen: int


def daily(frame: pd.DataFrame) -> pd.Series:
    """Amounts a day, zeros included, from the columns date and amount."""
    by = frame.groupby("date")["amount"].sum()
    return by.reindex(pd.date_range(by.index.min(), by.index.max()), fill_value=0.0)


def cases(data: pd.DataFrame, cuts: tuple[float, ...] = CUTS, spans: tuple[int, ...] = SPANS) -> Iterator[Case]:
    """Every case of the series in `data` (columns series, date, amount) that has enough before and after the cut."""
    for name, frame in data.groupby("series"):
        amounts = daily(frame)
        if len(amounts) < 2 * _LEAST_DAYS or (amounts > 0).sum() < _LEAST_WORKED:
            continue
        for cut in cuts:
            days = int(len(amounts) * cut)
            past, future = amounts.iloc[:days], amounts.iloc[days:].cumsum().to_numpy()
            if days < _LEAST_DAYS or (past > 0).sum() < _LEAST_BEFORE or len(future) < _LEAST_AFTER:
                continue
            for span in spans:
                remaining = float(past.mean() * span)
                day = int(np.searchsorted(future, remaining - 1e-9)) + 1
                if len(future) >= span / 2:
                    truth = float(day) if day <= len(future) else np.inf
                    yield Case(str(name), past, remaining, span, truth, len(future))


def straight_line(past: pd.Series, remaining: float, paths: int, seed: int) -> np.ndarray:
    """What is left, divided by the average of all days: one date."""
    return np.full(paths, np.ceil(remaining / past.mean()))


def last_month(past: pd.Series, remaining: float, paths: int, seed: int) -> np.ndarray:
    """What is left, divided by the average of the last 30 days (of all, over 50, where they are empty): one date."""
    return np.full(paths, np.ceil(remaining / max(past.iloc[-30:].mean(), past.mean() / 50)))


def last_90_days(past: pd.Series, remaining: float, paths: int, seed: int) -> np.ndarray:
    """Days drawn at random from the last 90 (from all where those are empty)."""
    recent = past.iloc[-90:] if past.iloc[-90:].sum() > 0 else past
    return _drawn(recent.to_numpy(float), 1, remaining, paths, seed)


def two_weeks(past: pd.Series, remaining: float, paths: int, seed: int) -> np.ndarray:
    """Two-week blocks drawn at random from all days."""
    return _drawn(past.to_numpy(float), 14, remaining, paths, seed)


def intermittent(past: pd.Series, remaining: float, paths: int, seed: int) -> np.ndarray:
    """What is left, divided by the daily rate of Croston's method for intermittent demand: one date."""
    return np.full(paths, np.ceil(remaining / croston(past.to_numpy(float))[2]))


def croston(demand: np.ndarray, alpha: float = 0.1) -> tuple[float, float, float]:
    """Smoothed size, smoothed gap and their ratio, started at the first ones; some demand must be above 0.

    Croston 1972, Operational Research Quarterly 23:289-303.

    >>> croston([0, 2, 0, 4], alpha=0.5)
    (3.0, 2.0, 1.5)
    """
    at = np.flatnonzero(np.asarray(demand) > 0)
    size, gap = float(demand[at[0]]), float(at[0] + 1)
    for before, now in pairwise(at):
        size += alpha * (float(demand[now]) - size)
        gap += alpha * (float(now - before) - gap)
    return size, gap, size / gap


METHODS: dict[str, Method] = {
    "straight line on all days": straight_line,
    "last 30 days' average": last_month,
    "intermittent demand": intermittent,
    "resampling the last 90 days": last_90_days,
    "resampling two-week blocks": two_weeks,
    "stitchlog": finish_series,
}


def _drawn(values: np.ndarray, block: int, remaining: float, paths: int, seed: int, horizon: int = 4000) -> np.ndarray:
    rng = np.random.default_rng(seed)
    days, done, step = np.full(paths, np.inf), np.zeros(paths), 210
    for passed in range(0, horizon, step):
        first = rng.integers(0, len(values), (paths, step // block))
        drawn = values[(first[:, :, None] + np.arange(block)) % len(values)].reshape(paths, -1)
        reached = done[:, None] + drawn.cumsum(axis=1)
        short = (reached < remaining - 1e-9).sum(axis=1)
        days = np.where(np.isinf(days) & (short < step), passed + short + 1, days)
        done = reached[:, -1]
        if np.isfinite(days).all():
            break
    return days


def score(method: Method, found: list[Case], paths: int = 300, seed: int = 0) -> pd.DataFrame:
    """A row a case: series, span, crps, held_80, held_50 (whether the windows held), censored (not reached in data)."""
    rows = []
    for case in found:
        days = method(case.past, case.remaining, paths, seed)
        rows.append(
            {
                "series": case.series,
                "span": case.span,
                "crps": days_score(days, case.truth, case.seen),
                "held_80": holds(days, case.truth, case.seen, 0.8),
                "held_50": holds(days, case.truth, case.seen, 0.5),
                "censored": bool(np.isinf(case.truth)),
            }
        )
    return pd.DataFrame(rows)


def table(found: list[Case], paths: int = 300, seed: int = 0, methods: dict[str, Method] | None = None) -> pd.DataFrame:
    """A row a method: method, crps, held_80, held_50, and held_80 for each span (held_20, …)."""
    rows = []
    for name, method in (methods or METHODS).items():
        scored = score(method, found, paths, seed)
        spans = scored.groupby("span")["held_80"].mean()
        rows.append(
            {"method": name, "crps": scored["crps"].mean(), "held_80": scored["held_80"].mean()}
            | {"held_50": scored["held_50"].mean()}
            | {f"span_{span}": share for span, share in spans.items()}
        )
    return pd.DataFrame(rows)


def questions(found: list[Case]) -> pd.DataFrame:
    """A row a case: series, days (of the past), span, remaining."""
    rows = [(case.series, len(case.past), case.span, case.remaining) for case in found]
    return pd.DataFrame(rows, columns=["series", "days", "span", "remaining"])


def _answered(answers: pd.DataFrame, found: list[Case]) -> Method:
    """The answers of a method that ran elsewhere, as a method."""
    given = {key: rows.to_numpy(float) for key, rows in answers.groupby(["series", "days", "span"])["answer"]}
    asked = {(id(case.past), case.remaining): (case.series, len(case.past), case.span) for case in found}

    def method(past: pd.Series, remaining: float, paths: int, seed: int) -> np.ndarray:
        return given[asked[id(past), remaining]]

    return method


def main(arguments: list[str] | None = None) -> None:
    """The command."""
    parser = argparse.ArgumentParser(prog="python -m tests.tools.score_forecasts", description="Score the forecast.")
    parser.add_argument("file", help="CSV with the columns series, date, amount")
    parser.add_argument("--paths", type=int, default=300)
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--cases", help="write the questions to this CSV, and nothing else")
    parser.add_argument("--answers", help="CSV of another method's answers, scored beside the others")
    asked = parser.parse_args(arguments)
    data = pd.read_csv(asked.file, parse_dates=["date"])
    missing = {"series", "date", "amount"} - set(data.columns)
    if missing:
        parser.error(f"{asked.file} lacks the column {sorted(missing)[0]}")
    found = list(cases(data))
    if not found:
        parser.error(f"no series in {asked.file} is long enough")
    if asked.cases:
        questions(found).to_csv(asked.cases, index=False)
        return
    methods = dict(METHODS)
    if asked.answers:
        methods["answers"] = _answered(pd.read_csv(asked.answers), found)
    print(f"{len(found)} cases of {data['series'].nunique()} series, {asked.paths} paths")
    print(table(found, asked.paths, asked.seed, methods).round(3).to_string(index=False))


if __name__ == "__main__":
    main()
