"""What began, what was finished, what is on the go, and what waited."""

from __future__ import annotations

from typing import Any

import pandas as pd

from stitchlog import words
from stitchlog.diary.diary import Diary
from stitchlog.diary.frames import each_record
from stitchlog.model.period import ONE_DAY, Period, bounds
from stitchlog.reports.review.days import begun
from stitchlog.reports.review.wording import few, some


def changes(diary: Diary, start: Any, end: Any) -> pd.DataFrame:
    """What was started, finished, set aside and made up between two days (both included), with a session or without.

    Columns: date; piece; change ('started', 'finished', 'set aside', 'made up'); in the order of the days. A piece
    that already stood as finished the day before `start` does not finish again.
    """
    span = bounds(start, end)
    now = diary.standing(span.end)
    finished = now["finished"].where(diary.standing(span.eve)["finished"].isna())
    found = pd.concat(
        pd.DataFrame({"date": days, "piece": now["piece"], "change": change})
        for change, days in (
            ("started", now["began"]),
            ("finished", finished),
            ("set aside", now["set_aside"]),
            ("made up", diary.pieces["made_up"].set_axis(now.index)),
        )
    )
    found = found[found["date"].between(span.start, span.end)]
    return found.sort_values("date", kind="stable").reset_index(drop=True)


def flow(diary: Diary, start: Any, end: Any) -> pd.DataFrame:
    """Starts, finishes and pieces on the go, month by month: the period's months, or the twelve up to its end.

    Columns: month (its first day); starts; finishes; on_the_go (at the end of the month, or of `end` where the month
    goes on after it). Months before the diary began are left out.
    """
    span = bounds(start, end)
    rows = []
    if span.length and pd.notna(diary.first_day) and begun(diary, span):
        last = span.end.replace(day=1)
        first = min(span.start.replace(day=1), last - pd.DateOffset(months=11))
        first = min(max(first, diary.first_day.replace(day=1)), last)
        old = diary.standing(first - ONE_DAY)
        for month in pd.date_range(first, last, freq="MS", unit="us"):
            ends = min(month + pd.offsets.MonthEnd(0), span.end)
            now = diary.standing(ends)
            starts = now["began"].between(month, ends).sum()
            finishes = (now["finished"].between(month, ends) & old["finished"].isna()).sum()
            rows.append((month, starts, finishes, (now["status"] == "on the go").sum()))
            old = now
    kinds = {"month": "datetime64[us]", "starts": "int64", "finishes": "int64", "on_the_go": "int64"}
    return pd.DataFrame(rows, columns=list(kinds)).astype(kinds)


_CHANGES = {"started": "Started", "finished": "Finished", "set aside": "Set aside", "made up": "Framed or sewn up"}
UNTOUCHED_HEADINGS = {"piece": "piece", "last_session": "last session", "share": "done", "planned": "planned as"}


def untouched(diary: Diary, start: Any, end: Any) -> pd.DataFrame:
    """Pieces that were on the go (or meant to be) in the period and had no session there.

    Columns: piece; last_session (NaT where none is written down); days_since (from that to the end of the period, NaN
    where none); share (of its total); planned (why it was meant to be worked on, in words; '' where nothing says so).
    Planned ones come first, then the longest waiting. Pieces finished or set aside before the period are not among
    them.
    """
    span = bounds(start, end)
    if not begun(diary, span):
        span = bounds(None, None)  # nothing can wait in days to come
    now, old = diary.standing(span.end), diary.standing(span.eve)
    worked = set(diary.sessions.loc[diary.sessions["date"].between(span.start, span.end), "piece"])
    out = now.assign(
        planned=[
            _planned(diary, row, span, status != "not begun")
            for row, status in zip(each_record(diary.pieces), now["status"], strict=True)
        ],
        days_since=(span.end - now["last_session"]).dt.days,
    )
    on_hand = (now["status"] == "on the go") | ((now["status"] == "not begun") & (out["planned"] != ""))
    out = out[on_hand & ~now["piece"].isin(worked) & (old["status"] != "finished")]
    out = out.sort_values("days_since", ascending=False, kind="stable")
    out = out.sort_values("planned", key=lambda planned: planned == "", kind="stable")
    return out[["piece", "last_session", "days_since", "share", "planned"]].reset_index(drop=True)


def _planned(diary: Diary, piece: dict[str, Any], span: Period, begun: bool) -> str:
    if span.length == 0:
        return ""
    mine = diary.events[diary.events["piece"] == piece["piece"]]
    mine = mine[(mine["starts"] <= span.end) & (mine["ends"] >= span.start)]
    reasons = [f"part of {event}" for event in mine["event"]]
    if span.start <= piece["due"] <= span.end:
        reasons.append(f"due on {words.day(piece['due'], year=False)}")
    if span.start <= piece["started"] <= span.end:
        reasons.append(f"to be started on {words.day(piece['started'], year=False)}")
    # A share that a piece should have is no plan to begin it.
    if piece["want"] > 0 and begun:
        reasons.append(f"meant to get {words.percent(piece['want'])} of your time")
    return words.listed(dict.fromkeys(reasons))


def say_flow(frame: pd.DataFrame, changed: pd.DataFrame, span: Period) -> str:
    """Starts against finishes in the period, and how many pieces are now on the go (frames of `flow` and `changes`)."""
    if frame.empty:
        return ""
    starts, finishes = ((changed["change"] == c).sum() for c in ("started", "finished"))
    now = words.count(frame["on_the_go"].iloc[-1], "work in progress (WIP)", "works in progress (WIPs)")
    moved = f"{few(starts, 'start')} and {few(finishes, 'finish', 'finishes')}"
    if starts == finishes == 0:
        moved = "nothing started and nothing finished"
    return f"{words.within(span.start, span.end)}: {moved}, and {now} at the end."


def say_untouched(frame: pd.DataFrame, worked: pd.DataFrame) -> str:
    """Which planned pieces were not touched, kindly; how many others are waiting (frames of `untouched`, `pieces`)."""
    if frame.empty:
        return "You stitched on every work in progress." if len(worked) else ""
    planned = frame.loc[frame["planned"] != "", "piece"].tolist()
    others = len(frame) - len(planned)
    if not planned:
        return f"{words.count(others, 'work', 'works')} in progress had no session this time, and will keep."
    text = f"Planned, but you didn't get to: {some(planned)}."
    if not others:
        return text
    return f"{text} {words.count(others, 'other work', 'other works')} in progress had no session either."


def say_changes(changed: pd.DataFrame) -> str:
    """What was started, finished and set aside, by name and day (frame of `changes`); '' where nothing was."""
    sentences = []
    for change, verb in _CHANGES.items():
        rows = changed[changed["change"] == change]
        named = [f"{p} ({words.day(d, year=False)})" for p, d in zip(rows["piece"], rows["date"], strict=True)]
        if named:
            sentences.append(f"{verb}: {words.listed(named)}.")
    return " ".join(sentences)
