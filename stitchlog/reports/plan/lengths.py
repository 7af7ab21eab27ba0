"""A length of thread a day: how far it goes, and what one more would change."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pandas as pd

from stitchlog import words
from stitchlog.diary.diary import Diary
from stitchlog.model.commitments.commitments import per_length

# Lengths a day, and how they are said.
A_DAY = {1: "one length", 2: "two lengths", 3: "three lengths"}


def lengths(diary: Diary) -> pd.DataFrame:
    """When a piece would be done at one, two and three lengths of thread every day.

    Of every piece that a `length` event names, else of every piece on the go whose fabric is known.
    Columns: piece, per_length (stitches that one length works, from count, over, way of working, length and tails),
    lengths (to the end), a_day, days (until done), done_on, sooner (days sooner than with one length fewer). Pieces
    that are finished, or whose total or count is not known, are left out.
    Source: thread geometry of `stitchlog.model.thread_use`.
    """
    day = diary.as_of
    standing = diary.standing().set_index("piece")
    named = diary.events.loc[diary.events["kind"] == "length", "piece"].unique()
    rows = []
    for name in [p for p in named if p in standing.index] or standing.index[standing["status"] == "on the go"]:
        each, left = per_length(diary, name), standing["remaining"][name]
        if not each > 0 or not left > 0 or standing["status"][name] == "finished":
            continue
        needed = int(np.ceil(left / each))
        days = [-(-needed // n) for n in A_DAY]
        sooner = [0, *(a - b for a, b in pairwise(days))]
        rows += [
            (name, each, needed, n, d, day + pd.Timedelta(days=d), s)
            for n, d, s in zip(A_DAY, days, sooner, strict=True)
        ]
    return pd.DataFrame(rows, columns=["piece", "per_length", "lengths", "a_day", "days", "done_on", "sooner"])


def say_lengths(frame: pd.DataFrame) -> str:
    """What one length a day comes to, and what a second would change, for the first piece."""
    if frame.empty:
        return "No piece with a known count and total can be stitched a length a day."
    one, two = frame.iloc[0], frame.iloc[1]
    text = (
        f"{one['piece']} needs {words.count(one['lengths'], 'more length')} of thread, each about "
        f"{words.count(one['per_length'], 'stitch', 'stitches')}. At {A_DAY[1]} a day you would finish on "
        f"{words.day(one['done_on'])}"
    )
    sooner = f", at {A_DAY[2]} a day {words.span(two['sooner'])} sooner" if two["sooner"] else ""
    return f"{text}{sooner}."
