"""Pieces on the go over time, and how often the needle changes pieces."""

from __future__ import annotations

from typing import Any

import pandas as pd

from stitchlog import words
from stitchlog.diary.diary import Diary
from stitchlog.reports.rotation.shares import period


def switches(
    diary: Diary, start: pd.Timestamp | str | None = None, end: pd.Timestamp | str | None = None
) -> pd.DataFrame:
    """How often the needle changed pieces, month by month.

    Columns: month (its first day), sessions, pieces (different ones), switches (sessions on another piece than the
    session before, the last one of the month before included). .attrs: switches, sessions, usual_run (median of
    sessions in a row on one piece; NaN where there are none).
    """
    rows = diary.sessions[diary.sessions["date"].between(*period(diary, start, end))]
    changed = (rows["piece"] != rows["piece"].shift()) & rows["piece"].shift().notna()
    by = rows.assign(changed=changed).groupby(rows["date"].dt.to_period("M").dt.to_timestamp())
    out = by.agg(sessions=("piece", "size"), pieces=("piece", "nunique"), switches=("changed", "sum"))
    usual_run = rows.groupby(changed.cumsum()).size().median()
    out = out.rename_axis("month").reset_index()
    out.attrs = {"switches": int(changed.sum()), "sessions": len(rows), "usual_run": float(usual_run)}
    return out


def say_switches(frame: pd.DataFrame) -> str:
    """What `switches` shows, in a sentence."""
    about = frame.attrs
    if about["sessions"] < 2:
        return "There are too few sessions to say how often you change pieces."
    return (
        f"You changed pieces {words.count(about['switches'], 'time')} in {words.count(about['sessions'], 'session')}; "
        f"a stay with one piece usually lasts {words.count(about['usual_run'], 'session')}."
    )


def on_the_go(
    diary: Diary, start: pd.Timestamp | str | None = None, end: pd.Timestamp | str | None = None
) -> pd.DataFrame:
    """Every piece that was on the go at some time from `start` to `end`, as stretches and days for a strip chart.

    Columns: piece; what ("on the go" and "set aside": stretches; "worked": a week with a session; "began", "put aside",
    "picked up", "finished": days); since, until (days, both within the period; the same for a day); order (0 for the
    piece that began first). A piece begun before the diary opens the strip at `start`, without a "began" day.
    .attrs: start, end; before, now (pieces on the go the day before `start` and at the end of `end`).
    """
    first, last = period(diary, start, end)
    standing = diary.standing(last)
    sessions = diary.sessions.loc[diary.sessions["date"] <= last, ["piece", "date"]]
    aside = diary.pieces.set_index("piece")["set_aside"]
    written = aside.reindex(sessions["piece"]).to_numpy()
    back = sessions[sessions["date"] > written].groupby("piece")["date"].min()
    parts = [
        _stretches(piece, aside[piece.piece], back.get(piece.piece, pd.NaT), first, last)
        for piece in standing[standing["status"] != "not begun"].itertuples()
    ]
    stretches = pd.DataFrame([row for part in parts for row in part], columns=["piece", "what", "since", "until"])
    out = pd.concat([stretches, _weeks(sessions, first, last)], ignore_index=True)
    out = out[out["piece"].isin(stretches["piece"])].astype({"since": "datetime64[us]", "until": "datetime64[us]"})
    # The piece that began first has the smallest first day; of equals the first by name.
    opens = out.groupby("piece")["since"].min().sort_values(kind="stable")
    out["order"] = out["piece"].map(pd.Series(range(len(opens)), index=opens.index))
    out = out.sort_values(["order", "since"], kind="stable").reset_index(drop=True)
    before = diary.standing(first - pd.Timedelta(days=1)) if pd.notna(first) else standing
    before, now = (int((s["status"] == "on the go").sum()) for s in (before, standing))
    out.attrs = {"start": first, "end": last, "before": before, "now": now}
    return out


def strip(frame: pd.DataFrame, most: int = 7) -> pd.DataFrame:
    """The frame of `on_the_go` for a chart: the `most` pieces worked in the most weeks by name, the others as one row.

    Columns as `on_the_go`, and mark ('' for stretches, else what happened on the day).
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


def say_on_the_go(frame: pd.DataFrame) -> str:
    """How many pieces were on the go when the period opened and when it closed, and what changed, in a sentence."""
    about = frame.attrs
    if pd.isna(about["end"]):
        return "Nothing is on the go: the diary holds no session yet."
    what = frame["what"].value_counts()
    changes = [
        f"{words.number(what[kind])} {text}"
        for kind, text in (("began", "begun"), ("finished", "finished"), ("put aside", "set aside"))
        if what.get(kind, 0)
    ]
    between = f"; in between {words.listed(changes)}" if changes else ""
    return (
        f"On {words.day(about['end'])} {words.count(about['now'], 'piece is', 'pieces are')} on the go, "
        f"{words.number(about['before'])} before {words.day(about['start'])}{between}."
    )


def _stretches(
    piece: Any, aside: pd.Timestamp, back: pd.Timestamp, first: pd.Timestamp, last: pd.Timestamp
) -> list[tuple[str, str, pd.Timestamp, pd.Timestamp]]:
    """A row of `Diary.standing` as rows of `on_the_go` but for weeks worked; none where all lies outside the period.

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


def _weeks(sessions: pd.DataFrame, first: pd.Timestamp, last: pd.Timestamp) -> pd.DataFrame:
    """The weeks, Monday to Sunday, in which each piece was worked, cut off at the ends of the period."""
    days = sessions[sessions["date"] >= first]
    monday = days["date"] - pd.to_timedelta(days["date"].dt.day_of_week, unit="D")
    weeks = days.assign(date=monday).drop_duplicates().rename(columns={"date": "since"})
    until = (weeks["since"] + pd.Timedelta(days=6)).clip(upper=last)
    return weeks.assign(what="worked", until=until, since=weeks["since"].clip(lower=first))
