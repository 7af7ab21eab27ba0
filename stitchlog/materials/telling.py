"""What the thread of a piece comes to, in plain sentences."""

from __future__ import annotations

import math
from typing import Any

import pandas as pd

from stitchlog import words
from stitchlog.diary import Diary
from stitchlog.materials.cloth import say_cloth
from stitchlog.materials.spending import thread_of


def say_thread(frame: pd.DataFrame) -> str:
    """The whole, what is still to come and what runs short, in a sentence or two."""
    if frame.empty:
        return "No piece is on the go, so no thread is wanted."
    known = frame.dropna(subset=["to_come_m"])
    if known.empty:
        why = "the count of the cloth" if frame["used_m"].isna().all() else "the number of stitches still to come"
        return f"The thread of {_pieces(frame)} cannot be reckoned: {why} is not known."
    whole, to_come = known["length_m"].sum(), known["to_come_m"].sum()
    takes = "takes" if len(known["piece"].unique()) == 1 else "take"
    text = f"{_pieces(known)} {takes} about {words.number(whole)} m of thread off the skein"
    if to_come <= 0:
        return text + ", all of it worked."
    text += (
        f"; {words.number(to_come)} m of it is still to come."
        if to_come < whole - 0.5
        else ", all of it still to come."
    )
    return text + _say_short(known) if len(known["piece"].unique()) == 1 else text


def _say_short(frame: pd.DataFrame) -> str:
    short = frame[frame["to_buy"] > 0]
    if short.empty:
        doubtful = frame[frame["chance_enough"] < 0.95].sort_values("chance_enough")
        if doubtful.empty:
            return " What is on hand will do."
        chance = words.percent(doubtful["chance_enough"].iloc[0])
        return f" What is on hand will probably do; least sure is {_one(doubtful.iloc[0])}, with a chance of {chance}."
    names = [_one(row) for _, row in short.head(4).iterrows()]
    more = [f"{words.number(len(short) - 4)} more"] if len(short) > 4 else []
    return f" {words.count(len(short), 'colour')} will run short: {words.listed([*names, *more])}."


def say_rests(diary: Diary, frame: pd.DataFrame) -> str:
    """What the figures of `thread` rest on, so that nobody takes them for more than they are."""
    how = frame.attrs.get("how", {})
    settings = diary.settings
    waste = f" {words.percent(settings.waste)} is added for waste." if settings.waste else ""
    parts = [_say_length(diary, next(iter(how)))] if len(how) == 1 else []
    parts.append(
        f"Of each length of {settings.strand_length_cm:g} cm, {settings.tail_cm:g} cm at both ends are left over. "
        "A start is counted for every colour of a session, and unpicked thread is spent thread; backstitch, knots and "
        f"beads are not in these figures.{waste}"
    )
    guessed = [piece for piece, about in how.items() if not about["charted"]]
    if guessed:
        parts.append(
            f"No chart says how {words.listed(guessed)} split by colour, so the split so far stands for the rest."
        )
    counted = [about["counted"] for about in how.values() if about["counted"] < 0.995]
    if len(how) == 1 and counted:
        parts.append(
            f"Sessions counted {words.percent(counted[0])} of its stitches by colour; the others are shared out."
        )
    return " ".join(part for part in parts if part)


def _say_length(diary: Diary, piece: str) -> str:
    thread, settings = thread_of(diary, piece), diary.settings
    if math.isnan(thread.cm):
        return ""
    row: Any = diary.pieces.set_index("piece").loc[piece]
    cloth = say_cloth(float(row["count"]), 1.0 if pd.isna(row["over"]) else float(row["over"]))
    way = "row by row" if settings.method == "row" else "cross by cross"
    makes = words.count(thread.per_needleful, "stitch", "stitches")
    return (
        f"On {cloth}, worked {way} with {words.count(thread.strands, 'strand')}, a length makes {makes}, "
        f"and a skein gives {thread.lengths_per_skein} whole lengths."
    )


def _pieces(frame: pd.DataFrame) -> str:
    names = frame["piece"].unique()
    return str(names[0]) if len(names) == 1 else words.count(len(names), "piece")


def _one(row: pd.Series) -> str:
    return f"{row['code']} {row['name']}".strip()
