"""The period day by day: what is asked if it is spread evenly, and what usually gets done."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from stitchlog import words
from stitchlog.diary.diary import Diary
from stitchlog.diary.frames import each_row
from stitchlog.reports.plan.capacity import Capacity

LOW, HIGH = 0.1, 0.9


@dataclass(frozen=True)
class Course:
    """What the days of a period ask and bring.

    days: a row a day of the period. Columns: date; asks (text: stitches by piece, and for events that allow any piece,
    if what each still needs is spread evenly over the days left to it); ends (text: what ends that day); asked (whole
    stitches of the day, those that count for several counted once; NaN up to `as_of`); then stitches since the first
    day, all pieces: asked_so_far, worked_so_far (NaN after `as_of`), low, usual, high (a tenth, half and nine tenths of
    the simulated courses lie below; NaN up to `as_of`).
    """

    days: pd.DataFrame
    start: pd.Timestamp
    end: pd.Timestamp


def course(diary: Diary, fit: Capacity, coming_days: np.ndarray) -> Course:
    """Every day of the period of `fit`: what is asked and what usually gets done.

    coming_days: simulated stitches from the day after the diary's to the end of the period or longer, shape
    (paths, days).
    """
    day = fit.as_of
    dates = pd.date_range(fit.start, fit.end, name="date")
    coming = dates > day
    asks = [asked_on(fit.goals, date) if date > day else (np.nan, "") for date in dates]
    past = diary.sessions[diary.sessions["date"].between(fit.start, fit.end)]
    done = past.groupby("date")["stitches"].sum().reindex(dates, fill_value=0.0).cumsum().to_numpy()
    out = pd.DataFrame(
        {
            "date": dates,
            "asks": [said for _, said in asks],
            "ends": [words.listed(fit.goals.loc[fit.goals["ends"] == date, "label"]) for date in dates],
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
    return Course(out, fit.start, fit.end)


def asked_on(goals: pd.DataFrame, date: pd.Timestamp) -> tuple[float, str]:
    """What the goals of a `Capacity` ask of one day to come, spread evenly over the days left to each.

    Whole stitches (those that count for several counted once), and the same in words: the words add up to the number.
    """
    by_piece: dict[str, float] = {}
    free, alone, said_alone, said_free = 0.0, 0.0, [], []
    here = ~(goals["starts"] > date) & (goals["ends"] >= date) & (goals["per_day_needed"] > 0)
    for row in each_row(goals[here & (goals["unit"] != "pieces")]):
        rate = float(np.ceil(round(row.per_day_needed * row.per_unit, 6)))
        if not row.shared:
            alone += rate
            where = f" on {row.piece}" if row.piece else ""
            said_alone.append(f"{words.number(rate)} more{where} for {row.label}")
        elif row.piece:
            by_piece[row.piece] = max(rate, by_piece.get(row.piece, 0.0))
        else:
            free = max(rate, free)
            said_free.append(f"{words.number(rate)} on any of them for {row.label}")
    said = [f"{piece} {words.number(n)}" for piece, n in by_piece.items()]
    return alone + max(sum(by_piece.values()), free), "; ".join([*said, *said_alone, *said_free])


def days(course: Course) -> pd.DataFrame:
    """The days of a `course` to come, those that ask the same taken together; none where no day asks anything.

    Columns: days (in words), asked (stitches a day), asks, ends (as in `Course`).
    """
    coming = course.days[course.days["asked"].notna() & (course.days["asked"].sum() > 0)]
    new = (coming["asks"] != coming["asks"].shift()) | (coming["ends"].shift() != "")
    spans = coming.groupby(new.cumsum(), sort=False)
    out = spans.agg(asked=("asked", "first"), asks=("asks", "first"), ends=("ends", "last")).reset_index(drop=True)
    first, last = (
        [words.short_day(day, year=False) for day in days] for days in (spans["date"].min(), spans["date"].max())
    )
    out.insert(0, "days", [a if a == b else f"{a} to {b}" for a, b in zip(first, last, strict=True)])
    return out


def say_course(course: Course) -> str:
    """What is asked of the period beside what usually gets done in it."""
    period = words.period(course.start, course.end)
    during = f"from {period}" if " to " in period else f"in {period}"
    last = course.days.iloc[-1]
    if pd.isna(last["usual"]):
        return f"You worked {words.count(last['worked_so_far'], 'stitch', 'stitches')} {during}."
    asked = (
        f"Spread evenly, your goals need about {_about(last['asked_so_far'])} stitches by {words.day(last['date'])}."
        if course.days["asked"].sum() > 0
        else f"No goal asks for more {during}."
    )
    return (
        f"{asked} You usually stitch about {_about(last['usual'])} in that time; four times in five it is between "
        f"{_about(last['low'])} and {_about(last['high'])}."
    )


def _about(stitches: float) -> str:
    """Two figures are all that such a number holds."""
    size = 10 ** max(0, len(str(int(max(stitches, 1)))) - 2)
    return words.number(round(stitches / size) * size)
