"""Thread by colour of one piece or several: the whole, what is still needed, and what the figures rest on."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import Any

import pandas as pd

from stitchlog import words
from stitchlog.diary.diary import Diary
from stitchlog.model.fabric import say_fabric
from stitchlog.model.thread import basket
from stitchlog.model.thread.needs import SURE, expected, needs, provision, shortest_first
from stitchlog.model.thread.spending import Ledger, ledger, thread_of

COLUMNS = ["code", "stitches", "length_m", "skeins", "on_hand", "to_buy", "name", "hex", "stitches_left", "used_m"]
COLUMNS += ["needed_m", "needed_skeins", "needed_low", "needed_high", "chance_enough", "to_be_safe", "piece"]


def thread(diary: Diary, pieces: str | Iterable[str]) -> pd.DataFrame:
    """A row a colour of the piece, or of each of several pieces, the one that runs shortest first.

    Columns: code; stitches (of the whole piece); length_m (metres of thread for the whole piece, all strands together,
    tails and waste included); skeins (the same in skeins of whole lengths); on_hand (skeins, 0 where `threads.csv`
    does not list the colour); to_buy (whole skeins still to buy: what is still needed beyond what is on hand); name,
    hex; stitches_left; used_m (so far, what was worked before the diary at the same rate); needed_m, needed_skeins
    (still, expected), needed_low and needed_high (skeins; 90 % of the simulated paths lie between); chance_enough (0
    to 1, that what is on hand is enough); to_be_safe (whole skeins to buy that are enough on 95 % of them); piece.
    NaN where the fabric's count, or the stitches left, are not known. A piece without colours has one row, code ''.
    Several pieces are each worked out as if it alone had what is on hand.

    The whole is the chart's where `chart_colours.csv` has it; else the split so far stands for the rest. Thread per
    stitch: the needle's path (`thread_use.cm_per_stitch`), a tail at both ends of each needleful, and as many starts
    and as much unpicking as this diary's sessions took. Paths are drawn from those sessions (the Bayesian bootstrap of
    Rubin, 1981).
    """
    book = ledger(diary)
    names = [diary.piece(piece) for piece in ([pieces] if isinstance(pieces, str) else pieces)]
    frames = [_thread(book, name) for name in names]
    return shortest_first(pd.concat(frames, ignore_index=True))[COLUMNS] if frames else pd.DataFrame(columns=COLUMNS)


def say_thread(frame: pd.DataFrame) -> str:
    """The whole, what is still needed and what runs short, in a sentence or two."""
    if frame.empty:
        return "No piece is in progress, so no thread is needed."
    known = frame.dropna(subset=["needed_m"])
    if known.empty:
        why = "the count of its fabric" if frame["used_m"].isna().all() else "how many stitches are left"
        return f"The thread for {_pieces(frame)} cannot be worked out: {why} is not known."
    one = len(known["piece"].unique()) == 1
    whole, needed = known["length_m"].sum(), known["needed_m"].sum()
    text = f"{_pieces(known)} {'takes' if one else 'take'} about {words.number(whole)} m of thread"
    if needed <= 0:
        return f"{text}, all of it used."
    text += (
        f"; {words.number(needed)} m of it is still needed." if needed < whole - 0.5 else ", all of it still needed."
    )
    return f"{text} {_say_short(known)}" if one else text


def say_rests(diary: Diary, frame: pd.DataFrame) -> str:
    """What the figures of `thread` rest on, in a few sentences."""
    book, s = ledger(diary), diary.settings
    names = frame["piece"].unique()
    parts = [_say_length(diary, names[0])] if len(names) == 1 else []
    parts.append(
        f"Each length is {s.strand_length_cm:g} cm, and you lose {s.tail_cm:g} cm of it at each end. Every colour "
        "in a session starts a new length. Unpicked thread counts as used; backstitch, knots and beads do not."
    )
    if s.waste:
        parts.append(f"{words.percent(s.waste)} is added for waste.")
    guessed = [piece for piece in names if not expected(book, piece).charted]
    if guessed:
        which = words.listed(guessed) if len(guessed) <= 3 else words.count(len(guessed), "piece")
        parts.append(f"For {which}, no chart gives the colours, so the rest is split as it has been so far.")
    counted = [share for share in (_counted(book, piece) for piece in names) if share < 0.995]
    if len(names) == 1 and counted:
        parts.append(
            f"Sessions counted {words.percent(counted[0])} of its stitches by colour; the rest are split the same way."
        )
    return " ".join(part for part in parts if part)


def _thread(book: Ledger, piece: str) -> pd.DataFrame:
    how, need = thread_of(book.diary, piece), needs(book, piece)
    known = need.expected
    out = provision(book.diary, known.codes, known.skeins, need.paths)
    needed = out["needed_skeins"] * how.lengths_per_skein
    return out.assign(
        name=out["name"].where(out["code"] != "", "all colours together"),
        stitches=known.whole,
        stitches_left=known.left,
        length_m=(known.used + needed) * how.length_m,
        skeins=known.used / how.lengths_per_skein + out["needed_skeins"],
        used_m=known.used * how.length_m,
        needed_m=needed * how.length_m,
        piece=piece,
    )


def _counted(book: Ledger, piece: str) -> float:
    """The share of a piece's stitches that sessions counted by colour; NaN without any."""
    rows = book.of(piece)
    worked = rows["worked"].sum()
    return float(rows.loc[rows["counted"], "worked"].sum() / worked) if worked > 0 else math.nan


def _say_short(frame: pd.DataFrame) -> str:
    short = frame[frame["to_buy"] > 0]
    if len(short):
        return f"{words.count(len(short), 'colour')} will run short: {basket.named(short, 4)}."
    doubtful = frame[frame["chance_enough"] < SURE].sort_values("chance_enough").head(1)
    if doubtful.empty:
        return "What is on hand is enough."
    chance = words.percent(doubtful["chance_enough"].iloc[0])
    return f"What is on hand is probably enough. The least sure is {basket.named(doubtful)}: {chance}."


def _say_length(diary: Diary, piece: str) -> str:
    how = thread_of(diary, piece)
    if math.isnan(how.cm):
        return ""
    row: Any = diary.pieces.set_index("piece").loc[piece]
    way = "row by row" if diary.settings.method == "row" else "cross by cross"
    makes = words.count(how.per_needleful, "stitch", "stitches")
    return (
        f"On {say_fabric(row['count'], row['over'])}, worked {way} with {words.count(how.strands, 'strand')}, a length "
        f"makes {makes}. A skein gives {how.lengths_per_skein} whole lengths."
    )


def _pieces(frame: pd.DataFrame) -> str:
    names = frame["piece"].unique()
    return str(names[0]) if len(names) == 1 else words.count(len(names), "piece")
