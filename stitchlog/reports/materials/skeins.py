"""Thread by colour: what a piece took, what it still takes, what is on hand, and whether that will do."""

from __future__ import annotations

import functools
import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any
from zlib import crc32

import numpy as np
import pandas as pd

from stitchlog import words
from stitchlog.diary.diary import Diary
from stitchlog.reports.materials import basket
from stitchlog.reports.materials.cloth import say_cloth
from stitchlog.reports.materials.spending import Ledger, Thread, ledger, thread_of

# Simulated courses of the sessions to come.
PATHS = 500
# So many rows of a colour, else of its piece, else of the diary, must be there before their spending is a guide.
LEAST_ROWS = 5
# How a diary spent thread long ago says little; the latest rows do.
MOST_ROWS = 25
# To be sure means: in so many of a hundred simulated courses.
SURE = 0.95
_EPS = 1e-9

COLUMNS = ["code", "stitches", "length_m", "skeins", "on_hand", "to_buy", "name", "hex", "stitches_to_come", "used_m"]
COLUMNS += ["to_come_m", "to_come_skeins", "to_come_low", "to_come_high", "chance_enough", "to_be_sure", "piece"]


@dataclass(frozen=True)
class Need:
    """What a piece takes, by colour.

    codes; whole (stitches of the whole piece); stitches (to come); used (lengths off the skein so far); skeins (to
    come, of whole lengths, simulated: paths x codes; NaN: unknown); charted (the split is the chart's).
    """

    codes: list[str]
    whole: np.ndarray
    stitches: np.ndarray
    used: np.ndarray
    skeins: np.ndarray
    charted: bool


def thread(diary: Diary, pieces: str | Iterable[str], as_of: pd.Timestamp | str | None = None) -> pd.DataFrame:
    """A row a colour of the piece, or of each of several pieces, the one that runs shortest first.

    Columns: code; stitches (of the whole piece); length_m (metres off the skein for the whole piece, all strands
    together, tails and waste included); skeins (the same in skeins of whole lengths); on_hand (skeins, 0 where
    `threads.csv` does not list the colour); to_buy (whole skeins still to buy: what is still to come beyond what is on
    hand); name, hex; stitches_to_come; used_m (spent so far, what was worked before the diary at the same rate);
    to_come_m, to_come_skeins (expected), to_come_low and to_come_high (skeins; 90 % of the simulated courses between);
    chance_enough (0 to 1, that what is on hand will do); to_be_sure (whole skeins to buy that will do in 95 % of them);
    piece.
    NaN where the cloth's count, or the stitches to come, are not known. A piece without colours has one row, code ''.
    Several pieces are each reckoned as if it alone had what is on hand. `.attrs["how"]`: by piece, charted (the split
    is the chart's), counted (the share of its stitches that sessions counted by colour).

    The whole is the chart's where `chart_colours.csv` has it; else the split so far stands for the rest. Thread per
    stitch: the needle's path (`needle.cm_per_stitch`), a tail at both ends of each needleful, and as many starts and as
    much unpicking as this diary's sessions took. Courses are drawn from those sessions (the Bayesian bootstrap of
    Rubin, 1981).
    """
    book = ledger(diary, as_of)
    names = [diary.piece(piece) for piece in ([pieces] if isinstance(pieces, str) else pieces)]
    frames = [_thread(book, name) for name in names]
    out = shortest_first(pd.concat(frames, ignore_index=True))[COLUMNS] if frames else pd.DataFrame(columns=COLUMNS)
    out.attrs = {"how": {name: _how(book, name) for name in names}}
    return out


def provision(diary: Diary, codes: list[str], skeins: np.ndarray) -> pd.DataFrame:
    """What is on hand of each colour against the skeins to come (paths x codes; NaN: unknown).

    Columns: code, name, hex, on_hand, to_come_skeins, to_come_low, to_come_high, to_buy, chance_enough, to_be_sure, as
    in `thread`.
    """
    known = basket.about(diary, codes)
    on_hand = basket.on_hand(diary).reindex(codes).fillna(0.0).to_numpy(float)
    low, high, sure = np.quantile(skeins, (0.05, 0.95, SURE), axis=0)
    enough = (skeins <= on_hand + _EPS).mean(axis=0)
    mean = skeins.mean(axis=0)
    return pd.DataFrame(
        {
            "code": codes,
            "name": known["name"].tolist(),
            "hex": known["hex"].tolist(),
            "on_hand": on_hand,
            "to_come_skeins": mean,
            "to_come_low": low,
            "to_come_high": high,
            "to_buy": whole_skeins(mean - on_hand),
            "chance_enough": np.where(np.isnan(mean), np.nan, enough),
            "to_be_sure": whole_skeins(sure - on_hand),
        }
    )


def shortest_first(frame: pd.DataFrame) -> pd.DataFrame:
    """A frame of `provision` sorted by what is wanting, most first."""
    short = (frame["on_hand"] - frame["to_come_skeins"]).sort_values(kind="stable")
    return frame.loc[short.index].reset_index(drop=True)


def whole_skeins(short: np.ndarray) -> np.ndarray:
    """Whole skeins that make good what is short; NaN stays."""
    return np.ceil(np.clip(short, 0.0, None) - _EPS) + 0.0


@functools.lru_cache(maxsize=256)  # thread, stash and shopping list rest on the same courses
def needs(book: Ledger, piece: str) -> Need:
    """What `piece` still takes, colour by colour, in simulated courses."""
    diary = book.diary
    how = thread_of(diary, piece)
    rows = book.spent[book.spent["piece"] == piece]
    standing: Any = book.standing.loc[piece]
    rng = np.random.default_rng([0, crc32(piece.encode())])
    chart = diary.chart_colours[diary.chart_colours["piece"] == piece].groupby("code")["stitches"].sum()
    kept_by = rows.groupby("code")["kept"].sum()
    codes = sorted(set(chart.index) | set(kept_by.index)) or [""]
    kept = kept_by.reindex(codes).fillna(0.0).to_numpy(float)
    remaining = 0.0 if standing["status"] == "finished" else float(standing["remaining"])
    charted = bool(chart.sum() > 0)
    split = _split(chart if charted else kept_by, codes)
    before = max(float(standing["done"]) - kept.sum(), 0.0) * split
    if charted:
        whole = chart.reindex(codes).fillna(0.0).to_numpy(float)
        left = np.clip(whole - kept - before, 0.0, None)
        if math.isfinite(remaining) and left.sum() > 0:
            left = left * remaining / left.sum()
        stitches = np.tile(left, (PATHS, 1))
    else:
        stitches = remaining * _splits(rows, codes, split, remaining, rng)
        left = remaining * split
        whole = kept + before + left
    guides = _guides(book.spent, rows, codes)
    over = np.column_stack([_overheads(guides[c], how, n, rng) for c, n in zip(codes, left, strict=True)])
    skeins = how.bare_lengths(stitches * over) / how.lengths_per_skein
    used = rows.groupby("code")["lengths"].sum().reindex(codes).fillna(0.0).to_numpy(float)
    used = used + how.bare_lengths(before) * [_overhead(guides[c], how) for c in codes]
    return Need(codes, whole, left, used, skeins, charted)


def say_thread(frame: pd.DataFrame) -> str:
    """The whole, what is still to come and what runs short, in a sentence or two."""
    if frame.empty:
        return "No piece is on the go, so no thread is wanted."
    known = frame.dropna(subset=["to_come_m"])
    if known.empty:
        why = "the count of the cloth" if frame["used_m"].isna().all() else "the number of stitches still to come"
        return f"The thread of {_pieces(frame)} cannot be reckoned: {why} is not known."
    one = len(known["piece"].unique()) == 1
    whole, to_come = known["length_m"].sum(), known["to_come_m"].sum()
    text = f"{_pieces(known)} {'takes' if one else 'take'} about {words.number(whole)} m of thread off the skein"
    if to_come <= 0:
        return f"{text}, all of it worked."
    if to_come < whole - 0.5:
        text += f"; {words.number(to_come)} m of it is still to come."
    else:
        text += ", all of it still to come."
    return f"{text} {_say_short(known)}" if one else text


def say_rests(diary: Diary, frame: pd.DataFrame) -> str:
    """What the figures of `thread` rest on, so that nobody takes them for more than they are."""
    how, s = frame.attrs["how"], diary.settings
    parts = [_say_length(diary, next(iter(how)))] if len(how) == 1 else []
    parts.append(
        f"Of each length of {s.strand_length_cm:g} cm, {s.tail_cm:g} cm at both ends are left over. A start is counted "
        "for every colour of a session, and unpicked thread is spent thread; backstitch, knots and beads are not in "
        "these figures."
    )
    if s.waste:
        parts.append(f"{words.percent(s.waste)} is added for waste.")
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


def _thread(book: Ledger, piece: str) -> pd.DataFrame:
    how, need = thread_of(book.diary, piece), needs(book, piece)
    out = provision(book.diary, need.codes, need.skeins)
    to_come = out["to_come_skeins"] * how.lengths_per_skein
    return out.assign(
        name=out["name"].where(out["code"] != "", "all colours together"),
        stitches=need.whole,
        stitches_to_come=need.stitches,
        length_m=(need.used + to_come) * how.length_m,
        skeins=need.used / how.lengths_per_skein + out["to_come_skeins"],
        used_m=need.used * how.length_m,
        to_come_m=to_come * how.length_m,
        piece=piece,
    )


def _how(book: Ledger, piece: str) -> dict[str, Any]:
    rows = book.spent[book.spent["piece"] == piece]
    worked = rows["worked"].sum()
    counted = float(rows.loc[rows["counted"], "worked"].sum() / worked) if worked > 0 else math.nan
    return {"charted": needs(book, piece).charted, "counted": counted}


def _split(stitches: pd.Series, codes: list[str]) -> np.ndarray:
    """The share of each code in `stitches`; the same for each where there are none."""
    shares = stitches / stitches.sum() if stitches.sum() > 0 else pd.Series(1.0 / len(codes), index=codes)
    return shares.reindex(codes).fillna(0.0).to_numpy(float)


def _splits(
    rows: pd.DataFrame, codes: list[str], split: np.ndarray, remaining: float, rng: np.random.Generator
) -> np.ndarray:
    """Simulated splits of what is to come (paths x codes): sessions like those so far, drawn again."""
    table = rows.pivot_table(index="date", columns="code", values="kept", aggfunc="sum", fill_value=0.0)
    table = table.reindex(columns=codes, fill_value=0.0).to_numpy(float)[-MOST_ROWS:]
    table = table[table.sum(axis=1) > 0]
    if len(table) < 2 or len(codes) == 1 or not math.isfinite(remaining):
        return np.tile(split, (PATHS, 1))
    drawn = _draws(len(table), remaining / table.sum(axis=1).mean(), rng) @ table
    # Drawn about the split so far of all sessions, of which the table holds the latest.
    centre = table.sum(axis=0) / table.sum()
    moved = np.divide(split, centre, out=np.ones_like(split), where=centre > 0)
    moved = drawn / drawn.sum(axis=1, keepdims=True) * moved
    moved[:, centre == 0] = split[centre == 0]
    return moved / moved.sum(axis=1, keepdims=True)


def _overheads(guide: np.ndarray, how: Thread, to_come: float, rng: np.random.Generator) -> np.ndarray:
    """Thread taken over the least possible (1: no tail, no waste), simulated for the stitches to come of one colour."""
    usual = np.full(PATHS, _overhead(guide, how))
    if not len(guide) or not math.isfinite(to_come):
        return usual
    kept, lengths, bare = guide.T
    drawn = _draws(len(guide), to_come / max(kept.mean(), 1.0), rng)
    return np.divide(drawn @ lengths, drawn @ bare, out=usual, where=drawn @ bare > 0)


def _overhead(guide: np.ndarray, how: Thread) -> float:
    """The same over all rows of a guide; without one, every needleful worked to its end and nothing unpicked."""
    _, lengths, bare = guide.sum(axis=0)
    if bare > 0:
        return float(lengths / bare)
    return float(how.lengths(how.per_needleful, 1.0) / how.bare_lengths(how.per_needleful))


def _guides(everything: pd.DataFrame, rows: pd.DataFrame, codes: list[str]) -> dict[str, np.ndarray]:
    """What says how thread is spent on each colour: its own latest rows, else its piece's, else the whole diary's.

    A guide has the columns kept, lengths, bare_kept, and no row where nothing is a guide.
    """
    wider = _guide(rows)
    wider = wider if len(wider) >= LEAST_ROWS else _guide(everything)
    wider = wider if len(wider) >= LEAST_ROWS else wider[:0]
    own = {str(code): _guide(found) for code, found in rows.groupby("code")}
    return {code: own[code] if len(own.get(code, ())) >= LEAST_ROWS else wider for code in codes}


def _guide(rows: pd.DataFrame) -> np.ndarray:
    values = rows[["kept", "lengths", "bare_kept"]].to_numpy(float)
    return values[np.isfinite(values).all(axis=1) & (values[:, 1] > 0)][-MOST_ROWS:]


def _draws(rows: int, times: float, rng: np.random.Generator) -> np.ndarray:
    """How often each of `rows` comes in each path: `times` draws with weights that are themselves uncertain."""
    weights = rng.standard_exponential((PATHS, rows))
    return rng.multinomial(min(max(1, math.ceil(times)), 10_000), weights / weights.sum(axis=1, keepdims=True))


def _say_short(frame: pd.DataFrame) -> str:
    short = frame[frame["to_buy"] > 0]
    if len(short):
        return f"{words.count(len(short), 'colour')} will run short: {basket.named(short, 4)}."
    doubtful = frame[frame["chance_enough"] < SURE].sort_values("chance_enough").head(1)
    if doubtful.empty:
        return "What is on hand will do."
    chance = words.percent(doubtful["chance_enough"].iloc[0])
    return f"What is on hand will probably do; least sure is {basket.named(doubtful)}, with a chance of {chance}."


def _say_length(diary: Diary, piece: str) -> str:
    how = thread_of(diary, piece)
    if math.isnan(how.cm):
        return ""
    row: Any = diary.pieces.set_index("piece").loc[piece]
    way = "row by row" if diary.settings.method == "row" else "cross by cross"
    makes = words.count(how.per_needleful, "stitch", "stitches")
    return (
        f"On {say_cloth(row['count'], row['over'])}, worked {way} with {words.count(how.strands, 'strand')}, a length "
        f"makes {makes}, and a skein gives {how.lengths_per_skein} whole lengths."
    )


def _pieces(frame: pd.DataFrame) -> str:
    names = frame["piece"].unique()
    return str(names[0]) if len(names) == 1 else words.count(len(names), "piece")
