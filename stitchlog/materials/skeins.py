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

from stitchlog.diary import Diary
from stitchlog.materials import basket
from stitchlog.materials.spending import Ledger, Thread, ledger, thread_of

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
    come, simulated: paths x codes); charted (the split is the chart's).
    """

    piece: str
    codes: list[str]
    whole: np.ndarray
    stitches: np.ndarray
    used: np.ndarray
    skeins: np.ndarray
    charted: bool


def thread(
    diary: Diary, piece: str, as_of: pd.Timestamp | str | None = None, paths: int = 500, seed: int = 0
) -> pd.DataFrame:
    """A row a colour of `piece`, the one that runs shortest first.

    Columns: code; stitches (of the whole piece); length_m (metres off the skein for the whole piece, all strands
    together, tails and waste included); skeins (the same in skeins of whole lengths); on_hand (skeins, 0 where
    `threads.csv` does not list the colour); to_buy (whole skeins still to buy: what is still to come beyond what is on
    hand); name, hex; stitches_to_come; used_m (spent so far, what was worked before the diary at the same rate);
    to_come_m, to_come_skeins (expected), to_come_low and to_come_high (skeins; 90 % of the simulated courses between);
    chance_enough (0 to 1, that what is on hand will do); to_be_sure (whole skeins to buy that will do in 95 % of them);
    piece.
    NaN where the cloth's count, or the stitches to come, are not known. A piece without colours has one row, code ''.

    The whole is the chart's where `chart_colours.csv` has it; else the split so far stands for the rest. Thread per
    stitch: the needle's path (`needle.cm_per_stitch`), a tail at both ends of each needleful, and as many starts and as
    much unpicking as this diary's sessions took. Courses are drawn from those sessions (the Bayesian bootstrap of
    Rubin, 1981).
    """
    return thread_each(diary, [piece], as_of, paths, seed)


def thread_each(
    diary: Diary, pieces: Iterable[str], as_of: pd.Timestamp | str | None = None, paths: int = 500, seed: int = 0
) -> pd.DataFrame:
    """The rows of `thread` for several pieces, sorted as one; each piece as if it alone had what is on hand."""
    book = ledger(diary, as_of)
    frames = [_thread(book, diary.piece(piece), paths, seed) for piece in pieces]
    if not frames:
        return pd.DataFrame(columns=COLUMNS)
    out = pd.concat(frames, ignore_index=True)
    out = out.assign(short=out["to_come_skeins"] - out["on_hand"])
    out = out.sort_values("short", ascending=False, kind="stable")[COLUMNS].reset_index(drop=True)
    out.attrs = {"how": {frame.attrs["piece"]: frame.attrs for frame in frames}}
    return out


def _thread(book: Ledger, piece: str, paths: int, seed: int) -> pd.DataFrame:
    diary = book.diary
    how = thread_of(diary, piece)
    need = needs(book, piece, paths, seed)
    used, to_come = need.used, need.skeins.mean(axis=0)
    metre, whole_skein = how.length_m, how.lengths_per_skein
    on_hand = basket.on_hand(diary).reindex(need.codes).fillna(0.0).to_numpy(float)
    low, high, sure = np.quantile(need.skeins, (0.05, 0.95, SURE), axis=0)
    out = pd.DataFrame(
        {
            "code": need.codes,
            "stitches": need.whole,
            "length_m": used * metre + to_come * whole_skein * metre,
            "skeins": used / whole_skein + to_come,
            "on_hand": on_hand,
            "to_buy": whole_skeins(to_come - on_hand),
            "stitches_to_come": need.stitches,
            "used_m": used * metre,
            "to_come_m": to_come * whole_skein * metre,
            "to_come_skeins": to_come,
            "to_come_low": low,
            "to_come_high": high,
            "chance_enough": chance_enough(need.skeins, on_hand),
            "to_be_sure": whole_skeins(sure - on_hand),
        }
    )
    known = basket.about(diary, need.codes)
    out["name"] = ["all colours together" if code == "" else known.loc[code, "name"] for code in need.codes]
    out["hex"] = known["hex"].tolist()
    out = out.assign(piece=piece)[COLUMNS]
    rows = book.spent[book.spent["piece"] == piece]
    out.attrs = {"piece": piece, "charted": need.charted}
    out.attrs |= {how: _share(rows, how) for how in ("coloured", "counted")}
    return out


@functools.lru_cache(maxsize=256)  # thread, stash and shopping list rest on the same courses
def needs(book: Ledger, piece: str, paths: int = 500, seed: int = 0) -> Need:
    """What `piece` still takes, colour by colour, in `paths` simulated courses (skeins of whole lengths, NaN: unknown).

    paths: 0 gives one course, the expected one.
    """
    diary = book.diary
    how = thread_of(diary, piece)
    rows = book.spent[book.spent["piece"] == piece]
    standing: Any = book.standing.loc[piece]
    rng = np.random.default_rng([seed, crc32(piece.encode())])
    chart = diary.chart_colours[diary.chart_colours["piece"] == piece].groupby("code")["stitches"].sum()
    kept_by = rows.groupby("code")["kept"].sum()
    codes = sorted(set(chart.index) | set(kept_by.index)) or [""]
    kept = kept_by.reindex(codes).fillna(0.0).to_numpy(float)
    remaining = 0.0 if standing["status"] == "finished" else float(standing["remaining"])
    split = _split(kept_by, codes, chart)
    before = max(float(standing["done"]) - kept.sum(), 0.0) * split
    if chart.sum() > 0:
        whole = chart.reindex(codes).fillna(0.0).to_numpy(float)
        left = np.clip(whole - kept - before, 0.0, None)
        if math.isfinite(remaining) and left.sum() > 0:
            left = left * remaining / left.sum()
        stitches = np.tile(left, (max(paths, 1), 1))
    else:
        stitches = remaining * _splits(rows, codes, split, remaining, paths, rng)
        left = remaining * split
        whole = kept + before + left
    guides = _guides(book.spent, rows, codes)
    over = np.column_stack([_overheads(guides[c], how, n, paths, rng) for c, n in zip(codes, left, strict=True)])
    skeins = how.bare_lengths(stitches * over) / how.lengths_per_skein
    used = rows.groupby("code")["lengths"].sum().reindex(codes).fillna(0.0).to_numpy(float)
    used = used + how.bare_lengths(before) * [_overhead(guides[c], how) for c in codes]
    return Need(piece, codes, whole, left, used, skeins, bool(chart.sum() > 0))


def whole_skeins(short: np.ndarray) -> np.ndarray:
    """Whole skeins that make good what is short; NaN stays."""
    return np.ceil(np.clip(short, 0.0, None) - _EPS) + 0.0


def chance_enough(skeins: np.ndarray, on_hand: np.ndarray) -> np.ndarray:
    """The share of the simulated courses (paths x codes) in which what is on hand will do; NaN where unknown."""
    enough = (skeins <= on_hand + _EPS).mean(axis=0) if len(skeins) else np.ones(len(on_hand))
    return np.where(np.isnan(skeins).any(axis=0), np.nan, enough)


def _split(kept: pd.Series, codes: list[str], chart: pd.Series) -> np.ndarray:
    """The share of each code: the chart's, else that of the stitches kept so far."""
    stitches = chart if chart.sum() > 0 else kept
    shares = stitches / stitches.sum() if stitches.sum() > 0 else pd.Series(1.0 / len(codes), index=codes)
    return shares.reindex(codes).fillna(0.0).to_numpy(float)


def _splits(
    rows: pd.DataFrame, codes: list[str], split: np.ndarray, remaining: float, paths: int, rng: np.random.Generator
) -> np.ndarray:
    """Simulated splits of what is to come (paths x codes): sessions like those so far, drawn again."""
    table = rows.pivot_table(index=["date"], columns="code", values="kept", aggfunc="sum", fill_value=0.0)
    table = table.reindex(columns=codes, fill_value=0.0).to_numpy(float)[-MOST_ROWS:]
    table = table[table.sum(axis=1) > 0]
    if len(table) < 2 or len(codes) == 1 or not math.isfinite(remaining) or not paths:
        return np.tile(split, (max(paths, 1), 1))
    times = max(1, math.ceil(remaining / table.sum(axis=1).mean()))
    drawn = _draws(len(table), times, paths, rng) @ table
    # Drawn about the split so far of all sessions, of which the table holds the latest.
    centre = table.sum(axis=0) / table.sum()
    moved = (
        drawn / drawn.sum(axis=1, keepdims=True) * np.divide(split, centre, out=np.ones_like(split), where=centre > 0)
    )
    moved[:, centre == 0] = split[centre == 0]
    return moved / moved.sum(axis=1, keepdims=True)


def _overheads(guide: np.ndarray, how: Thread, to_come: float, paths: int, rng: np.random.Generator) -> np.ndarray:
    """Thread taken over the least possible (1: no tail, no waste), simulated for the stitches to come of one colour."""
    if not len(guide) or not math.isfinite(to_come) or not paths:
        return np.full(max(paths, 1), _overhead(guide, how))
    kept, lengths, bare = guide.T
    times = max(1, math.ceil(to_come / max(kept.mean(), 1.0)))
    drawn = _draws(len(guide), times, paths, rng)
    return np.divide(drawn @ lengths, drawn @ bare, out=np.full(paths, _overhead(guide, how)), where=drawn @ bare > 0)


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


def _draws(rows: int, times: int, paths: int, rng: np.random.Generator) -> np.ndarray:
    """How often each of `rows` comes in each path: `times` draws with weights that are themselves uncertain."""
    weights = rng.standard_exponential((paths, rows))
    return rng.multinomial(min(times, 10_000), weights / weights.sum(axis=1, keepdims=True))


def _share(rows: pd.DataFrame, which: str) -> float:
    """The share of the stitches worked in rows where `which` is true; NaN where there are none."""
    worked = rows["worked"].sum()
    return float(rows.loc[rows[which], "worked"].sum() / worked) if worked > 0 else math.nan
