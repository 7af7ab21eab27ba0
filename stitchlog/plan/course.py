"""The period day by day: what is asked if it is spread evenly, and what usually gets done."""

from __future__ import annotations

import numpy as np
import pandas as pd

from stitchlog import words
from stitchlog.diary import Diary
from stitchlog.plan.capacity import coming_days
from stitchlog.plan.commitments import each

LOW, HIGH = 0.1, 0.9


def course(diary: Diary, fit: pd.DataFrame) -> pd.DataFrame:
    """Every day of the period of `fit` (a frame of `capacity`): what is asked and what usually gets done.

    Columns: date; asks (text: what each commitment asks of the day if what it still needs is spread evenly over the
    days left to it); ends (text: what ends that day); asked (stitches of the day, shared ones counted once; NaN up to
    `as_of`); asked_so_far, worked_so_far (NaN after `as_of`), low, usual, high (a tenth, half and nine tenths of the
    simulated courses lie below; NaN before `as_of`): stitches since the first day, all pieces.
    .attrs: good_day, as_of, start, end.
    """
    start, end, day = fit.attrs["start"], fit.attrs["end"], fit.attrs["as_of"]
    dates = pd.date_range(start, end, name="date")
    asked = [asked_of(fit, d) for d in dates]
    out = pd.DataFrame(
        {
            "date": dates,
            "asks": ["; ".join(f"{name}: {_say_stitches(n)}" for name, n in one.items()) for one in _named(fit, dates)],
            "ends": [words.listed(fit.loc[fit["ends"] == d, "label"]) for d in dates],
            "asked": asked,
        }
    )
    past = diary.sessions[(diary.sessions["date"] >= start) & (diary.sessions["date"] <= min(day, end))]
    done = past.groupby("date")["stitches"].sum().reindex(dates, fill_value=0.0).cumsum().to_numpy()
    before = float(done[-1]) if len(done) else 0.0
    coming = dates > day
    out["worked_so_far"] = np.where(coming, np.nan, done)
    out["asked_so_far"] = np.where(coming, before + np.nancumsum(asked), np.nan)
    futures = coming_days(diary, day, end, fit.attrs["paths"], fit.attrs["seed"])[:, -int(coming.sum()) or None :]
    sums = before + futures.cumsum(axis=1) if coming.any() else np.zeros((1, 0))
    for name, q in (("low", LOW), ("usual", 0.5), ("high", HIGH)):
        out[name] = np.nan
        out.loc[coming, name] = np.quantile(sums, q, axis=0)
    out.attrs = {k: fit.attrs[k] for k in ("good_day", "as_of", "start", "end")}
    return out


def asked_of(fit: pd.DataFrame, date: pd.Timestamp) -> float:
    """Stitches that the commitments ask of one day, spread evenly; a stitch that counts for several is counted once."""
    if date <= fit.attrs["as_of"]:
        return float("nan")
    rows = _open(fit, date)
    rate = rows["per_day_needed"] * rows["per_unit"]
    shared = rows["shared"].to_numpy(bool)
    bound = (rows["piece"] != "").to_numpy()
    by_piece = rate[shared & bound].groupby(rows["piece"][shared & bound]).max().sum()
    return float(rate[~shared].sum() + max(by_piece, rate[shared & ~bound].max() if (shared & ~bound).any() else 0.0))


def say_course(frame: pd.DataFrame) -> str:
    """What is asked of the period beside what usually gets done in it."""
    if frame.empty:
        return "There is no day to look at."
    period = words.period(frame.attrs["start"], frame.attrs["end"])
    last = frame.iloc[-1]
    if pd.isna(last["usual"]):
        return f"{words.count(last['worked_so_far'], 'stitch', 'stitches')} were worked in {period}."
    usual = (
        f"usually {_about(last['usual'])} stitches get done by then, and four times in five between "
        f"{_about(last['low'])} and {_about(last['high'])}"
    )
    if not last["asked_so_far"] > np.nan_to_num(frame["worked_so_far"].max()):
        return f"Nothing more is asked of {period}; {usual}."
    asked, by = _about(last["asked_so_far"]), words.day(last["date"])
    return f"Spread evenly, the promises come to {asked} stitches by {by}; {usual}."


def _open(fit: pd.DataFrame, date: pd.Timestamp) -> pd.DataFrame:
    opens = fit["starts"].isna() | (fit["starts"] <= date)
    return fit[opens & (fit["ends"] >= date) & (fit["per_day_needed"] > 0) & (fit["unit"] != "pieces")]


def _named(fit: pd.DataFrame, dates: pd.DatetimeIndex) -> list[dict[str, float]]:
    day = fit.attrs["as_of"]
    return [{r.label: r.per_day_needed * r.per_unit for r in each(_open(fit, d))} if d > day else {} for d in dates]


def _say_stitches(n: float) -> str:
    return words.number(np.ceil(n))


def _about(stitches: float) -> str:
    """Two figures are all that such a number holds."""
    size = 10 ** max(0, len(str(int(max(stitches, 1)))) - 2)
    return words.number(round(stitches / size) * size)
