"""The period day by day: what is asked if it is spread evenly, and what usually gets done."""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd

from stitchlog import words
from stitchlog.diary.diary import Diary

LOW, HIGH = 0.1, 0.9


def course(diary: Diary, fit: pd.DataFrame, coming_days: np.ndarray) -> pd.DataFrame:
    """Every day of the period of `fit` (a frame of `capacity`): what is asked and what usually gets done.

    coming_days: simulated stitches from the day after the frame's `as_of` to the end of the period or longer, shape
    (paths, days).
    Columns: date; asks (text: stitches by piece, and for events that allow any piece, if what each still needs is
    spread evenly over the days left to it); ends (text: what ends that day); asked (stitches of the day, those that
    count for several counted once; NaN up to `as_of`); then stitches since the first day, all pieces: asked_so_far,
    worked_so_far (NaN after `as_of`), low, usual, high (a tenth, half and nine tenths of the simulated courses lie
    below; NaN up to `as_of`).
    .attrs: those of `fit`.
    """
    start, end, day = fit.attrs["start"], fit.attrs["end"], fit.attrs["as_of"]
    dates = pd.date_range(start, end, name="date")
    coming = dates > day
    asks = [asked_on(fit, date) if date > day else (np.nan, "") for date in dates]
    past = diary.sessions[(diary.sessions["date"] >= start) & (diary.sessions["date"] <= min(day, end))]
    done = past.groupby("date")["stitches"].sum().reindex(dates, fill_value=0.0).cumsum().to_numpy()
    out = pd.DataFrame(
        {
            "date": dates,
            "asks": [said for _, said in asks],
            "ends": [words.listed(fit.loc[fit["ends"] == date, "label"]) for date in dates],
            "asked": [stitches for stitches, _ in asks],
        }
    )
    out["asked_so_far"] = done[-1] + out["asked"].cumsum()
    out["worked_so_far"] = np.where(coming, np.nan, done)
    out[["low", "usual", "high"]] = np.nan
    if coming.any():
        ahead = (dates[coming] - day).days - 1
        sums = done[-1] + coming_days[:, ahead].cumsum(axis=1)
        out.loc[coming, ["low", "usual", "high"]] = np.quantile(sums, (LOW, 0.5, HIGH), axis=0).T
    out.attrs = dict(fit.attrs)
    return out


def asked_on(fit: pd.DataFrame, date: pd.Timestamp) -> tuple[float, str]:
    """What the commitments of `capacity` ask of one day to come, spread evenly over the days left to each.

    Stitches (those that count for several counted once), and the same in words.
    """
    by_piece: dict[str, float] = {}
    free, alone, said_alone, said_free = 0.0, 0.0, [], []
    here = ~(fit["starts"] > date) & (fit["ends"] >= date) & (fit["per_day_needed"] > 0) & (fit["unit"] != "pieces")
    for row in fit[here].itertuples():
        rate = row.per_day_needed * row.per_unit
        if not row.shared:
            alone += rate
            where = f" on {row.piece}" if row.piece else ""
            said_alone.append(f"{_up(rate)} more{where} for {row.label}")
        elif row.piece:
            by_piece[row.piece] = max(rate, by_piece.get(row.piece, 0.0))
        else:
            free = max(rate, free)
            said_free.append(f"{_up(rate)} on any of them for {row.label}")
    said = [f"{piece} {_up(n)}" for piece, n in by_piece.items()]
    return alone + max(sum(by_piece.values()), free), "; ".join([*said, *said_alone, *said_free])


def days(course: pd.DataFrame) -> pd.DataFrame:
    """The days of a `course` to come, those that ask the same taken together; none where no day asks anything.

    Columns: days (in words), asked (stitches a day), asks, ends (as in `course`).
    """
    coming = course[course["asked"].notna() & (course["asked"].sum() > 0)]
    new = (coming["asks"] != coming["asks"].shift()) | (coming["ends"].shift() != "")
    spans = coming.groupby(new.cumsum(), sort=False)
    out = spans.agg(asked=("asked", "first"), asks=("asks", "first"), ends=("ends", "last")).reset_index(drop=True)
    first, last = (
        [words.short_day(day, year=False) for day in days] for days in (spans["date"].min(), spans["date"].max())
    )
    out.insert(0, "days", [a if a == b else f"{a} to {b}" for a, b in zip(first, last, strict=True)])
    return out


def say_course(frame: pd.DataFrame) -> str:
    """What is asked of the period beside what usually gets done in it."""
    period = words.period(frame.attrs["start"], frame.attrs["end"])
    during = f"from {period}" if " to " in period else f"in {period}"
    last = frame.iloc[-1]
    if pd.isna(last["usual"]):
        stitches = words.count(last["worked_so_far"], "stitch", "stitches")
        return f"{stitches} {'was' if round(last['worked_so_far']) == 1 else 'were'} worked {during}."
    asked = f"Spread evenly, the promises come to {_about(last['asked_so_far'])} stitches by {words.day(last['date'])}"
    if not frame["asked"].sum() > 0:
        asked = f"Nothing more is asked {during}"
    return (
        f"{asked}; usually {_about(last['usual'])} stitches get done, and four times in five between "
        f"{_about(last['low'])} and {_about(last['high'])}."
    )


def _up(n: Any) -> str:
    return words.number(np.ceil(n))


def _about(stitches: float) -> str:
    """Two figures are all that such a number holds."""
    size = 10 ** max(0, len(str(int(max(stitches, 1)))) - 2)
    return words.number(round(stitches / size) * size)
