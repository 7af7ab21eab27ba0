"""The days of a period: what each one brought, how they add up, and how they follow each other."""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd

from stitchlog import words
from stitchlog.diary.diary import Diary
from stitchlog.diary.frames import each_record
from stitchlog.diary.settings import WEEKDAYS
from stitchlog.model.period import ONE_DAY, Period, bounds

# Up to so many weeks a calendar has room for numbers in its days.
WEEKS_WITH_MARKS = 10


def calendar(diary: Diary, start: Any, end: Any) -> pd.DataFrame:
    """A row a day from `start` to `end` (both included), days without a session too.

    Columns: date; stitches (net); sessions; estimated (some of it is); pieces (their names, in the order of the day,
    '; ' between); marks (the same as their numbers in the period's running order, '1 3'); weekday (0 for the first day
    of the week, by the diary's `week_start`, up to 6); week (that first day); day (of the month); told (the diary has
    begun by then and is seen from there or later, so that a day without a session is one); best (the day of the
    period with most stitches; False everywhere where none has any).
    """
    span = bounds(start, end)
    rows = diary.sessions[diary.sessions["date"].between(span.start, span.end)]
    out = rows.groupby("date").agg(
        stitches=("stitches", "sum"), sessions=("stitches", "size"), estimated=("estimated", "sum")
    )
    out = out.reindex(span.days, fill_value=0).astype({"stitches": float, "estimated": bool})
    touched = rows.drop_duplicates(["date", "piece"])
    touched = touched.assign(mark=pd.factorize(touched["piece"])[0] + 1)
    marks = touched.sort_values("mark", kind="stable").astype({"mark": str}).groupby("date")["mark"]
    out["pieces"] = touched.groupby("date")["piece"].agg("; ".join).reindex(out.index, fill_value="")
    out["marks"] = marks.agg(" ".join).reindex(out.index, fill_value="")
    out = out.reset_index()
    out["weekday"] = (out["date"].dt.day_of_week - WEEKDAYS.index(diary.settings.week_start)) % 7
    out["week"] = out["date"] - pd.to_timedelta(out["weekday"], unit="D")
    out["day"] = out["date"].dt.day
    out["told"] = (out["date"] >= diary.first_day) & ~(out["date"] > (pd.NaT if diary.day is None else diary.day))
    out["best"] = (out["stitches"] == out["stitches"].max()) & (out["stitches"] > 0) & ~out["stitches"].duplicated()
    return out


def running(diary: Diary, start: Any, end: Any) -> pd.DataFrame:
    """The running total of the period, and of the one before it, day by day.

    Columns: which ('this' or 'before'); period (its name); date; day (1 for the first of its period); stitches (of the
    day); total (since its first day). The period before is left out where the diary begins after its first tenth, since
    the two would not be held against each other fairly.
    """
    span = bounds(start, end)
    if not begun(diary, span):
        span = bounds(None, None)
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
    (the diary reaches back to it: 'whole', 'part', 'none'); begun (it is not all still to come).
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
                "estimated": seen["estimated"].sum(),
                "covered": covered,
                "begun": begun(diary, one),
            }
        )
    return pd.DataFrame(rows).astype({"start": "datetime64[us]", "end": "datetime64[us]", "minutes": "float64"})


def begun(diary: Diary, span: Period) -> bool:
    """Whether the period has a day by the one that the diary is seen at."""
    return diary.day is None or not span.start > diary.day


def say_compared(frame: pd.DataFrame) -> str:
    """What the period was, and what the one before it and the same one a year earlier were (frame of `compared`)."""
    this = frame.iloc[0]
    span = Period(this["start"], this["end"])
    if span.length == 0:
        return "The diary has no session yet. The first one written down will be the beginning of this page."
    if not this["begun"]:
        return f"{span.name} has not begun yet."
    if this["sessions"] == 0:
        first = f"No session is written down for {span.name}. The pieces are where they were, and nothing is lost."
    else:
        first = (
            f"{words.within(span.start, span.end)}: {say_net(this['stitches'])} on "
            f"{words.count(this['pieces'], 'piece')}, in {words.count(this['sessions'], 'session')} on "
            f"{this['days']} of {words.count(span.length, 'day')}{say_time(this)}."
        )
    # For a whole year the period before and the same one a year earlier are one.
    others = [_say_other(row) for row in each_record(frame.iloc[1:].drop_duplicates("period"))]
    sessions = words.count(this["estimated"], "session")
    estimated = f"The stitches of {sessions} are estimated from minutes." if this["estimated"] else ""
    return " ".join(text for text in (first, estimated, *others) if text)


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
        return "No day of this period has a session." if len(frame) == 0 or frame["told"].any() else ""
    text = f"You stitched on {active} of {words.count(len(frame), 'day')}"
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
    # The gap between the totals as they are written, so that a reader who subtracts finds the same.
    gap = round(end) - round(before["total"].iloc[-1])
    if gap == 0:
        return f"{text}, as many as {before['period'].iloc[0]}."
    return f"{text}, {words.number(abs(gap))} {'more' if gap > 0 else 'fewer'} than {before['period'].iloc[0]}."


def say_streaks(frame: pd.DataFrame) -> str:
    """The longest streak of stitching days and the longest break of the period (frame of `calendar`).

    Days before the diary's first session and days to come are no break.
    """
    days = frame[frame["told"]].set_index("date")["sessions"] > 0
    run, rest = longest(days), longest(~days)
    if run.empty or len(days) == 1:
        return ""
    if len(run) == 1:
        text = "No two stitching days followed each other"
    else:
        text = f"Longest streak: {words.count(len(run), 'day')}, {words.period(run[0], run[-1])}"
    if rest.empty:
        return f"{text}. You stitched every day."
    if len(rest) == 1:
        return f"{text}. You never missed two days running."
    return f"{text}. Longest break: {words.count(len(rest), 'day')}, {words.period(rest[0], rest[-1])}."


def longest(days: pd.Series) -> pd.Index:
    """The longest run of days that are True, the first of equals; none where no day is."""
    runs = (days != days.shift()).cumsum()[days]
    return runs.index[runs == runs.value_counts(sort=False).idxmax()] if len(runs) else runs.index
