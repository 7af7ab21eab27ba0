"""A longer period side by side: its months, its records, its finishes, and the thread that went into it."""

from __future__ import annotations

import math
from typing import Any

import pandas as pd

from stitchlog import words
from stitchlog.diary.diary import Diary
from stitchlog.diary.frames import each_record
from stitchlog.model import pictures, thread_use
from stitchlog.model.period import Period, bounds
from stitchlog.reports.review.days import longest
from stitchlog.reports.review.standing import flow

# A period of more days than this is told month by month.
LONG = 100
MONTHS_HEADINGS = {
    "month": "month",
    "stitches": "stitches",
    "days": "days",
    "minutes": "time",
    "pieces": "pieces",
    "starts": "started",
    "finishes": "finished",
}
_USUAL_STRANDS = 2.0


def year_of(period: Period) -> Period:
    """The days of the year that a period ends in, up to its end: the whole year, or the year so far."""
    return bounds(period.end.replace(month=1, day=1), period.end) if period.length else period


def months(diary: Diary, start: Any, end: Any) -> pd.DataFrame:
    """The months of a period side by side, a row each, those before the diary began left out.

    Columns: month (its first day); stitches; sessions; days (with a session); minutes (NaN where none was timed);
    pieces (that had a session); starts; finishes; on_the_go (at its end, or at `end`).
    """
    span = bounds(start, end)
    rows = diary.sessions[diary.sessions["date"].between(span.start, span.end)]
    by = rows.groupby(rows["date"].dt.to_period("M").dt.start_time.astype("datetime64[us]"))
    worked = by.agg(
        stitches=("stitches", "sum"),
        sessions=("stitches", "size"),
        days=("date", "nunique"),
        pieces=("piece", "nunique"),
    ).assign(minutes=by["minutes"].sum(min_count=1))
    moved = flow(diary, span.start, span.end)
    moved = (
        moved[moved["month"] >= span.start.replace(day=1)].set_index("month")
        if span.length
        else moved.set_index("month")
    )
    worked = worked.reindex(moved.index).fillna({"stitches": 0.0, "sessions": 0, "days": 0, "pieces": 0})
    out = worked.join(moved).reset_index().astype({"sessions": "int64", "days": "int64", "pieces": "int64"})
    columns = ["month", "stitches", "sessions", "days", "minutes", "pieces", "starts", "finishes", "on_the_go"]
    return out[columns]


def records(diary: Diary, start: Any, end: Any) -> pd.DataFrame:
    """The records of a period: its best day and month, longest streak and longest session, where there are any.

    Columns: record ('day', 'month', 'streak', 'session'); value; unit ('stitches', 'days', 'minutes'); first, last (its
    days); piece ('' where it is of no single piece).
    """
    span = bounds(start, end)
    rows = diary.sessions[diary.sessions["date"].between(span.start, span.end)]
    found: list[tuple[str, float, str, Any, Any, str]] = []
    if len(rows):
        by_day = rows.groupby("date")["stitches"].sum()
        day = by_day.index[int(by_day.argmax())]
        found.append(("day", by_day.max(), "stitches", day, day, ""))
        by_month = rows.groupby(rows["date"].dt.to_period("M"))["stitches"].sum()
        if len(by_month) > 1:
            best: Any = by_month.index[int(by_month.argmax())]
            found.append(("month", by_month.max(), "stitches", best.start_time, best.end_time.normalize(), ""))
        run = longest(pd.Series(span.days.isin(rows["date"]), index=span.days))
        found.append(("streak", float(len(run)), "days", run[0], run[-1], ""))
        if (timed := rows[rows["minutes"] > 0]).size:
            row = timed.iloc[timed["minutes"].argmax()]
            found.append(("session", row["minutes"], "minutes", row["date"], row["date"], row["piece"]))
    columns = ["record", "value", "unit", "first", "last", "piece"]
    return pd.DataFrame(found, columns=columns).astype(
        {"value": float, "first": "datetime64[us]", "last": "datetime64[us]"}
    )


def finishes(diary: Diary, start: Any, end: Any) -> pd.DataFrame:
    """The finishes of a period, in their order, each with its last picture.

    Columns: piece; began, finished (days; began NaT where unknown); stitches (of the whole piece); days (from the start
    to the finish, NaN where the start is unknown); made_up (the day, NaT: not by then); photo, photo_date (the last
    picture of it, '' where there is none).
    """
    span = bounds(start, end)
    now, old = diary.standing(span.end), diary.standing(span.eve).set_index("piece")["finished"]
    here = now[now["finished"].between(span.start, span.end) & old.reindex(now["piece"]).isna().to_numpy()]
    out = here.sort_values("finished", kind="stable").rename(columns={"done": "stitches"})
    out["days"] = (out["finished"] - out["began"]).dt.days.astype(float)
    made_up = diary.pieces.set_index("piece")["made_up"]
    out["made_up"] = made_up.where(made_up <= span.end).reindex(out["piece"]).to_numpy()
    seen = pictures.of(diary).dropna(subset="date").drop_duplicates("piece", keep="last").set_index("piece")
    out["photo"] = seen["path"].reindex(out["piece"]).fillna("").to_numpy()
    out["photo_date"] = seen["date"].reindex(out["piece"]).to_numpy()
    columns = ["piece", "began", "finished", "stitches", "days", "made_up", "photo", "photo_date"]
    return out[columns].reset_index(drop=True)


def thread_metres(diary: Diary, start: Any, end: Any) -> float:
    """Metres of strand in the stitches of a period, without tails and waste (NaN where no fabric count is known)."""
    span = bounds(start, end)
    rows = diary.sessions[diary.sessions["date"].between(span.start, span.end)]
    worked = rows.groupby("piece")["stitches"].sum().clip(lower=0.0)
    metres = math.nan
    for row in each_record(diary.pieces[diary.pieces["count"] > 0]):
        if worked.get(row["piece"], 0.0) > 0:
            over = row["over"] if row["over"] > 0 else 1.0
            strands = row["strands"] if row["strands"] > 0 else _USUAL_STRANDS
            cm = thread_use.cm_per_stitch(row["count"], over, diary.settings.method)
            metres = (0.0 if math.isnan(metres) else metres) + worked[row["piece"]] * cm * strands / 100
    return metres


def say_months(frame: pd.DataFrame, period: Period) -> str:
    """How the months of a period compare, starts against finishes, and the hours (frame of `months`)."""
    if frame.empty or not frame["sessions"].any():
        return ""
    best, least = frame.iloc[frame["stitches"].argmax()], frame.iloc[frame["stitches"].argmin()]
    name = period.name if period.months >= 12 else f"{period.end.year} so far"
    hours = frame["minutes"].sum()
    time = f" and {words.number(hours / 60)} hours" if hours >= 60 else ""
    total = words.count(frame["stitches"].sum(), "stitch", "stitches")
    text = f"{name}: {total}{time} over {words.count(frame['days'].sum(), 'day')}."
    if len(frame) > 1:
        text += (
            f" {words.month(best['month'], year=False)} was the biggest month, with {words.number(best['stitches'])}; "
            f"{words.month(least['month'], year=False)} the smallest, with {words.number(least['stitches'])}."
        )
    starts, done = int(frame["starts"].sum()), int(frame["finishes"].sum())
    return f"{text} {words.count(starts, 'start')} against {words.count(done, 'finish', 'finishes')}."


def say_records(frame: pd.DataFrame, metres: float = math.nan) -> str:
    """The records of a period in sentences, and the thread that went into it (frame of `records`)."""
    said = []
    for row in each_record(frame):
        day = words.day(row["first"], year=False)
        if row["record"] == "day":
            said.append(f"Best day: {day}, {words.count(row['value'], 'stitch', 'stitches')}.")
        elif row["record"] == "streak" and row["value"] > 1:
            said.append(f"Longest streak: {words.count(row['value'], 'day')}, to {words.day(row['last'], year=False)}.")
        elif row["record"] == "session":
            said.append(f"Longest session: {words.duration(row['value'])} on {row['piece']}, {day}.")
    if metres >= 1:
        said.append(f"About {words.number(_round(metres))} metres of strand went into it.")
    return " ".join(said)


def _round(value: float) -> float:
    """To two figures, as one would say it."""
    unit = 10 ** max(0, math.floor(math.log10(value)) - 1)
    return float(round(value / unit) * unit)
