"""Thread by colour: what a piece took, what it still takes, what is on hand, and whether that will do."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any
from zlib import crc32

import numpy as np
import pandas as pd

from stitchlog.diary.diary import Diary
from stitchlog.model.thread import basket
from stitchlog.model.thread.spending import Ledger, Thread, thread_of

# Simulated paths of the sessions to come.
PATHS = 500
# So many rows of a colour, else of its piece, else of the diary, must be there before their spending is a guide.
LEAST_ROWS = 5
# How a diary spent thread long ago says little; the latest rows do.
MOST_ROWS = 25
# To be safe means: on so many of a hundred simulated paths.
SURE = 0.95
_EPS = 1e-9


@dataclass(frozen=True)
class Expected:
    """What a piece took and still needs, by colour.

    codes; whole (stitches of the whole piece); left (stitches); used (lengths so far); skeins (still needed, of whole
    lengths, NaN: unknown); charted (the split is the chart's); guides (what says how each colour's thread is spent).
    """

    codes: list[str]
    whole: np.ndarray
    left: np.ndarray
    used: np.ndarray
    skeins: np.ndarray
    charted: bool
    guides: dict[str, np.ndarray]

    @property
    def known(self) -> bool:
        """Whether colours, fabric and stitches are known, so that the skeins are."""
        return self.codes != [""] and not np.isnan(self.skeins).any()


@dataclass(frozen=True)
class Need:
    """An `Expected` with the skeins still needed on each simulated path (paths x codes; NaN: unknown)."""

    expected: Expected
    paths: np.ndarray


def provision(diary: Diary, codes: list[str], expected: np.ndarray, paths: np.ndarray) -> pd.DataFrame:
    """What is on hand of each colour against the skeins still needed: expected, and on each path (paths x codes).

    Columns: code, name, hex, on_hand, needed_skeins, needed_low, needed_high, to_buy, chance_enough, to_be_safe, as in
    `materials.thread`.
    """
    known = basket.about(diary, codes)
    on_hand = basket.on_hand(diary).reindex(codes).fillna(0.0).to_numpy(float)
    low, high, sure = np.quantile(paths, (0.05, 0.95, SURE), axis=0)
    enough = (paths <= on_hand + _EPS).mean(axis=0)
    return pd.DataFrame(
        {
            "code": codes,
            "name": known["name"].tolist(),
            "hex": known["hex"].tolist(),
            "on_hand": on_hand,
            "needed_skeins": expected,
            "needed_low": low,
            "needed_high": high,
            "to_buy": whole_skeins(expected - on_hand),
            "chance_enough": np.where(np.isnan(expected), np.nan, enough),
            "to_be_safe": np.maximum(whole_skeins(sure - on_hand), whole_skeins(expected - on_hand)),
        }
    )


def shortest_first(frame: pd.DataFrame) -> pd.DataFrame:
    """A frame of `provision` sorted by what is missing, most first."""
    short = (frame["on_hand"] - frame["needed_skeins"]).sort_values(kind="stable")
    return frame.loc[short.index].reset_index(drop=True)


def whole_skeins(short: np.ndarray) -> np.ndarray:
    """Whole skeins that make up for what is short; NaN stays."""
    whole: np.ndarray = np.ceil(np.clip(short, 0.0, None) - _EPS) + 0.0
    return whole


def expected(book: Ledger, piece: str, how: Thread | None = None) -> Expected:
    """What `piece` took and is expected to need still, colour by colour; code '' where it names none.

    how: on another fabric than its own.
    """
    if how is not None:
        return _expected(book, piece, how)
    return book.diary.once(("expected thread", piece), lambda: _expected(book, piece, thread_of(book.diary, piece)))


def needs(book: Ledger, piece: str) -> Need:
    """What `piece` still needs, colour by colour, on simulated paths."""
    return book.diary.once(("thread needs", piece), lambda: _needs(book, piece))


def _expected(book: Ledger, piece: str, how: Thread) -> Expected:
    rows, chart = book.of(piece), book.chart(piece)
    standing: Any = book.standing.loc[piece]
    if rows.empty and len(chart) and not standing["done"] > 0:
        return _of_the_chart(book, chart, float(standing["total"]), how)
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
    else:
        left = remaining * split
        whole = kept + before + left
    guides = _guides(book, rows, codes)
    over = np.array([_overhead(guides[c], how) for c in codes])
    used = rows.groupby("code")["lengths"].sum().reindex(codes).fillna(0.0).to_numpy(float)
    used = used + how.bare_lengths(before) * over
    return Expected(codes, whole, left, used, how.bare_lengths(left * over) / how.lengths_per_skein, charted, guides)


def _of_the_chart(book: Ledger, chart: pd.Series, total: float, how: Thread) -> Expected:
    """What a piece of which nothing is worked takes, by its chart."""
    codes = chart.index.tolist()
    whole = left = chart.to_numpy(float)
    if math.isfinite(total) and whole.sum() > 0:
        left = whole * total / whole.sum()
    guide = _wide_guide(book)
    skeins = how.bare_lengths(left * _overhead(guide, how)) / how.lengths_per_skein
    return Expected(
        codes, whole, left, np.zeros(len(codes)), skeins, bool(whole.sum() > 0), dict.fromkeys(codes, guide)
    )


def _needs(book: Ledger, piece: str) -> Need:
    known, how = expected(book, piece), thread_of(book.diary, piece)
    rng = np.random.default_rng([0, crc32(piece.encode())])
    stitches = np.tile(known.left, (PATHS, 1))
    if not known.charted:
        rows, remaining = book.of(piece), float(known.left.sum())
        stitches = remaining * _splits(rows, known.codes, _shares(known), remaining, rng)
    over = [_overheads(known.guides[c], how, n, rng) for c, n in zip(known.codes, known.left, strict=True)]
    return Need(known, how.bare_lengths(stitches * np.column_stack(over)) / how.lengths_per_skein)


def _shares(known: Expected) -> np.ndarray:
    """The share of each colour in the stitches left; even shares where none are left."""
    left = known.left.sum()
    return known.left / left if left > 0 else np.full(len(known.codes), 1.0 / len(known.codes))


def _split(stitches: pd.Series, codes: list[str]) -> np.ndarray:
    """The share of each code in `stitches`; the same for each where there are none."""
    shares = stitches / stitches.sum() if stitches.sum() > 0 else pd.Series(1.0 / len(codes), index=codes)
    return shares.reindex(codes).fillna(0.0).to_numpy(float)


def _splits(
    rows: pd.DataFrame, codes: list[str], split: np.ndarray, remaining: float, rng: np.random.Generator
) -> np.ndarray:
    """Simulated splits of what is to come (paths x codes): sessions like those so far, drawn again."""
    days = rows.pivot_table(index="date", columns="code", values="kept", aggfunc="sum", fill_value=0.0)
    table: np.ndarray = days.reindex(columns=codes, fill_value=0.0).to_numpy(float)[-MOST_ROWS:]
    table = table[table.sum(axis=1) > 0]
    if len(table) < 2 or len(codes) == 1 or not math.isfinite(remaining):
        return np.tile(split, (PATHS, 1))
    drawn: np.ndarray = _draws(len(table), remaining / table.sum(axis=1).mean(), rng) @ table
    # Drawn about the split so far of all sessions, of which the table holds the latest.
    centre = table.sum(axis=0) / table.sum()
    moved: np.ndarray = np.divide(split, centre, out=np.ones_like(split), where=centre > 0)
    moved = drawn / drawn.sum(axis=1, keepdims=True) * moved
    moved[:, centre == 0] = split[centre == 0]
    out: np.ndarray = moved / moved.sum(axis=1, keepdims=True)
    return out


def _overheads(guide: np.ndarray, how: Thread, to_come: float, rng: np.random.Generator) -> np.ndarray:
    """Thread taken over the least possible (1: no tail, no waste), simulated for the stitches to come of one colour."""
    usual = np.full(PATHS, _overhead(guide, how))
    if not len(guide) or not math.isfinite(to_come):
        return usual
    kept, lengths, bare = guide.T
    drawn: np.ndarray = _draws(len(guide), to_come / max(kept.mean(), 1.0), rng)
    out: np.ndarray = np.divide(drawn @ lengths, drawn @ bare, out=usual, where=drawn @ bare > 0)
    return out


def _overhead(guide: np.ndarray, how: Thread) -> float:
    """Thread taken over the least possible, all rows of a guide together; without one, no needleful is cut short."""
    _, lengths, bare = guide.sum(axis=0)
    if bare > 0:
        return float(lengths / bare)
    return float(how.lengths(how.per_needleful, 1.0) / how.bare_lengths(how.per_needleful))


def _guides(book: Ledger, rows: pd.DataFrame, codes: list[str]) -> dict[str, np.ndarray]:
    """What says how thread is spent on each colour: its own latest rows, else its piece's, else the whole diary's.

    A guide has the columns kept, lengths, bare_kept, and no row where nothing is a guide.
    """
    wider = _guide(rows)
    wider = wider if len(wider) >= LEAST_ROWS else _wide_guide(book)
    own = {str(code): _guide(found) for code, found in rows.groupby("code")}
    return {code: own[code] if len(own.get(code, ())) >= LEAST_ROWS else wider for code in codes}


def _wide_guide(book: Ledger) -> np.ndarray:
    """The guide of the whole diary; no row where it has too few."""
    guide = book.diary.once("thread guide", lambda: _guide(book.spent))
    return guide if len(guide) >= LEAST_ROWS else guide[:0]


def _guide(rows: pd.DataFrame) -> np.ndarray:
    values: np.ndarray = rows[["kept", "lengths", "bare_kept"]].to_numpy(float)
    latest: np.ndarray = values[np.isfinite(values).all(axis=1) & (values[:, 1] > 0)][-MOST_ROWS:]
    return latest


def _draws(rows: int, times: float, rng: np.random.Generator) -> np.ndarray:
    """How often each of `rows` comes in each path: `times` draws with weights that are themselves uncertain."""
    weights = rng.standard_exponential((PATHS, rows))
    return rng.multinomial(min(max(1, math.ceil(times)), 10_000), weights / weights.sum(axis=1, keepdims=True))
