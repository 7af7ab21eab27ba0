"""What is in a diary, at a glance."""

from __future__ import annotations

from typing import Any

import pandas as pd

from stitchlog import words
from stitchlog.diary.diary import Diary

HEADINGS = {
    "piece": "piece",
    "status": "where it stands",
    "done": "stitches so far",
    "total": "of",
    "share": "share",
    "last_session": "last session",
}
_ORDER = ["on the go", "set aside", "not begun", "finished"]


def pieces(diary: Diary, as_of: Any = None) -> pd.DataFrame:
    """Every piece at the end of `as_of` (None: the diary's last day), those on the go first, the latest touched on top.

    Columns: piece, status ('on the go', 'set aside', 'not begun', 'finished'), done and total (stitches; total NaN
    where unknown), share (0 to 1), last_session (NaT: none).
    """
    standing = diary.standing(as_of)[list(HEADINGS)]
    rank = standing["status"].map({status: i for i, status in enumerate(_ORDER)})
    order = standing.assign(rank=rank).sort_values(["rank", "last_session"], ascending=[True, False], kind="stable")
    return order[list(HEADINGS)].reset_index(drop=True)


def say(diary: Diary) -> str:
    """One sentence on how much the diary holds."""
    sessions = diary.sessions
    if sessions.empty:
        return "This diary holds no session yet. Log the first one below."
    timed = sessions["minutes"].sum()
    hours = f", with {words.number(timed / 60)} hours timed" if timed >= 60 else ""
    return (
        f"{words.count(len(sessions), 'session')} on {words.count(sessions['piece'].nunique(), 'piece')}, "
        f"{_span(diary)}: {words.count(sessions['stitches'].sum(), 'stitch', 'stitches')}{hours}."
    )


def say_problems(diary: Diary) -> str:
    """One sentence on what needs fixing."""
    errors = int((diary.problems["severity"] == "error").sum())
    doubts = len(diary.problems) - errors
    if not errors and not doubts:
        return "Nothing: every row could be read."
    parts = [words.count(errors, "mistake")] if errors else []
    parts += [words.count(doubts, "thing") + " to look at"] if doubts else []
    return f"{words.listed(parts)}; the table says where, and how to fix it. Change the CSV files, then run this again."


def _span(diary: Diary) -> str:
    if diary.first_day == diary.last_day:
        return f"on {words.day(diary.last_day)}"
    return f"from {words.day(diary.first_day)} to {words.day(diary.last_day)}"
