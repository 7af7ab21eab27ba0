"""A length of thread a day: how far it goes, and what one more would change."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pandas as pd

from stitchlog import words
from stitchlog.diary import Diary
from stitchlog.plan.commitments import per_length

A_DAY = (1, 2, 3)


def lengths(
    diary: Diary,
    piece: str | None = None,
    as_of: pd.Timestamp | str | None = None,
    a_day: tuple[int, ...] = A_DAY,
) -> pd.DataFrame:
    """When a piece would be done at so many lengths of thread every day.

    piece None: every piece that a `length` event names, else every piece on the go whose cloth is known.
    Columns: piece, per_length (stitches that one length works, from count, over, way of working, length and tails),
    remaining (stitches), lengths (to the end), a_day, days (until done), done_on, sooner (days sooner than with one
    length fewer). Pieces that are finished, or whose total or count is not known, are left out.
    Source: thread geometry of `stitchlog.needle`.
    """
    day = diary.last_day if as_of is None else pd.Timestamp(as_of)
    standing = diary.standing(day).set_index("piece")
    if piece is not None:
        names = [diary.piece(piece)]
    else:
        named = [p for p in dict.fromkeys(diary.events.loc[diary.events["kind"] == "length", "piece"]) if p]
        names = [p for p in named if p in standing.index] or list(standing.index[standing["status"] == "on the go"])
    rows = []
    for name in names:
        each, left = per_length(diary, name), float(standing["remaining"][name])
        if not each > 0 or not left > 0 or standing["status"][name] == "finished":
            continue
        needed = int(np.ceil(left / each))
        days = [int(np.ceil(needed / n)) for n in a_day]
        sooner = [0, *(a - b for a, b in pairwise(days))]
        for n, d, s in zip(a_day, days, sooner, strict=True):
            rows.append((name, each, left, needed, n, d, day + pd.Timedelta(days=d), s))
    names_out = ["piece", "per_length", "remaining", "lengths", "a_day", "days", "done_on", "sooner"]
    return pd.DataFrame(rows, columns=names_out)


def say_lengths(frame: pd.DataFrame) -> str:
    """What one length a day comes to, and what a second would change, for the first piece."""
    if frame.empty:
        return "No piece with a known count and total is worked a length a day."
    mine = frame[frame["piece"] == frame["piece"].iloc[0]]
    first = mine.iloc[0]
    text = (
        f"{first['piece']}: a length works {words.count(first['per_length'], 'stitch', 'stitches')}, so "
        f"{words.count(first['lengths'], 'length')} remain; at {_a_day(first['a_day'])} it is done "
        f"by {words.day(first['done_on'])}"
    )
    if len(mine) > 1:
        text += f", at {_a_day(mine['a_day'].iloc[1])} {words.span(mine['sooner'].iloc[1])} sooner"
    return text + "."


def _a_day(n: int) -> str:
    return f"{({1: 'one', 2: 'two', 3: 'three'}).get(n, words.number(n))} {'length' if n == 1 else 'lengths'} a day"
