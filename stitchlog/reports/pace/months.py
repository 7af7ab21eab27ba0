"""Whether this stitcher has become faster or slower, whatever pieces were worked on."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd
from scipy.special import stdtrit

from stitchlog import words
from stitchlog.diary.diary import Diary
from stitchlog.model.pace import counted, factors
from stitchlog.model.pace.factors import say_change, weight_of
from stitchlog.model.pace.linear import grouped_least_squares
from stitchlog.model.pace.paces import say_hours
from stitchlog.model.pace.pooling import CHANCE

HALF_YEAR = 365.25 / 2
# Half a year is compared within the last year, where at least this much of it is timed.
LEAST_SESSIONS, LEAST_DAYS = 20, 120
MONTHS = 24

# The columns of `trend`, and what stands above them on a page.
MONTH_HEADINGS = {
    "month": "month",
    "per_hour": "like for like",
    "per_hour_low": "range from",
    "per_hour_high": "to",
    "worked_per_hour": "before unpicking",
    "kept_per_hour": "after unpicking",
    "hours": "timed hours",
    "sessions": "timed sessions",
}


@dataclass(frozen=True)
class Trend:
    """Pace month by month, the last 24 timed months.

    months: columns month (its first day); per_hour, per_hour_low, per_hour_high (stitches worked an hour on the usual
    mix of pieces: what is due to the pieces themselves is taken out, so that a month on a hard piece does not look
    slow; 90 % interval); worked_per_hour and kept_per_hour (stitches over hours as they were, before and after
    unpicking); hours (timed), sessions (timed).
    change, change_low, change_high: relative change of pace against half a year ago, by a straight line through the
    last year's sessions, pieces and supported effects taken out (NaN where fewer than 20 timed sessions over 120 days
    say anything).
    """

    months: pd.DataFrame
    change: float
    change_low: float
    change_high: float


def trend(diary: Diary) -> Trend:
    """Pace month by month, and whether it has changed."""
    rows = counted.sessions(diary)
    known = factors.estimate(diary, rows)
    timed = rows[rows["counts"]]
    by = timed.groupby(timed["date"].dt.to_period("M").dt.to_timestamp())
    sums = by[["worked", "stitches", "hours"]].sum().assign(sessions=by.size()).tail(MONTHS)
    sums["worked_per_hour"], sums["kept_per_hour"] = sums["worked"] / sums["hours"], sums["stitches"] / sums["hours"]
    values = known.values
    out = sums.join(_like_for_like(values[values["date"] >= sums.index.min()]))
    return Trend(out.rename_axis("month").reset_index()[list(MONTH_HEADINGS)], *_change(known, diary.as_of))


def say_trend(found: Trend) -> str:
    """What `trend` shows, in a sentence or two."""
    if np.isnan(found.change):
        return "There are too few timed sessions in the last year to say whether your pace has changed."
    low, high = say_change(found.change_low), say_change(found.change_high)
    if found.change_low <= 0 <= found.change_high:
        return f"Piece for piece your pace is about what it was half a year ago: between {low} and {high}."
    return f"Piece for piece you are about {say_change(found.change)} than half a year ago: between {low} and {high}."


def say_unpicking(found: Trend) -> str:
    """What unpicking takes, over the months of `trend`."""
    frame = found.months
    hours = float(frame["hours"].sum())
    worked, kept = (float((frame[f"{name}_per_hour"] * frame["hours"]).sum()) for name in ("worked", "kept"))
    if hours <= 0 or worked <= 0:
        return "No session is timed, so there is no pace to show."
    text = f"In {say_hours(hours)} of timed sessions you worked {words.number(worked / hours)} stitches an hour"
    if worked - kept < 0.5:
        return f"{text} and unpicked none."
    share = words.percent(1 - kept / worked)
    return f"{text}. You frogged (took out again) {share} of them, which leaves {words.number(kept / hours)}."


def _like_for_like(values: pd.DataFrame) -> pd.DataFrame:
    """By month: per_hour, per_hour_low, per_hour_high; months as steps, pieces as levels of their own.

    values: from `factors.values_of`. No rows where there are hardly more sessions than months.
    """
    month, months = pd.factorize(values["date"].dt.to_period("M").dt.to_timestamp(), sort=True)
    if len(values) <= len(months) + 1:
        return pd.DataFrame(columns=["per_hour", "per_hour_low", "per_hour_high"], dtype=float)
    x, weight = np.eye(len(months))[month], weight_of(values)
    fit = grouped_least_squares(x, values["log_pace"].to_numpy(float), pd.factorize(values["piece"])[0], weight)
    # The level of the whole: stitches over hours, so that the line sits among the figures as they were.
    share = np.bincount(month, values["hours"], len(months)) / values["hours"].sum()
    middle = fit.coef - share @ fit.coef + np.log(np.average(np.exp(values["log_pace"]), weights=values["hours"]))
    # A month against the others: the pieces' own level, which all months share, is not a month's doubt.
    contrast = np.eye(len(months)) - share
    se = np.sqrt(np.clip(np.diag(contrast @ fit.cov @ contrast.T), 0, None))
    se = np.where(se > 0, se, fit.sd / np.sqrt(np.bincount(month, weight)))
    reach = stdtrit(len(values) - len(months), (1 + CHANCE) / 2) * se
    ends = {"per_hour": middle, "per_hour_low": middle - reach, "per_hour_high": middle + reach}
    return pd.DataFrame(ends, index=months).apply(np.exp)


def _change(known: factors.Effects, day: pd.Timestamp) -> tuple[float, float, float]:
    """The change against half a year before `day`, and the ends of its interval."""
    year = known.values[known.values["date"] > day - pd.Timedelta(days=365)]
    if len(year) < LEAST_SESSIONS or (year["date"].max() - year["date"].min()).days < LEAST_DAYS:
        return np.nan, np.nan, np.nan
    # What the supported effects explain is taken out where it is known for a session; pieces have levels of their own.
    of_piece = [f.name for f in factors.FACTORS if f.of_piece]
    due = known.due().drop(columns=of_piece, errors="ignore").loc[year.index].fillna(0.0).sum(axis=1)
    group, pieces = pd.factorize(year["piece"])
    when = (year["date"] - day).dt.days.to_numpy(float) / HALF_YEAR
    x = np.column_stack([np.ones(len(year)), when])
    fit = grouped_least_squares(x, (year["log_pace"] - due).to_numpy(float), group, weight_of(year))
    reach = stdtrit(max(len(year) - len(pieces) - 1, 1), (1 + CHANCE) / 2) * fit.se[1]
    change, low, high = map(float, np.expm1(fit.coef[1] + np.array([0.0, -reach, reach])))
    return change, low, high
