"""Which sessions say something about pace, and how far single sessions stray from their piece's pace."""

from __future__ import annotations

import numpy as np
import pandas as pd

from stitchlog.diary.diary import Diary

# More than this is a slip of the pen: a stitch every 2.4 seconds for a whole session (common practice, no source).
FASTEST_CREDIBLE = 1500.0

# Before the diary says anything, a session is taken to stray from its piece's pace by about 30 %; this weighs as much
# as one session and is soon outvoted (common practice, no source).
STRAY_BEFORE, STRAY_BEFORE_WEIGHT = 0.30, 1.0

# The log of few and skewed sessions strays a little more than its variance says (measured on simulated diaries:
# tests/pace/coverage.py).
WIDER = 1.05

# A session further from its piece's pace than this, relative, counts as this far: one slip shall not blur every window.
MOST_STRAY = 2.0

# How steady the sessions of one piece are is drawn towards what all pieces share, which weighs as much as this many
# sessions: three sessions say next to nothing about it (chosen on simulated diaries: tests/pace/coverage.py).
COMMON_WEIGHT = 20.0

# Candidates, in hours, for how much more a short session strays than a long one: the relative variance of a session of
# h hours is phi (1 + h0 / h). 0: length does not matter; 100: the variance shrinks in proportion to length.
SHORTNESS = (0.0, 0.1, 0.3, 1.0, 3.0, 100.0)


def sessions(diary: Diary) -> pd.DataFrame:
    """The diary's sessions, with `worked` and `hours`.

    Columns added: worked (stitches before unpicking, full-stitch equivalents), hours (NaN: not timed), counts (bool:
    the session says something about stitches an hour), not_credible (bool: too fast to be true, so it does not count).

    A session counts where it is timed, its stitches are not themselves estimated from its time, and stitches were
    worked or unpicked in it; time spent on backstitch, knots or beads alone is not time at cross stitches.
    """
    rows = diary.sessions
    worked = (rows["stitches"] + rows["unpicked"].fillna(0.0)).clip(lower=0.0)
    hours = (rows["minutes"] / 60.0).where(rows["minutes"] > 0)
    timed = hours.notna() & ~rows["estimated"].astype(bool) & ((worked > 0) | (rows["stitches"] < 0))
    too_fast = timed & (worked > FASTEST_CREDIBLE * hours)
    return rows.assign(worked=worked, hours=hours, counts=timed & ~too_fast, not_credible=too_fast)


def piece_means(rows: pd.DataFrame) -> pd.DataFrame:
    """Each piece's stitches over hours, on the log scale, and how well it is known.

    rows: sessions that count, from `sessions`. Pieces whose total is not above 0 are left out.
    Index: piece. Columns: log_pace (log of stitches an hour), variance (of log_pace), df (degrees of freedom behind
    the variance).

    A piece's pace is the ratio of its totals, whatever the sessions' lengths. The spread of single sessions around it
    is estimated for each piece and drawn towards what all pieces share (a variance with a prior of fixed weight).
    """
    totals = rows.groupby("piece")[["stitches", "hours"]].sum()
    rows = rows[rows["piece"].isin(totals.index[totals["stitches"] > 0])]
    codes, pieces = pd.factorize(rows["piece"], sort=True)
    size = len(pieces)
    if size == 0:
        return pd.DataFrame(columns=["log_pace", "variance", "df"], dtype=float)
    hours = rows["hours"].to_numpy(float)
    done = rows["stitches"].to_numpy(float)

    def per_piece(values: np.ndarray) -> np.ndarray:
        return np.bincount(codes, values, size)

    all_hours = per_piece(hours)
    pace = per_piece(done) / all_hours
    sessions = np.bincount(codes, minlength=size)
    relative = np.clip(done / (pace[codes] * hours) - 1.0, -MOST_STRAY, MOST_STRAY)

    def spread(shortness: float) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        # Under Var(done) = phi (pace h)^2 (1 + h0 / h): squared residuals in units of phi, what they sum to on average
        # for phi = 1 (exact for a ratio of totals), and the variance of the piece's log pace for phi = 1.
        inflate = 1.0 + shortness / hours
        unit = per_piece(hours**2 * inflate) / all_hours**2
        squares = per_piece(relative**2 / inflate)
        expect = sessions - 2.0 + per_piece(1.0 / inflate) * unit
        return squares, np.where(sessions > 1, expect, 0.0), unit

    def badness(shortness: float) -> float:
        squares, expect, _ = spread(shortness)
        phi = _pooled(squares, expect) * (1.0 + shortness / hours)
        many = sessions[codes] > 1
        return float(np.sum((np.log(phi) + relative**2 / phi)[many]))

    squares, expect, unit = spread(min(SHORTNESS, key=badness))
    # Each piece's phi drawn towards the common one, and the degrees of freedom of the result.
    phi = (COMMON_WEIGHT * _pooled(squares, expect) + squares) / (COMMON_WEIGHT + expect)
    df = np.minimum(COMMON_WEIGHT + expect, expect.sum() + STRAY_BEFORE_WEIGHT)
    return pd.DataFrame({"log_pace": np.log(pace), "variance": WIDER * phi * unit, "df": df}, index=pieces)


def _pooled(squares: np.ndarray, expect: np.ndarray) -> float:
    return float((squares.sum() + STRAY_BEFORE_WEIGHT * STRAY_BEFORE**2) / (expect.sum() + STRAY_BEFORE_WEIGHT))
