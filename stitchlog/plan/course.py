"""The period day by day: what is asked if it is spread evenly, and what usually gets done."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, cast

import numpy as np
import pandas as pd

from stitchlog import words
from stitchlog.diary import Diary
from stitchlog.plan.coming import coming_days

LOW, HIGH = 0.1, 0.9


def course(diary: Diary, fit: pd.DataFrame) -> pd.DataFrame:
    """Every day of the period of `fit` (a frame of `capacity`): what is asked and what usually gets done.

    Columns: date; asks (text: stitches by piece, and for events that allow any piece, if what each still needs is
    spread evenly over the days left to it); ends (text: what ends that day); asked (stitches of the day, those that
    count for several counted once; NaN up to `as_of`); then stitches since the first day, all pieces: asked_so_far,
    worked_so_far (NaN after `as_of`), low, usual, high (a tenth, half and nine tenths of the simulated courses lie
    below; NaN up to `as_of`).
    .attrs: good_day, as_of, start, end.
    """
    start, end, day = fit.attrs["start"], fit.attrs["end"], fit.attrs["as_of"]
    dates = pd.date_range(start, end, name="date")
    rows = cast(list[dict[str, Any]], fit.to_dict("records"))
    shares = [Shares() if d <= day else shares_of(rows, d) for d in dates]
    coming = dates > day
    asked = np.where(coming, [s.stitches for s in shares], np.nan)
    past = diary.sessions[(diary.sessions["date"] >= start) & (diary.sessions["date"] <= min(day, end))]
    done = past.groupby("date")["stitches"].sum().reindex(dates, fill_value=0.0).cumsum().to_numpy()
    before = float(done[-1])
    out = pd.DataFrame(
        {
            "date": dates,
            "asks": [s.said for s in shares],
            "ends": [words.listed(fit.loc[fit["ends"] == d, "label"]) for d in dates],
            "asked": asked,
            "asked_so_far": np.where(coming, before + np.nancumsum(asked), np.nan),
            "worked_so_far": np.where(coming, np.nan, done),
        }
    )
    ahead = int(coming.sum())
    futures = coming_days(diary, day, end, fit.attrs["paths"], fit.attrs["seed"])
    sums = before + futures[:, futures.shape[1] - ahead :].cumsum(axis=1)
    out[["low", "usual", "high"]] = np.nan
    out.loc[coming, ["low", "usual", "high"]] = np.quantile(sums, (LOW, 0.5, HIGH), axis=0).T
    out.attrs = {k: fit.attrs[k] for k in ("good_day", "as_of", "start", "end")}
    return out


@dataclass(frozen=True)
class Shares:
    """What one day is asked for: stitches (those that count for several counted once), and said in words."""

    stitches: float = 0.0
    said: str = ""


def shares_of(rows: list[dict[str, Any]], date: pd.Timestamp) -> Shares:
    """What the commitments (`capacity` rows) ask of one day to come, spread evenly over the days left to each."""
    by_piece: dict[str, float] = {}
    free, alone, said_alone, said_free = 0.0, 0.0, [], []
    for row in rows:
        begun = pd.isna(row["starts"]) or row["starts"] <= date
        if not (begun and row["ends"] >= date and row["per_day_needed"] > 0) or row["unit"] == "pieces":
            continue
        rate = row["per_day_needed"] * row["per_unit"]
        if not row["shared"]:
            alone += rate
            where = f" on {row['piece']}" if row["piece"] else ""
            said_alone.append(f"{_up(rate)} more{where} for {row['label']}")
        elif row["piece"]:
            by_piece[row["piece"]] = max(rate, by_piece.get(row["piece"], 0.0))
        else:
            free = max(rate, free)
            said_free.append(f"{_up(rate)} on any of them for {row['label']}")
    said = [f"{piece} {_up(n)}" for piece, n in by_piece.items()]
    return Shares(alone + max(sum(by_piece.values()), free), "; ".join([*said, *said_alone, *said_free]))


def spans(frame: pd.DataFrame) -> pd.DataFrame:
    """The days of a `course` to come, those that ask the same taken together.

    Columns: from, to, days (how many), asked (stitches a day), asks, ends (as in `course`).
    """
    coming = frame[frame["asked"].notna()]
    new = (coming["asks"] != coming["asks"].shift()) | (coming["ends"].shift() != "")
    grouped = coming.groupby(new.cumsum(), sort=False)
    return grouped.agg(
        **{
            "from": ("date", "first"),
            "to": ("date", "last"),
            "days": ("date", "size"),
            "asked": ("asked", "first"),
            "asks": ("asks", "first"),
            "ends": ("ends", "last"),
        }
    ).reset_index(drop=True)


def say_course(frame: pd.DataFrame) -> str:
    """What is asked of the period beside what usually gets done in it."""
    if frame.empty:
        return "There is no day to look at."
    period = words.period(frame.attrs["start"], frame.attrs["end"])
    last = frame.iloc[-1]
    if pd.isna(last["usual"]):
        stitches = words.count(last["worked_so_far"], "stitch", "stitches")
        return f"{stitches} {'was' if round(last['worked_so_far']) == 1 else 'were'} worked {_during(period)}."
    usual = (
        f"usually {_about(last['usual'])} stitches get done by then, and four times in five between "
        f"{_about(last['low'])} and {_about(last['high'])}"
    )
    if not last["asked_so_far"] > np.nan_to_num(frame["worked_so_far"].max()):
        return f"Nothing more is asked {_during(period)}; {usual}."
    asked, by = _about(last["asked_so_far"]), words.day(last["date"])
    return f"Spread evenly, the promises come to {asked} stitches by {by}; {usual}."


def _up(n: float) -> str:
    return words.number(np.ceil(n))


def _during(period: str) -> str:
    return f"from {period}" if " to " in period else f"in {period}"


def _about(stitches: float) -> str:
    """Two figures are all that such a number holds."""
    size = 10 ** max(0, len(str(int(max(stitches, 1)))) - 2)
    return words.number(round(stitches / size) * size)
