"""Whether this stitcher has become faster or slower, whatever pieces the needle happened to be in."""

from __future__ import annotations

from collections.abc import Hashable
from typing import Any

import numpy as np
import pandas as pd
from scipy.special import stdtrit

from stitchlog import words
from stitchlog.diary import Diary
from stitchlog.pace import counted, factors
from stitchlog.pace.linear import Fit, grouped_least_squares

CHANCE = 0.90
HALF_YEAR = 365.25 / 2
# Half a year is compared within the last year, where at least this much of it is timed.
LEAST_SESSIONS, LEAST_DAYS = 20, 120
MONTHS = 24

COLUMNS = [
    "month",
    "per_hour",
    "per_hour_low",
    "per_hour_high",
    "worked_per_hour",
    "kept_per_hour",
    "hours",
    "sessions",
]
MONTH_HEADINGS = {
    "month": "month",
    "per_hour": "like for like",
    "per_hour_low": "window from",
    "per_hour_high": "to",
    "worked_per_hour": "before unpicking",
    "kept_per_hour": "after unpicking",
    "hours": "timed hours",
    "sessions": "timed sessions",
}


def trend(diary: Diary, as_of: pd.Timestamp | str | None = None) -> pd.DataFrame:
    """Pace month by month, up to the end of the day `as_of` (None: the diary's last day), the last 24 timed months.

    Columns: month (its first day); per_hour, per_hour_low, per_hour_high (stitches worked an hour on the usual mix of
    pieces: what is due to the pieces themselves is taken out, so that a month on a hard piece does not look slow;
    window 90 %); worked_per_hour and kept_per_hour (stitches over hours as they were, before and after unpicking);
    hours (timed), sessions (timed).

    .attrs: change, change_low, change_high: relative change of pace against half a year ago, by a straight line through
    the last year's sessions, pieces and supported effects taken out (NaN where fewer than 20 timed sessions over 120
    days say anything); half_year (bool: whether it could be said).
    """
    rows = counted.until(diary, as_of)
    values = factors.values_of(diary, rows)
    out = _months(rows).tail(MONTHS)
    shown = values[values["date"] >= out.index.min()] if len(out) else values[:0]
    if not shown.empty:
        out = out.join(_like_for_like(shown))
    out = out.reindex(columns=COLUMNS[1:]).rename_axis("month").reset_index()
    out.attrs = _change(diary, rows, values, as_of)
    return out


def say_trend(frame: pd.DataFrame) -> str:
    """What `trend` shows, in a sentence."""
    change, low, high = (frame.attrs[name] for name in ("change", "change_low", "change_high"))
    if np.isnan(change):
        return "There are too few timed sessions in the last year to say whether your pace has changed."
    spread = f"the {words.percent(CHANCE)} window runs from {_signed(low)} to {_signed(high)}"
    if low <= 0 <= high:
        return f"Piece for piece your pace is about what it was half a year ago: {spread}."
    way = "faster" if change > 0 else "slower"
    return f"Piece for piece you are about {words.percent(abs(change))} {way} than half a year ago; {spread}."


def say_unpicking(frame: pd.DataFrame) -> str:
    """What unpicking takes, in a sentence, over the months of `trend`."""
    worked = float((frame["worked_per_hour"] * frame["hours"]).sum())
    kept = float((frame["kept_per_hour"] * frame["hours"]).sum())
    hours = float(frame["hours"].sum())
    if hours <= 0 or worked <= 0:
        return "No session is timed, so there is no pace to show."
    if worked - kept < 0.5:
        pace = words.number(worked / hours)
        return f"Over {words.count(hours, 'timed hour')} you worked {pace} stitches an hour and unpicked none."
    return (
        f"Over {words.count(hours, 'timed hour')} you worked {words.number(worked / hours)} stitches an hour; after "
        f"unpicking {words.number(kept / hours)} of them stay: {words.percent(1 - kept / worked)} came out again."
    )


def _signed(share: float) -> str:
    if abs(share) < 0.005:
        return "no change"
    return f"{words.percent(abs(share))} {'faster' if share > 0 else 'slower'}"


def _months(rows: pd.DataFrame) -> pd.DataFrame:
    timed = rows[rows["counts"]]
    by = timed.groupby(timed["date"].dt.to_period("M").dt.to_timestamp())
    sums = by[["worked", "stitches", "hours"]].sum()
    return pd.DataFrame(
        {
            "worked_per_hour": sums["worked"] / sums["hours"],
            "kept_per_hour": sums["stitches"] / sums["hours"],
            "hours": sums["hours"],
            "sessions": by.size(),
        }
    )


def _weights(values: pd.DataFrame) -> np.ndarray:
    hours = values["hours"].to_numpy(float)
    return hours / (hours + factors.SHORT)


def _like_for_like(values: pd.DataFrame) -> pd.DataFrame:
    """Month by month, pieces taken out: months as steps, pieces as levels of their own."""
    month, months = pd.factorize(values["date"].dt.to_period("M").dt.to_timestamp(), sort=True)
    group, _ = pd.factorize(values["piece"])
    x = np.zeros((len(values), len(months)))
    x[np.arange(len(values)), month] = 1.0
    y = values["log_pace"].to_numpy(float)
    if len(values) <= len(months) + 1:
        return pd.DataFrame(columns=["per_hour", "per_hour_low", "per_hour_high"], index=months, dtype=float)
    weight = _weights(values)
    fit = grouped_least_squares(x, y, group, weight)
    # The level of the whole: stitches over hours, so that the line sits among the figures as they were.
    share = np.bincount(month, values["hours"], len(months)) / values["hours"].sum()
    level = np.log((np.exp(y) * values["hours"]).sum() / values["hours"].sum()) - share @ fit.coef
    # A month against the others: the pieces' own level, which all months share, is not a month's doubt.
    contrast = np.eye(len(months)) - share
    se = np.sqrt(np.clip(np.einsum("ij,jk,ik->i", contrast, fit.cov, contrast), 0, None))
    se = np.where(se > 0, se, fit.sd / np.sqrt(np.bincount(month, weight)))
    reach = stdtrit(max(len(values) - len(months), 1), (1 + CHANCE) / 2) * se
    middle = fit.coef + level
    return pd.DataFrame(
        {"per_hour": np.exp(middle), "per_hour_low": np.exp(middle - reach), "per_hour_high": np.exp(middle + reach)},
        index=months,
    )


def _change(
    diary: Diary, rows: pd.DataFrame, values: pd.DataFrame, as_of: pd.Timestamp | str | None
) -> dict[Hashable | None, Any]:
    nothing: dict[Hashable | None, Any] = {
        "change": float("nan"),
        "change_low": float("nan"),
        "change_high": float("nan"),
        "half_year": False,
    }
    day = rows["date"].max() if as_of is None else pd.Timestamp(as_of)
    # What the supported effects explain is taken out only where they are known for a session.
    known = factors.estimate(diary, rows)
    due = pd.Series(0.0, index=values.index)
    for i, factor in enumerate(known.factors):
        if known.supported[i] and known.fit is not None and not factor.of_piece:
            due += (known.fit.coef[i + 1] * (values[factor.name] - known.typical[i])).fillna(0.0)
    recent = values["date"] > day - pd.Timedelta(days=365)
    year = values[recent]
    if len(year) < LEAST_SESSIONS or (year["date"].max() - year["date"].min()).days < LEAST_DAYS:
        return nothing
    group, pieces = pd.factorize(year["piece"])
    when = (year["date"] - day).dt.days.to_numpy(float) / HALF_YEAR
    x = np.column_stack([np.ones(len(year)), when])
    y = (year["log_pace"] - due[recent]).to_numpy(float)
    fit: Fit = grouped_least_squares(x, y, group, _weights(year))
    reach = stdtrit(max(len(year) - len(pieces) - 1, 1), (1 + CHANCE) / 2) * fit.se[1]
    change, low, high = np.expm1([fit.coef[1], fit.coef[1] - reach, fit.coef[1] + reach])
    return {"change": float(change), "change_low": float(low), "change_high": float(high), "half_year": True}
