"""What a piece that is not begun would take this stitcher, in hours and in months."""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd
from scipy.special import stdtrit

from stitchlog import words
from stitchlog.diary import Diary
from stitchlog.errors import StitchlogError
from stitchlog.pace import counted, factors
from stitchlog.pace.linear import least_squares
from stitchlog.pace.paces import pools
from stitchlog.pace.pooling import pool

CHANCE = 0.90
DAYS_A_MONTH = 365.25 / 12
# A piece must have been in hand this long before its hours a day say how a piece is worked here.
LEAST_DAYS = 14
# Beyond the cloth that the diary knows, an effect is trusted no further than this many threads.
BEYOND = 4.0

COLUMNS = ["piece", "stitches", "count", "over", "colours", "per_hour", "per_hour_low", "per_hour_high"]
COLUMNS += ["hours", "hours_low", "hours_high", "months", "months_low", "months_high", "months_alone", "rests_on"]

BEGUN_HEADINGS = {
    "stitches": "stitches",
    "count": "count",
    "over": "over",
    "colours": "colours",
    "hours": "hours",
    "hours_low": "window from",
    "hours_high": "to",
    "months": "months",
    "months_low": "window from",
    "months_high": "to",
    "months_alone": "months, with all your time",
}
NOT_BEGUN_HEADINGS = {"piece": "piece", **BEGUN_HEADINGS}


def if_begun(
    diary: Diary,
    stitches: float,
    count: float | None = None,
    over: float | None = None,
    colours: float | None = None,
    as_of: pd.Timestamp | str | None = None,
    piece: str = "",
) -> pd.DataFrame:
    """One row: what a piece of `stitches` full stitches would take this stitcher, begun on the day `as_of`.

    count: threads or blocks to the inch. over: 1 or 2. colours: colours in the whole design. None: like the others.

    Columns: piece, stitches, count, over, colours (as asked); per_hour, per_hour_low, per_hour_high (stitches kept an
    hour); hours, hours_low, hours_high (at the needle); months, months_low, months_high (calendar months, if it gets
    the time that a piece usually gets from its first to its last session); months_alone (if it got all the time at
    the needle); rests_on (pieces with timed sessions). Windows hold with a chance of 90 %, as far as the next piece is
    like the ones before. NaN where nothing is timed.

    A new piece is one more of the family (`pooling.Pooled.another`), moved by what the supported effects say about
    its cloth and colours; hours a day are pooled in the same way. Raises StitchlogError where stitches is not above 0.
    """
    if not stitches > 0:
        raise StitchlogError(f"stitches is {stitches}; a piece needs more than 0 to be begun")
    rows = counted.until(diary, as_of)
    asked = {"piece": piece, "stitches": float(stitches), "count": count, "over": over, "colours": colours}
    known = pools(rows)
    if not len(known.pieces):
        return pd.DataFrame([asked], columns=COLUMNS)
    step, step_var = _moved(diary, rows, count, over, colours)
    mean, var = known.pooled.another()
    mean, var = mean + step, var + step_var
    reach = stdtrit(max(len(known.pieces) - 1, 1), (1 + CHANCE) / 2)
    daily_mean, daily_var, all_daily = _hours_a_day(rows, pd.Series(known.pooled.expected(), index=known.pieces))
    log_hours, log_stitches = np.log(stitches) - mean, np.log(stitches)
    log_months = log_hours - daily_mean - np.log(DAYS_A_MONTH)
    pace = _window(mean, var, reach)
    hours = _window(log_hours, var, reach)
    months = _window(log_months, var + daily_var, reach)
    alone = float(np.exp(log_stitches - mean) / all_daily / DAYS_A_MONTH)
    figures = [*pace, *hours, *months, alone, len(known.pieces)]
    return pd.DataFrame([dict(zip(COLUMNS, [*asked.values(), *figures], strict=True))])


def not_begun(diary: Diary, as_of: pd.Timestamp | str | None = None) -> pd.DataFrame:
    """`if_begun` for every piece of the diary that is not begun by `as_of` and whose total is known, shortest first."""
    standing = diary.standing(as_of)
    waiting = standing.loc[(standing["status"] == "not begun") & (standing["total"] > 0), "piece"]
    about = diary.pieces.set_index("piece")
    colours = diary.chart_colours.groupby("piece")["code"].nunique()
    rows = [
        if_begun(
            diary,
            float(about.loc[name, "total"]),
            _or_none(about.loc[name, "count"]),
            _or_none(about.loc[name, "over"]),
            _or_none(colours.get(name)),
            as_of,
            name,
        )
        for name in waiting
    ]
    if not rows:
        return pd.DataFrame(columns=COLUMNS)
    return pd.concat(rows, ignore_index=True).sort_values("hours", kind="stable").reset_index(drop=True)


def say_if_begun(frame: pd.DataFrame) -> str:
    """The first row of `if_begun`, in a sentence or two."""
    row = frame.iloc[0]
    what = f'"{row["piece"]}"' if row["piece"] else f"A piece of {words.count(row['stitches'], 'stitch', 'stitches')}"
    if pd.isna(row["hours"]):
        return f"{what}: no session in this diary is timed, so there is no pace to go by."
    return (
        f"{what} would take you about {words.number(row['hours'])} hours, most likely between "
        f"{words.number(row['hours_low'])} and {words.number(row['hours_high'])}. With the time that a piece usually "
        f"gets from you that is about {_months(row['months'])}, most likely between {_months(row['months_low'])} and "
        f"{_months(row['months_high'])}; with all of your time at the needle about {_months(row['months_alone'])}."
    )


def _months(value: float) -> str:
    return words.span(value * DAYS_A_MONTH)


def _or_none(value: Any) -> float | None:
    return None if value is None or pd.isna(value) else float(value)


def _window(mean: float, var: float, reach: float) -> list[float]:
    sd = var**0.5
    return [float(np.exp(mean)), float(np.exp(mean - reach * sd)), float(np.exp(mean + reach * sd))]


def _hours_a_day(rows: pd.DataFrame, log_pace: pd.Series) -> tuple[float, float, float]:
    """Log hours a calendar day that one piece gets while it is in hand: mean and variance for one more piece; and the
    hours a calendar day that all of them get together."""
    pace = np.exp(rows["piece"].map(log_pace).fillna(log_pace.mean()))
    hours = rows["hours"].fillna((rows["worked"] / pace).clip(lower=0.0))
    by = (
        rows.assign(needle=hours)
        .groupby("piece")
        .agg(needle=("needle", "sum"), first=("date", "min"), last=("date", "max"), sessions=("date", "size"))
    )
    days = (rows["date"].max() - rows["date"].min()).days + 1
    all_daily = max(float(hours.sum()), 1e-9) / days
    by["days"] = (by["last"] - by["first"]).dt.days + 1
    usable = by[(by["days"] >= LEAST_DAYS) & (by["needle"] > 0) & (by["sessions"] > 1)]
    if usable.empty:
        # Nothing to go by but the whole: a piece gets its even share of the time, give or take a factor of three.
        return float(np.log(all_daily / max(len(by), 1))), 0.45, all_daily
    log_daily = np.log((usable["needle"] / usable["days"]).to_numpy(float))
    # A piece's hours a day are themselves uncertain by about one part in the root of its sessions.
    mean, var = pool(log_daily, 1.0 / usable["sessions"].to_numpy(float), scale=1.0).another()
    return mean, var, all_daily


def _moved(
    diary: Diary, rows: pd.DataFrame, count: float | None, over: float | None, colours: float | None
) -> tuple[float, float]:
    """What the supported effects make of the asked cloth and colours, against the typical piece: log pace, variance."""
    known = factors.estimate(diary, rows)
    asked = {
        "count": count,
        "over": None if over is None else over - 1.0,
        "colours per session": None if colours is None else _a_session(known.values, diary, colours),
    }
    shift = np.zeros(len(known.factors) + 1)
    typical = known.values.groupby("piece")[[f.name for f in known.factors]].mean()
    for i, factor in enumerate(known.factors):
        value = asked.get(factor.name)
        if not known.supported[i] or value is None:
            continue
        seen = typical[factor.name].dropna()
        value = float(np.clip(value, seen.min() - BEYOND, seen.max() + BEYOND))
        shift[i + 1] = value - seen.mean()
    if known.fit is None or not shift.any():
        return 0.0, 0.0
    return float(shift @ known.fit.coef), float(shift @ known.fit.cov @ shift)


def _a_session(values: pd.DataFrame, diary: Diary, colours: float) -> float:
    """Colours in a session of a piece with `colours` in its design, by the stitcher's own pieces."""
    each = values.groupby("piece")["colours per session"].mean().dropna()
    design = diary.colours.groupby("piece")["code"].nunique()
    charted = diary.chart_colours.groupby("piece")["code"].nunique()
    whole = charted.combine_first(design).reindex(each.index).astype(float)
    if len(each) < 4 or whole.nunique() < 2:
        return float(min(colours, each.mean()) if len(each) else colours)
    line = least_squares(np.column_stack([np.ones(len(each)), np.log(whole)]), each.to_numpy(float))
    return float(np.clip(line.coef[0] + line.coef[1] * np.log(max(colours, 1.0)), 1.0, colours))
