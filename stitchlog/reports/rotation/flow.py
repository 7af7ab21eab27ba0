"""Works in progress over time, and how often you change pieces."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import pandas as pd

from stitchlog import words
from stitchlog.diary.diary import Day, Diary
from stitchlog.diary.frames import each_row
from stitchlog.diary.settings import WEEKDAYS
from stitchlog.reports.rotation.shares import period


@dataclass(frozen=True)
class Switches:
    """How often you changed pieces.

    months: columns month (its first day), sessions, pieces (different ones), switches (sessions on another piece than
    the session before, the last one of the month before included). total, sessions: of the whole period. usual_run:
    median of sessions in a row on one piece (NaN where there are none).
    """

    months: pd.DataFrame
    total: int
    sessions: int
    usual_run: float


def switches(diary: Diary, start: Day | None = None, end: Day | None = None) -> Switches:
    """How often you changed pieces from `start` to `end`, month by month."""
    rows = diary.sessions[diary.sessions["date"].between(*period(diary, start, end))]
    changed = (rows["piece"] != rows["piece"].shift()) & rows["piece"].shift().notna()
    by = rows.assign(changed=changed).groupby(rows["date"].dt.to_period("M").dt.to_timestamp())
    months = by.agg(sessions=("piece", "size"), pieces=("piece", "nunique"), switches=("changed", "sum"))
    usual_run = rows.groupby(changed.cumsum()).size().median()
    return Switches(months.rename_axis("month").reset_index(), int(changed.sum()), len(rows), float(usual_run))


def say_switches(found: Switches) -> str:
    """What `switches` shows, in a sentence."""
    if found.sessions < 2:
        return "There are too few sessions to say how often you change pieces."
    return (
        f"You changed pieces {words.count(found.total, 'time')} in {words.count(found.sessions, 'session')}, and "
        f"usually stay with one for {words.count(found.usual_run, 'session')}."
    )


@dataclass(frozen=True)
class InProgress:
    """Works in progress over time.

    stretches: every piece that was in progress at some time of the period, as stretches and days for a strip chart.
    Columns: piece; what ("on the go" and "set aside": stretches; "worked": a week with a session; "began", "put aside",
    "picked up", "finished": days); since, until (days, both within the period; the same for a day); order (0 for the
    piece that began first). A piece begun before the diary opens the strip at `start`, without a "began" day.
    before, now: works in progress the day before `start` and at the end of `end`.
    """

    stretches: pd.DataFrame
    start: pd.Timestamp
    end: pd.Timestamp
    before: int
    now: int


def in_progress(diary: Diary, start: Day | None = None, end: Day | None = None) -> InProgress:
    """Works in progress from `start` to `end`."""
    first, last = period(diary, start, end)
    then = diary.at(last)
    standing = then.standing()
    sessions = then.sessions[["piece", "date"]]
    aside = then.pieces.set_index("piece")["set_aside"]
    written = aside.reindex(sessions["piece"]).to_numpy()
    back = sessions[sessions["date"] > written].groupby("piece")["date"].min()
    parts = [
        _stretches(piece, aside[piece.piece], back.get(piece.piece, pd.NaT), first, last)
        for piece in each_row(standing[standing["status"] != "not begun"])
    ]
    stretches = pd.DataFrame([row for part in parts for row in part], columns=["piece", "what", "since", "until"])
    out = pd.concat([stretches, _weeks(sessions, first, last, diary.settings.week_start)], ignore_index=True)
    out = out[out["piece"].isin(stretches["piece"])].astype({"since": "datetime64[us]", "until": "datetime64[us]"})
    # The piece that began first has the smallest first day; of equals the first by name.
    opens = out.groupby("piece")["since"].min().sort_values(kind="stable")
    out["order"] = out["piece"].map(pd.Series(range(len(opens)), index=opens.index))
    out = out.sort_values(["order", "since"], kind="stable").reset_index(drop=True)
    earlier = diary.standing(first - pd.Timedelta(days=1)) if pd.notna(first) else standing
    before, now = (int((s["status"] == "on the go").sum()) for s in (earlier, standing))
    return InProgress(out, first, last, before, now)


def strip(frame: pd.DataFrame, most: int = 7) -> pd.DataFrame:
    """The stretches of `in_progress` for a chart: the `most` pieces worked in most weeks, the others as one row.

    Columns as there, and mark ('' for stretches, else what happened on the day).
    """
    days = ~frame["what"].isin(["on the go", "set aside", "worked"])
    frame = frame.assign(mark=frame["what"].where(days, ""))
    weeks = (frame["what"] == "worked").groupby(frame["piece"]).sum().sort_values(ascending=False, kind="stable")
    if len(weeks) <= most:
        return frame
    others = frame["piece"].isin(weeks.index[most - 1 :])
    # Of the others only the weeks are drawn: their days, one over the other, could not be told apart.
    rest = frame[others & (frame["what"] == "worked")].drop_duplicates(["since", "until"])
    name = f"{words.number(len(weeks) - most + 1)} other pieces"
    return pd.concat([frame[~others], rest.assign(piece=name, order=len(weeks))], ignore_index=True)


def say_in_progress(found: InProgress) -> str:
    """How many works in progress there were when the period opened and when it closed, and what changed."""
    if pd.isna(found.end):
        return "You have no works in progress: the diary holds no session yet."
    what = found.stretches["what"].value_counts()
    changes = [
        f"{words.number(what[kind])} {text}"
        for kind, text in (("began", "begun"), ("finished", "finished"), ("put aside", "set aside"))
        if what.get(kind, 0)
    ]
    between = f" In between: {words.listed(changes)}." if changes else ""
    return (
        f"On {words.day(found.end)} you had {words.count(found.now, 'work', 'works')} in progress (WIPs), "
        f"up from {words.number(found.before)} before {words.day(found.start)}.{between}"
        if found.now > found.before
        else f"On {words.day(found.end)} you had {words.count(found.now, 'work', 'works')} in progress (WIPs); "
        f"before {words.day(found.start)} it was {words.number(found.before)}.{between}"
    )


def _stretches(
    piece: Any, aside: pd.Timestamp, back: pd.Timestamp, first: pd.Timestamp, last: pd.Timestamp
) -> list[tuple[str, str, pd.Timestamp, pd.Timestamp]]:
    """A row of `Diary.standing` as rows of `InProgress.stretches`, weeks left out; none outside the period.

    aside: the day a piece was set aside; back: the day of its first session after that (either may be missing).
    """
    opens = min(d for d in (piece.began, piece.first_session, last) if pd.notna(d))
    closes = piece.finished if pd.notna(piece.finished) else last
    if pd.notna(aside) and opens <= aside <= closes:
        rest = back if pd.notna(back) else closes
        told = [("on the go", opens, aside), ("set aside", aside, rest), ("put aside", aside, aside)]
        told += [("on the go", back, closes), ("picked up", back, back)] if pd.notna(back) else []
    else:
        told = [("on the go", opens, closes)]
    told += [("began", piece.began, piece.began), ("finished", piece.finished, piece.finished)]
    return [
        (piece.piece, what, max(since, first), until)
        for what, since, until in told
        if until >= first and (what != "began" or since >= first)
    ]


def _weeks(sessions: pd.DataFrame, first: pd.Timestamp, last: pd.Timestamp, week_start: str) -> pd.DataFrame:
    """The weeks, from `week_start` on, in which each piece was worked, cut off at the ends of the period."""
    days = sessions[sessions["date"] >= first]
    since = (days["date"].dt.day_of_week - WEEKDAYS.index(week_start)) % 7
    weeks = (
        days.assign(date=days["date"] - pd.to_timedelta(since, unit="D"))
        .drop_duplicates()
        .rename(columns={"date": "since"})
    )
    until = weeks["since"] + pd.Timedelta(days=6)
    return weeks.assign(
        what="worked", until=until.where(until < last, last), since=weeks["since"].where(weeks["since"] > first, first)
    )
