"""The days of a period: what each one brought, how they add up, and how they follow each other."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd

from stitchlog import words
from stitchlog.diary import Diary
from stitchlog.review.period import ONE_DAY, Period, bounds

# Up to so many weeks a calendar has room for numbers in its days.
WEEKS_WITH_MARKS = 10
WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")


def calendar(diary: Diary, start: Any, end: Any) -> pd.DataFrame:
    """A row a day from `start` to `end` (both included), days without a session too.

    Columns: date; stitches (net); sessions; minutes (NaN where none was timed); pieces (their names, in the order of
    the day, '; ' between); marks (the same as their numbers in the period's running order, '1 3'); week (first day of
    the week that the day is in, by the diary's `week_start`); weekday (0 for that first day, up to 6); day (of the
    month); best (the day of the period with most stitches; False everywhere where none has any); estimated (some of
    it is).
    """
    span = bounds(start, end)
    rows = diary.sessions[diary.sessions["date"].between(span.start, span.end)]
    order = {piece: str(i + 1) for i, piece in enumerate(rows["piece"].drop_duplicates())}
    by = rows.groupby("date")
    out = by.agg(stitches=("stitches", "sum"), sessions=("stitches", "size"), estimated=("estimated", "any"))
    out["minutes"] = by["minutes"].sum(min_count=1)
    touched = rows.drop_duplicates(["date", "piece"])
    out["pieces"] = touched.groupby("date")["piece"].agg("; ".join)
    out["marks"] = touched["piece"].map(order).groupby(touched["date"]).agg(lambda m: " ".join(sorted(m, key=int)))
    out = out.reindex(span.days)
    out = out.assign(
        stitches=out["stitches"].astype(float).fillna(0.0),
        sessions=out["sessions"].fillna(0).astype(int),
        estimated=out["estimated"].fillna(False).astype(bool),
        minutes=out["minutes"].astype(float),
        pieces=out["pieces"].fillna("").astype(str),
        marks=out["marks"].fillna("").astype(str),
    ).reset_index()
    first = WEEKDAYS.index(diary.settings.week_start.lower()) if diary.settings.week_start.lower() in WEEKDAYS else 0
    out["weekday"] = (out["date"].dt.day_of_week - first) % 7
    out["week"] = out["date"] - pd.to_timedelta(out["weekday"], unit="D")
    out["day"] = out["date"].dt.day
    most = out["stitches"].max() if len(out) else 0.0
    out["best"] = (out["stitches"] == most) & (most > 0) & ~out["stitches"].duplicated()
    columns = [
        "date",
        "stitches",
        "sessions",
        "minutes",
        "pieces",
        "marks",
        "week",
        "weekday",
        "day",
        "best",
        "estimated",
    ]
    return out[columns]


def running(diary: Diary, start: Any, end: Any) -> pd.DataFrame:
    """The running total of the period, and of the one before it, day by day.

    Columns: which ('this' or 'before'); period (its name); date; day (1 for the first of its period); stitches (of the
    day); total (since its first day). The period before is left out where the diary begins after its first tenth, since
    the two would not be held against each other fairly.
    """
    span = bounds(start, end)
    parts = [_running(diary, span, "this")]
    if span.length and diary.first_day <= span.before.start + span.before.length // 10 * ONE_DAY:
        parts.append(_running(diary, span.before, "before"))
    return pd.concat(parts, ignore_index=True)


def _running(diary: Diary, span: Period, which: str) -> pd.DataFrame:
    days = diary.sessions.groupby("date")["stitches"].sum().reindex(span.days, fill_value=0.0).astype(float)
    out = days.rename("stitches").rename_axis("date").reset_index()
    out["day"] = np.arange(1, len(out) + 1)
    out["total"] = out["stitches"].cumsum()
    return out.assign(which=which, period=span.name)[["which", "period", "date", "day", "stitches", "total"]]


def compared(diary: Diary, start: Any, end: Any) -> pd.DataFrame:
    """The period beside the one before it and the same one a year earlier: three rows.

    Columns: which ('this', 'before', 'year before'); period (its name); start, end; length (days); stitches; sessions;
    days (with a session); minutes (NaN where none was timed); timed (sessions); pieces; estimated (sessions); covered
    (the diary reaches back to it: 'whole', 'part', 'none').
    """
    span = bounds(start, end)
    rows = []
    for which, one in (("this", span), ("before", span.before), ("year before", span.year_before)):
        seen = diary.sessions[diary.sessions["date"].between(one.start, one.end)]
        covered = "whole" if diary.first_day <= one.start else "part" if diary.first_day <= one.end else "none"
        rows.append(
            {
                "which": which,
                "period": one.name,
                "start": one.start,
                "end": one.end,
                "length": one.length,
                "stitches": seen["stitches"].sum(),
                "sessions": len(seen),
                "days": seen["date"].nunique(),
                "minutes": seen["minutes"].sum(min_count=1),
                "timed": seen["minutes"].count(),
                "pieces": seen["piece"].nunique(),
                "estimated": int(seen["estimated"].sum()),
                "covered": covered,
            }
        )
    return pd.DataFrame(rows).astype({"start": "datetime64[us]", "end": "datetime64[us]", "minutes": "float64"})


@dataclass(frozen=True)
class Streaks:
    """Runs of days in a period. Lengths in days; the days are NaT where there is no such run.

    run, run_start, run_end: the longest run of days with a session (the first of equals). rest, rest_start, rest_end:
    the longest run without one. active: days with a session. length: days of the period.
    """

    run: int
    run_start: pd.Timestamp
    run_end: pd.Timestamp
    rest: int
    rest_start: pd.Timestamp
    rest_end: pd.Timestamp
    active: int
    length: int


def streaks(diary: Diary, start: Any, end: Any) -> Streaks:
    """The longest run of stitching days and the longest rest, inside the period alone."""
    days = calendar(diary, start, end).set_index("date")["sessions"] > 0
    run = _longest(days)
    rest = _longest(~days)
    return Streaks(*run, *rest, active=int(days.sum()), length=len(days))


def _longest(days: pd.Series) -> tuple[int, pd.Timestamp, pd.Timestamp]:
    if not days.any():
        return 0, pd.NaT, pd.NaT
    runs = (days != days.shift()).cumsum()[days]
    sizes = runs.value_counts(sort=False)
    longest = runs.index[runs == sizes.idxmax()]
    return len(longest), longest[0], longest[-1]


def say_compared(frame: pd.DataFrame) -> str:
    """What the period was, and what the one before it and the same one a year earlier were (frame of `compared`)."""
    this = frame.iloc[0]
    span = Period(this["start"], this["end"])
    if span.length == 0:
        return "The diary has no session yet. The first one written down will be the beginning of this page."
    if this["sessions"] == 0:
        first = f"No session is written down for {span.name}. The pieces have waited, and nothing is lost."
    else:
        first = (
            f"{span.within}: {say_net(this['stitches'])} on "
            f"{words.count(this['pieces'], 'piece')}, in {words.count(this['sessions'], 'session')} on "
            f"{this['days']} of {words.count(span.length, 'day')}{say_time(this)}."
        )
    # For a whole year the period before and the same one a year earlier are one.
    others = [_say_other(row) for row in frame.iloc[1:].drop_duplicates("period").to_dict("records")]
    return " ".join([first, _say_estimated(this), *(o for o in others if o)]).replace("  ", " ")


def _say_estimated(row: Any) -> str:
    if not row["estimated"]:
        return ""
    return f"The stitches of {words.count(row['estimated'], 'session')} are estimated from minutes."


def say_net(stitches: float) -> str:
    """A net count of stitches, also where more came out than went in.

    >>> say_net(1), say_net(0.2), say_net(-44)
    ('1 stitch', 'no full stitches', '44 stitches fewer')
    """
    count = round(stitches)
    if count == 0:
        return "no full stitches"
    return words.count(count, "stitch", "stitches") if count > 0 else f"{say_net(-count)} fewer"


def say_time(row: Any) -> str:
    """', 12 h 30 min at the needle', and in how many sessions where not all were timed; '' where none was."""
    if row["timed"] == 0 or pd.isna(row["minutes"]):
        return ""
    if row["timed"] == row["sessions"]:
        return f", {words.duration(row['minutes'])} at the needle"
    return f", {words.duration(row['minutes'])} timed in {row['timed']} of them"


def _say_other(row: dict[str, Any]) -> str:
    if row["covered"] == "none":
        return "" if row["which"] == "before" else f"The diary does not reach back to {row['period']}."
    begun = " (as far as the diary reaches back)" if row["covered"] == "part" else ""
    if row["sessions"] == 0:
        return f"{row['period']} was without a session{begun}."
    return f"{row['period']} came to {say_net(row['stitches'])} on {words.count(row['days'], 'day')}{begun}."


def say_calendar(frame: pd.DataFrame) -> str:
    """On how many days there was a session, and which was the best (frame of `calendar`)."""
    active = int((frame["sessions"] > 0).sum())
    if active == 0:
        return "No day of this period has a session: a rest for needle and hands."
    text = f"There was a needle in hand on {active} of {words.count(len(frame), 'day')}"
    best = frame[frame["best"]]
    if best.empty:
        return f"{text}."
    row = best.iloc[0]
    return (
        f"{text}; the best day was {words.weekday(row['date'])} {words.day(row['date'], year=False)}, with "
        f"{words.count(row['stitches'], 'stitch', 'stitches')}."
    )


def say_running(frame: pd.DataFrame) -> str:
    """Where the running total came to, against the period before (frame of `running`)."""
    this, before = (frame[frame["which"] == w] for w in ("this", "before"))
    if this.empty:
        return "There is no running total yet."
    end = this["total"].iloc[-1]
    text = f"{this['period'].iloc[0]} came to {words.count(end, 'stitch', 'stitches')}"
    if before.empty:
        return f"{text}; the diary does not reach back far enough to hold the period before against it."
    gap = end - before["total"].iloc[-1]
    if round(gap) == 0:
        return f"{text}, as many as {before['period'].iloc[0]}."
    return f"{text}, {words.number(abs(gap))} {'more' if gap > 0 else 'fewer'} than {before['period'].iloc[0]}."


def say_streaks(found: Streaks) -> str:
    """The longest run and the longest rest, told as they are."""
    if found.active == 0:
        return ""
    if found.run == 1:
        text = "No two stitching days followed each other"
    else:
        text = f"The longest run was {words.count(found.run, 'day')}, {words.period(found.run_start, found.run_end)}"
    if found.rest == 0:
        return f"{text}: every day of the period had a session."
    if found.rest == 1:
        return f"{text}; no rest was longer than a day."
    rested = words.period(found.rest_start, found.rest_end)
    return f"{text}; the longest rest was {words.count(found.rest, 'day')}, {rested}."
