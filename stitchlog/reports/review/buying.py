"""What was bought, and what waits in the stash or for a frame."""

from __future__ import annotations

from typing import Any

import pandas as pd

from stitchlog import words
from stitchlog.diary.diary import Diary
from stitchlog.diary.names import key_of
from stitchlog.model.period import bounds
from stitchlog.reports.review.wording import few, some

BOUGHT_HEADINGS = {"date": "day", "what": "what", "name": "name", "from": "from", "note": "note"}
WAITING_HEADINGS = {"piece": "chart", "since": "bought", "days": "days"}
TO_MAKE_UP_HEADINGS = {"piece": "piece", "finished": "finished", "days": "days"}
_PLURALS: dict[str, tuple[str, ...]] = {"fabric": ("piece of fabric", "pieces of fabric")}


def bought(diary: Diary, start: Any, end: Any) -> pd.DataFrame:
    """What was bought between two days (both included), in their order.

    Columns: date, what ('chart', 'kit', 'fabric', 'thread', 'tool', '' where not said), name, from, cost (in the
    stitcher's own money, NaN where not written), photo (a path, '' none), note.
    """
    span = bounds(start, end)
    rows = diary.bought[diary.bought["date"].between(span.start, span.end)]
    columns = ["date", "what", "name", "from", "cost", "photo", "note"]
    return rows.sort_values("date", kind="stable")[columns].reset_index(drop=True)


def waiting(diary: Diary) -> pd.DataFrame:
    """Charts and kits that wait in the stash on the diary's day, the longest waiting first; days unknown come last.

    Columns: piece (a piece not begun, or a chart or kit that was bought and has no row in pieces.csv); since (the day
    it was bought, NaT where nobody wrote it); days (since then, NaN where unknown).
    """
    charts = diary.bought[diary.bought["what"].isin(["chart", "kit"])]
    since = charts.assign(key=charts["name"].map(key_of)).groupby("key")["date"].min()
    now = diary.standing()
    known = {key_of(name) for name in now["piece"]}
    others = charts[~charts["name"].map(key_of).isin(known)].drop_duplicates("name")["name"]
    names = [*now.loc[now["status"] == "not begun", "piece"], *others]
    days = pd.to_datetime(pd.Series([since.get(key_of(n), pd.NaT) for n in names], dtype="datetime64[us]"))
    out = pd.DataFrame({"piece": pd.Series(names, dtype="str"), "since": days})
    out["days"] = (diary.as_of - out["since"]).dt.days.astype(float)
    return out.sort_values("since", kind="stable").reset_index(drop=True)


def to_make_up(diary: Diary) -> pd.DataFrame:
    """Finished pieces that are not framed or sewn up on the diary's day, the longest waiting first.

    Columns: piece, finished (the day), days (since then).
    """
    made = diary.pieces.loc[diary.pieces["made_up"].notna(), "piece"]
    now = diary.standing()
    out = now[(now["status"] == "finished") & ~now["piece"].isin(made)][["piece", "finished"]]
    out = out.assign(days=(diary.as_of - out["finished"]).dt.days.astype(float))
    return out.sort_values("finished", kind="stable").reset_index(drop=True)


def say_bought(frame: pd.DataFrame) -> str:
    """What came home, counted, and what it cost where that is written (frame of `bought`); '' where nothing did."""
    if frame.empty:
        return ""
    counts = frame["what"].replace("", "thing").value_counts(sort=False)
    counted = [few(n, *_PLURALS.get(str(what), (str(what),))) for what, n in counts.items() if what != "thread"]
    counted += ["some thread"] if "thread" in counts else []
    told = words.listed(counted)
    text = f"{told[0].upper()}{told[1:]} came home: {some(frame['name'].tolist())}."
    paid = float(frame["cost"].sum())
    return f"{text} That came to {words.number(paid, 0 if paid.is_integer() else 2)} in all." if paid else text


def say_waiting(frame: pd.DataFrame) -> str:
    """How many charts wait in the stash, and which has waited longest (frame of `waiting`); '' where none does."""
    if frame.empty:
        return ""
    text = f"{few(len(frame), 'chart waits', 'charts wait')} in the stash"
    text = f"{text[0].upper()}{text[1:]}"
    row = frame.iloc[0]
    if pd.isna(row["since"]):
        return f"{text}: {some(frame['piece'].tolist())}."
    if len(frame) == 1:
        return f"{text}: {row['piece']}, since {words.month(row['since'])}."
    return f"{text}; {row['piece']} has waited since {words.month(row['since'])}."


def say_to_make_up(frame: pd.DataFrame) -> str:
    """Which finishes still wait to be framed or sewn up (frame of `to_make_up`); '' where none does."""
    if frame.empty:
        return ""
    names = some(frame["piece"].tolist())
    return f"Still to be framed or sewn up: {names}."
