"""What a piece that is not begun would take this stitcher, in hours and in months."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import numpy as np
import pandas as pd

from stitchlog import words
from stitchlog.diary import Diary
from stitchlog.errors import StitchlogError
from stitchlog.pace import counted, factors
from stitchlog.pace.linear import least_squares
from stitchlog.pace.paces import pools
from stitchlog.pace.pooling import Pooled, pool, quantile

Asked = float | None

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

    A new piece is one more of the family (`pooling.Pooled.another`) of fair paces, moved by what the supported effects
    say about its cloth and colours; hours a day are pooled in the same way. Raises StitchlogError where stitches is not
    above 0.
    """
    return if_begun_each(diary, [(piece, stitches, count, over, colours)], as_of)


def if_begun_each(
    diary: Diary, designs: Iterable[tuple[str, float, Asked, Asked, Asked]], as_of: pd.Timestamp | str | None = None
) -> pd.DataFrame:
    """`if_begun` for several designs, each (piece, stitches, count, over, colours), a row each in their order."""
    designs = list(designs)
    for _, stitches, *_ in designs:
        if not stitches > 0:
            raise StitchlogError(f"stitches is {stitches}; a piece needs more than 0 to be begun")
    asked = [dict(zip(COLUMNS, design, strict=False)) for design in designs]
    rows = counted.until(diary, as_of)
    known = pools(rows)
    if known is None or not asked:
        return pd.DataFrame(asked, columns=COLUMNS)
    effects = factors.estimate(diary, rows)
    due = factors.explained(diary, rows, effects).reindex(known.pieces).fillna(0.0).to_numpy()
    fair = pool(known.means.log_pace - due, known.means.variance)
    daily, together = _hours_a_day(rows, pd.Series(known.pooled.expected(), index=known.pieces))
    found = []
    for one, (_, stitches, count, over, colours) in zip(asked, designs, strict=True):
        pace = _another(fair, *_moved(diary, effects, count, over, colours))
        hours = np.log(stitches) - pace[[0, 2, 1]]
        months = _over(hours, daily) - np.log(DAYS_A_MONTH)
        alone = float(np.exp(hours[0]) / together / DAYS_A_MONTH)
        figures = [*np.exp(pace), *np.exp(hours), *np.exp(months), alone, len(known.pieces)]
        found.append(one | dict(zip(COLUMNS[len(one) :], figures, strict=True)))
    return pd.DataFrame(found)


def not_begun(diary: Diary, as_of: pd.Timestamp | str | None = None) -> pd.DataFrame:
    """`if_begun` for every piece of the diary that is not begun by `as_of` and whose total is known, shortest first."""
    standing = diary.standing(as_of)
    waiting = standing.loc[(standing["status"] == "not begun") & (standing["total"] > 0), "piece"]
    about = diary.pieces.set_index("piece")
    colours = diary.chart_colours.groupby("piece")["code"].nunique()
    designs = [
        (name, about.loc[name, "total"], *map(_or_none, (*about.loc[name, ["count", "over"]], colours.get(name))))
        for name in waiting
    ]
    found = if_begun_each(diary, designs, as_of)
    return found.sort_values("hours", kind="stable").reset_index(drop=True)


def say_if_begun(frame: pd.DataFrame) -> str:
    """The first row of `if_begun`, in a sentence or two."""
    row = frame.iloc[0]
    what = f'"{row["piece"]}"' if row["piece"] else f"A piece of {words.count(row['stitches'], 'stitch', 'stitches')}"
    if pd.isna(row["hours"]):
        return f"{what}: no session in this diary is timed, so there is no pace to go by."
    low, middle, high = (_hours(row[name]) for name in ("hours_low", "hours", "hours_high"))
    return (
        f"{what} would take you about {middle} hours, nine times in ten between {low} and {high}. With the time that a "
        f"piece usually gets from you that is about {_months(row['months'])}, nine times in ten between "
        f"{_months(row['months_low'])} and {_months(row['months_high'])}; with all of your time at the needle it would "
        f"be about {_months(row['months_alone'])}."
    )


def say_beyond(
    diary: Diary,
    count: float | None = None,
    over: float | None = None,
    as_of: pd.Timestamp | str | None = None,
) -> str:
    """A warning where the asked cloth is unlike any of the pieces that the estimate rests on; '' where it is not."""
    rows = counted.until(diary, as_of)
    known = diary.pieces[diary.pieces["piece"].isin(rows.loc[rows["counts"], "piece"])]
    strange = []
    counts = known["count"].dropna()
    if count is not None and len(counts) and not counts.min() <= count <= counts.max():
        strange.append(f"{count:g} count")
    if over is not None and known["over"].notna().any() and not (known["over"] == over).any():
        strange.append(f"over {over:g}")
    if not strange:
        return ""
    return (
        f"None of your timed pieces is on {words.listed(strange)}, so this estimate is less sure than its window says."
    )


def _hours(value: float) -> str:
    return words.number(value, 1 if value < 10 else 0)


def _months(value: float) -> str:
    return words.span(value * DAYS_A_MONTH)


def _or_none(value: Any) -> float | None:
    return None if value is None or pd.isna(value) else float(value)


def _another(pooled: Pooled, step: float = 0.0, step_var: float = 0.0) -> np.ndarray:
    """Middle, low and high end of one more value of the family, moved by `step`."""
    middle, var = (v[:, None] for v in pooled.another())
    df = np.full_like(middle, np.inf)
    ends = [
        quantile(p, pooled.weight, middle + step, np.sqrt(var + step_var), df)[0]
        for p in (0.5, (1 - CHANCE) / 2, (1 + CHANCE) / 2)
    ]
    return np.array(ends)


def _over(above: np.ndarray, below: np.ndarray) -> np.ndarray:
    """Middle, low and high end of a quotient of two independent values, all as logs: reaches add up as squares."""
    middle = above[0] - below[0]
    low = np.hypot(above[0] - above[1], below[2] - below[0])
    high = np.hypot(above[2] - above[0], below[0] - below[1])
    return np.array([middle, middle - low, middle + high])


def _hours_a_day(rows: pd.DataFrame, log_pace: pd.Series) -> tuple[np.ndarray, float]:
    """Log hours a calendar day that one piece gets while it is in hand: middle, low and high end for one more piece;
    and the hours a calendar day that all of them get together."""
    pace = np.exp(rows["piece"].map(log_pace).fillna(log_pace.mean()))
    hours = rows["hours"].fillna((rows["worked"] / pace).clip(lower=0.0))
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
        return np.log(together / max(len(by), 1)) + np.array([0.0, -np.log(3.0), np.log(3.0)]), together
    log_daily = np.log((usable["needle"] / usable["days"]).to_numpy(float))
    # A piece's hours a day are themselves uncertain by about one part in the root of its sessions.
    return _another(pool(log_daily, 1.0 / usable["sessions"].to_numpy(float))), together


def _moved(
    diary: Diary, known: factors.Effects, count: float | None, over: float | None, colours: float | None
) -> tuple[float, float]:
    """What the supported effects make of the asked cloth and colours, against typical sessions: log pace, variance."""
    if known.fit is None:
        return 0.0, 0.0
    asked = {
        "count": count,
        "over": None if over is None else over - 1.0,
        "colours per session": None if colours is None else _a_session(known.values, diary, colours),
    }
    shift = np.zeros(len(known.factors) + 1)
    for i, factor in enumerate(known.factors):
        value = asked.get(factor.name)
        if known.supported[i] and value is not None:
            seen = known.values[factor.name]
            shift[i + 1] = np.clip(value, seen.min() - BEYOND, seen.max() + BEYOND) - known.typical[i]
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
