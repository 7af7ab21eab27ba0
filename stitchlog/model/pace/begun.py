"""What a piece that is not begun would take this stitcher, in hours and in months."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import numpy as np
import pandas as pd

from stitchlog import words
from stitchlog.diary.diary import Diary
from stitchlog.errors import StitchlogError
from stitchlog.model.pace import counted, factors
from stitchlog.model.pace.paces import Pools, needle_hours, pools, say_hours
from stitchlog.model.pace.pooling import pool

Asked = float | None

YEAR = 365.25
DAYS_A_MONTH = YEAR / 12
# A piece must have been in hand this long before its hours a day say how a piece is worked here.
LEAST_DAYS = 14
# Beyond the cloth that the diary knows, an effect is trusted no further than this many threads.
BEYOND = 4.0

COLUMNS = ["piece", "stitches", "count", "over", "colours", "per_hour", "per_hour_low", "per_hour_high"]
COLUMNS += ["hours", "hours_low", "hours_high", "months", "months_low", "months_high", "months_alone"]

BEGUN_HEADINGS = {
    "stitches": "stitches",
    "count": "count",
    "over": "over",
    "colours": "colours",
    "hours": "hours",
    "hours_low": "range from",
    "hours_high": "to",
    "months_alone": "months, with all your time",
    "months": "months, alongside the others",
    "months_low": "range from",
    "months_high": "to",
}
NOT_BEGUN_HEADINGS = {"piece": "piece", **BEGUN_HEADINGS}


def if_begun(
    diary: Diary,
    stitches: float,
    count: Asked = None,
    over: Asked = None,
    colours: Asked = None,
) -> pd.DataFrame:
    """One row: what a piece of `stitches` full stitches would take this stitcher, begun on the diary's day.

    count: threads or blocks to the inch. over: 1 or 2. colours: colours in the whole design. None: like the others.

    Columns: piece (''), stitches, count, over, colours (as asked); per_hour, per_hour_low, per_hour_high (stitches kept
    an hour); hours, hours_low, hours_high (at the needle); months, months_low, months_high (calendar months, if it gets
    the time that a piece usually gets from its first to its last session); months_alone (if it got all the time at
    the needle). Windows hold with a chance of 90 %, as far as the next piece is like the ones before. NaN where nothing
    is timed.

    A new piece is one more of the family (`pooling.Pooled.another`) of fair paces, moved by what the supported effects
    say about its cloth and colours; hours a day are pooled in the same way. Raises StitchlogError where stitches is not
    above 0.
    """
    return if_begun_each(diary, [("", stitches, count, over, colours)])


def if_begun_each(diary: Diary, designs: Iterable[tuple[str, float, Asked, Asked, Asked]]) -> pd.DataFrame:
    """`if_begun` for several designs, each (piece, stitches, count, over, colours), a row each in their order."""
    asked = pd.DataFrame(list(designs), columns=COLUMNS[:5])
    for stitches in asked["stitches"]:
        if not stitches > 0:
            raise StitchlogError(f"stitches is {stitches}; a piece needs more than 0 to be begun")
    rows = counted.sessions(diary)
    known = pools(rows)
    if known.means.empty or asked.empty:
        return asked.reindex(columns=COLUMNS)
    effects = factors.estimate(diary, rows)
    due = factors.explained(diary, rows, effects).reindex(known.means.index).fillna(0.0)
    fair = pool(known.means["log_pace"] - due, known.means["variance"])
    daily, together = _hours_a_day(rows, known)
    found = []
    for _, stitches, *cloth in asked.itertuples(index=False, name=None):
        pace = fair.another(*_moved(diary, effects, *cloth))
        hours = np.log(stitches) - pace[[0, 2, 1]]
        months = np.exp(_over(hours, daily)) / DAYS_A_MONTH
        found.append([*np.exp(pace), *np.exp(hours), *months, np.exp(hours[0]) / together / DAYS_A_MONTH])
    return asked.join(pd.DataFrame(found, columns=COLUMNS[5:]))


def not_begun(diary: Diary) -> pd.DataFrame:
    """`if_begun` for every piece of the diary that is not begun and whose total is known, shortest first."""
    standing = diary.standing()
    waiting = standing.loc[(standing["status"] == "not begun") & (standing["total"] > 0), "piece"]
    about = diary.pieces.set_index("piece").loc[waiting, ["total", "count", "over"]]
    about["colours"] = diary.chart_colours.groupby("piece")["code"].nunique().reindex(about.index)
    found = if_begun_each(diary, about.itertuples(name=None))
    return found.sort_values("hours", kind="stable").reset_index(drop=True)


def say_if_begun(frame: pd.DataFrame) -> str:
    """The first row of `if_begun`, in a few sentences: its hours, its months, and what a year would want."""
    row = frame.iloc[0]
    what = f'"{row["piece"]}"' if row["piece"] else f"A piece of {words.count(row['stitches'], 'stitch', 'stitches')}"
    if pd.isna(row["hours"]):
        return f"{what}: no session in this diary is timed, so there is no pace to go by."
    low, middle, high = (say_hours(row[name]) for name in ("hours_low", "hours", "hours_high"))
    alone, fast, usual, slow = (
        words.span(row[name] * DAYS_A_MONTH) for name in ("months_alone", "months_low", "months", "months_high")
    )
    # Where even all of the time would take longer, a year is no plan.
    year = f" To be done within a year it needs {say_hours(row['hours'] * 7 / YEAR)} a week."
    year = year if row["months_alone"] <= 12 else ""
    return (
        f"{what} would take you {low} to {high} of stitching, most likely about {middle}. "
        f"With all of your time, {say_hours(row['hours'] * 7 / (row['months_alone'] * DAYS_A_MONTH))} a week, it is "
        f"about {alone}. Alongside your other pieces it would take {fast} to {slow}, with even odds at "
        f"{usual}. Keep at it for the short end; let it wait for the long end.{year}"
    )


def say_beyond(diary: Diary, count: Asked = None, over: Asked = None) -> str:
    """A warning where the asked fabric is unlike any of the pieces that the estimate rests on; '' where it is not."""
    rows = counted.sessions(diary)
    known = diary.pieces[diary.pieces["piece"].isin(rows.loc[rows["counts"], "piece"])]
    strange = []
    counts, overs = known["count"].dropna(), known["over"].dropna()
    if count is not None and len(counts) and not counts.min() <= count <= counts.max():
        strange.append(f"{count:g} count")
    if over is not None and len(overs) and not (overs == over).any():
        strange.append(f"over {over:g}")
    if not strange:
        return ""
    return (
        f"None of your timed pieces is on {words.listed(strange)}, so this estimate is less sure than its range says."
    )


def _over(above: np.ndarray, below: np.ndarray) -> np.ndarray:
    """Middle, low and high end of a quotient of two independent values, all as logs: reaches add up as squares."""
    middle = above[0] - below[0]
    low = np.hypot(above[0] - above[1], below[2] - below[0])
    high = np.hypot(above[2] - above[0], below[0] - below[1])
    return np.array([middle, middle - low, middle + high])


def _hours_a_day(rows: pd.DataFrame, known: Pools) -> tuple[np.ndarray, float]:
    """Log hours a calendar day that one piece gets while it is in hand: middle, low and high end for one more piece;
    and the hours a calendar day that all of them get together."""
    hours = needle_hours(rows, known)
    by = (
        rows.assign(needle=hours)
        .groupby("piece")
        .agg(needle=("needle", "sum"), first=("date", "min"), last=("date", "max"), sessions=("date", "size"))
    )
    days = (rows["date"].max() - rows["date"].min()).days + 1
    together = max(float(hours.sum()), 1e-9) / days
    by["days"] = (by["last"] - by["first"]).dt.days + 1
    usable = by[(by["days"] >= LEAST_DAYS) & (by["needle"] > 0) & (by["sessions"] > 1)]
    if usable.empty:
        # Nothing to go by but the whole: a piece gets its even share of the time, give or take a factor of three.
        return np.log(together / len(by)) + np.array([0.0, -np.log(3.0), np.log(3.0)]), together
    # A piece's hours a day are themselves uncertain by about one part in the root of its sessions.
    return pool(np.log(usable["needle"] / usable["days"]), 1.0 / usable["sessions"]).another(), together


def _moved(diary: Diary, known: factors.Effects, count: Asked, over: Asked, colours: Asked) -> tuple[float, float]:
    """What the supported effects make of the asked cloth and colours, against typical sessions: log pace, variance."""
    asked = {"count": count, "over": None if over is None else over - 1.0, "colours per session": colours}
    step = pd.Series(0.0, index=known.coef.index)
    for name in step.index[known.supported]:
        value: Any = asked.get(name)
        if value is None or np.isnan(value):
            continue
        if name == "colours per session":
            value = _a_session(known.values, diary, value)
        seen = known.values[name]
        step[name] = np.clip(value, seen.min() - BEYOND, seen.max() + BEYOND) - known.typical[name]
    moved, coef, cov = step.to_numpy(float), known.coef.to_numpy(float), known.cov.to_numpy(float)
    return float(moved @ coef), float(moved @ cov @ moved)


def _a_session(values: pd.DataFrame, diary: Diary, colours: float) -> float:
    """Colours in a session of a piece with `colours` in its design, by the stitcher's own pieces."""
    each = values.groupby("piece")["colours per session"].mean().dropna()
    design = diary.colours.groupby("piece")["code"].nunique()
    charted = diary.chart_colours.groupby("piece")["code"].nunique()
    whole = charted.combine_first(design).reindex(each.index).astype(float)
    if len(each) < 4 or whole.nunique() < 2:
        return float(min(colours, each.mean()) if len(each) else colours)
    line = np.polyfit(np.log(whole), each, 1)
    return float(np.clip(np.polyval(line, np.log(max(colours, 1.0))), 1.0, colours))
