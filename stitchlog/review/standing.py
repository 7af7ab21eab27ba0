"""What began, what was finished, what is on the go, and what waited."""

from __future__ import annotations

from typing import Any

import pandas as pd

from stitchlog import words
from stitchlog.diary import Diary
from stitchlog.names import key_of
from stitchlog.review.period import ONE_DAY, Period, bounds


def changes(diary: Diary, start: Any, end: Any) -> pd.DataFrame:
    """What was started, finished and set aside between two days (both included), with a session there or without.

    Columns: date; piece; change ('started', 'finished', 'set aside'); in the order of the days. A piece that already
    stood as finished the day before `start` does not finish again.
    """
    span = bounds(start, end)
    return _between(diary.standing(span.start - ONE_DAY if span.length else span.start), diary.standing(span.end), span)


def _within(days: pd.Series, span: Period) -> pd.Series:
    return (days >= span.start) & (days <= span.end)


def _between(old: pd.DataFrame, new: pd.DataFrame, span: Period) -> pd.DataFrame:
    finished = new["finished"].where(old["finished"].isna())
    parts = []
    for change, days in (("started", new["began"]), ("finished", finished), ("set aside", new["set_aside"])):
        here = _within(days, span)
        parts.append(pd.DataFrame({"date": days[here], "piece": new.loc[here, "piece"], "change": change}))
    return pd.concat(parts).sort_values("date", kind="stable").reset_index(drop=True)


def flow(diary: Diary, start: Any, end: Any) -> pd.DataFrame:
    """Starts, finishes and pieces on the go, month by month: the period's months, or the twelve up to its end.

    Columns: month (its first day); starts; finishes; on_the_go (at the end of the month, or of `end` where the month
    goes on after it); in_period (whether the month has a day of the period). Months before the diary began are left
    out.
    """
    span = bounds(start, end)
    columns = {
        "month": "datetime64[us]",
        "starts": "int64",
        "finishes": "int64",
        "on_the_go": "int64",
        "in_period": "bool",
    }
    if span.length == 0 or pd.isna(diary.first_day):
        return pd.DataFrame({c: pd.Series(dtype=t) for c, t in columns.items()})
    last = span.end.replace(day=1)
    first = min(span.start.replace(day=1), last - pd.DateOffset(months=11))
    first = min(max(first, diary.first_day.replace(day=1)), last)
    rows = []
    old = diary.standing(first - ONE_DAY)
    for month in pd.date_range(first, last, freq="MS", unit="us"):
        whole = Period(month, month + pd.offsets.MonthEnd(0))
        shown = Period(month, min(whole.end, span.end))
        now = diary.standing(shown.end)
        rows.append(
            {
                "month": month,
                "starts": int(_within(now["began"], shown).sum()),
                "finishes": int((_within(now["finished"], shown) & old["finished"].isna()).sum()),
                "on_the_go": int((now["status"] == "on the go").sum()),
                "in_period": whole.end >= span.start,
            }
        )
        old = now
    return pd.DataFrame(rows).astype(columns)


UNTOUCHED_HEADINGS = {
    "piece": "piece",
    "last_session": "last session",
    "share": "done",
    "planned": "planned as",
}


def untouched(diary: Diary, start: Any, end: Any) -> pd.DataFrame:
    """Pieces that were on the go (or meant to be) in the period and had no session there.

    Columns: piece; last_session (NaT where none is written down); days_since (from that to the end of the period, NaN
    where none); share (of its total); planned (why it was meant to be worked on, in words; '' where nothing says so).
    Planned ones come first, then the longest waiting. Pieces finished or set aside before the period are not among
    them.
    """
    span = bounds(start, end)
    now = diary.standing(span.end)
    old = diary.standing(span.start - ONE_DAY if span.length else span.start)
    worked = set(diary.sessions.loc[diary.sessions["date"].between(span.start, span.end), "piece"])
    out = now.assign(
        planned=[_planned(diary, row, span) for row in diary.pieces.to_dict("records")],
        days_since=(span.end - now["last_session"]).dt.days,
    )
    begun = (now["status"] == "on the go") | ((now["status"] == "not begun") & (out["planned"] != ""))
    out = out[begun & ~now["piece"].isin(worked) & (old["status"] != "finished")]
    out = out.assign(unplanned=out["planned"] == "")
    out = out.sort_values(["unplanned", "days_since"], ascending=[True, False], kind="stable")
    return out[["piece", "last_session", "days_since", "share", "planned"]].reset_index(drop=True)


def _planned(diary: Diary, piece: dict[str, Any], span: Period) -> str:
    reasons = []
    if span.length == 0:
        return ""
    for event in diary.events.to_dict("records"):
        mine = event["piece"] and key_of(event["piece"]) == key_of(piece["piece"])
        if mine and event["starts"] <= span.end and event["ends"] >= span.start:
            reasons.append(f"part of {event['event']}")
    if span.start <= piece["due"] <= span.end:
        reasons.append(f"wanted by {words.day(piece['due'], year=False)}")
    if span.start <= piece["started"] <= span.end:
        reasons.append(f"to be started on {words.day(piece['started'], year=False)}")
    if piece["want"] > 0:
        reasons.append(f"meant to have {words.percent(piece['want'])} of the stitches")
    return words.listed(dict.fromkeys(reasons))


def say_flow(frame: pd.DataFrame, changed: pd.DataFrame, span: Period) -> str:
    """Starts against finishes in the period, and how many pieces are now on the go (frames of `flow` and `changes`)."""
    if frame.empty:
        return "Nothing is on the go yet."
    starts, finishes = ((changed["change"] == c).sum() for c in ("started", "finished"))
    now = frame["on_the_go"].iloc[-1]
    if starts == finishes == 0:
        text = f"{span.within} nothing was started and nothing finished"
    else:
        begun = words.count(starts, "piece was", "pieces were") if starts else "no piece was"
        text = f"{span.within} {begun} started and {words.number(finishes) if finishes else 'none'} finished"
    return f"{text}; {words.count(now, 'piece is', 'pieces are')} on the go at the end."


def say_untouched(frame: pd.DataFrame, worked: pd.DataFrame) -> str:
    """Which planned pieces were not touched, kindly; how many others are waiting (frames of `untouched`, `pieces`)."""
    if frame.empty:
        return "Every piece on the go had its turn." if len(worked) else ""
    planned = frame.loc[frame["planned"] != "", "piece"].tolist()
    others = len(frame) - len(planned)
    if not planned:
        return f"{words.count(others, 'piece', 'pieces')} on the go stayed in the bag this time, and will keep."
    text = f"{words.listed(planned)} {'was' if len(planned) == 1 else 'were'} planned and stayed in the bag this time"
    return f"{text}; so did {words.count(others, 'other piece')} on the go." if others else f"{text}."


def say_changes(changed: pd.DataFrame) -> str:
    """What was started, finished and set aside, by name and day (frame of `changes`); '' where nothing was."""
    sentences = []
    for change, verb in (("started", "Started"), ("finished", "Finished"), ("set aside", "Set aside")):
        rows = changed[changed["change"] == change]
        named = [f"{p} ({words.day(d, year=False)})" for p, d in zip(rows["piece"], rows["date"], strict=True)]
        if named:
            sentences.append(f"{verb}: {words.listed(named)}.")
    return " ".join(sentences)
