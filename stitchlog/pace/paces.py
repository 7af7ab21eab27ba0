"""Which piece goes how fast, and how sure that is."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from stitchlog.diary import Diary
from stitchlog.errors import StitchlogError
from stitchlog.pace import counted, factors
from stitchlog.pace.pooling import Pooled, pool

# The chance that every window of this module holds.
CHANCE = 0.90

COLUMNS = ["piece", "per_hour", "per_hour_low", "per_hour_high", "per_session", "per_active_day", "hours", "sessions"]
EXTRA = ["per_calendar_day", "fair_per_hour", "raw_per_hour", "worked_per_hour", "timed_hours", "timed_sessions"]
EXTRA += ["estimated", "stitches"]


@dataclass(frozen=True)
class Pools:
    """The pieces' paces pooled: `pieces` names the positions of `pooled`; `means` is what went in."""

    pieces: pd.Index
    pooled: Pooled
    means: counted.PieceMeans

    def position(self, piece: str) -> int | None:
        return int(self.pieces.get_loc(piece)) if piece in self.pieces else None


def pools(rows: pd.DataFrame) -> Pools:
    """`rows`: sessions from `counted.until`."""
    means = counted.piece_means(rows[rows["counts"]])
    return Pools(means.pieces, pool(means.log_pace, means.variance, means.df), means)


def compare(diary: Diary, as_of: pd.Timestamp | str | None = None) -> pd.DataFrame:
    """Every piece that has a session by the end of the day `as_of` (None: the whole diary), the fastest first.

    Columns: piece; per_hour, per_hour_low, per_hour_high (stitches kept an hour, drawn towards the stitcher's own overall
    pace by as little as the piece's sessions allow, with the window that holds the true figure with a chance of 90 %;
    NaN where no session of the piece is timed); per_session, per_active_day (stitches; every session counts, estimated
    ones too); hours (all time written down); sessions; per_calendar_day (stitches, first to last session); fair_per_hour
    (what the piece would make at the stitcher's typical conditions: per_hour less what the supported effects of cloth,
    colours and the rest explain); raw_per_hour (stitches over hours of the timed sessions, not drawn anywhere);
    worked_per_hour (the same before unpicking); timed_hours and timed_sessions (what the hourly figures rest on);
    estimated (sessions whose stitches were worked out from their time); stitches (all, kept).

    Unpicked stitches are taken off per_hour, and the time they took stays in: it is the pace at which the cloth fills.
    Untimed and estimated sessions never touch an hourly figure. Partial pooling: see `pooling.pool`.
    .attrs: overall, overall_low, overall_high (the stitcher's own pace, stitches an hour), stray (how far a session
    of an hour strays from its piece's pace, relative), not_credible (sessions left aside as too fast to be true).
    """
    rows = counted.until(diary, as_of)
    known = pools(rows)
    out = _totals(rows)
    if len(known.pieces):
        low, high = known.pooled.window(CHANCE)
        paces = pd.DataFrame(
            {
                "per_hour": np.exp(known.pooled.expected()),
                "per_hour_low": np.exp(low),
                "per_hour_high": np.exp(high),
            },
            index=known.pieces,
        )
    else:
        paces = pd.DataFrame(columns=["per_hour", "per_hour_low", "per_hour_high"], dtype=float)
    out = out.join(paces)
    out["fair_per_hour"] = out["per_hour"] * np.exp(-factors.explained(diary, rows).reindex(out.index).fillna(0.0))
    out = out.rename_axis("piece").reset_index()
    out = out.sort_values(["per_hour", "piece"], ascending=[False, True], na_position="last", kind="stable")
    out = out[COLUMNS + EXTRA].reset_index(drop=True)
    out.attrs = {"not_credible": int(rows["not_credible"].sum()), **_overall(known)}
    return out


def faster(diary: Diary, a: str, b: str, as_of: pd.Timestamp | str | None = None) -> float:
    """The chance, 0 to 1, that piece `a` really goes faster than piece `b` (NaN where either has no timed session).

    Raises StitchlogError where either is not a piece of this diary, or both are the same.
    """
    a, b = diary.piece(a), diary.piece(b)
    if a == b:
        raise StitchlogError(f'"{a}" cannot be compared with itself; name two pieces')
    known = pools(counted.until(diary, as_of))
    first, second = known.position(a), known.position(b)
    if first is None or second is None:
        return float("nan")
    return known.pooled.chance_above(first, second)


def _totals(rows: pd.DataFrame) -> pd.DataFrame:
    by = rows.groupby("piece")
    out = by.agg(
        stitches=("stitches", "sum"),
        sessions=("stitches", "size"),
        days=("date", "nunique"),
        first=("date", "min"),
        last=("date", "max"),
        hours=("hours", "sum"),
        estimated=("estimated", "sum"),
    )
    timed = (
        rows[rows["counts"]]
        .groupby("piece")
        .agg(
            timed_sessions=("hours", "size"),
            timed_hours=("hours", "sum"),
            worked=("worked", "sum"),
            kept=("stitches", "sum"),
        )
    )
    out = out.join(timed)
    out["raw_per_hour"] = out["kept"] / out["timed_hours"]
    out["worked_per_hour"] = out["worked"] / out["timed_hours"]
    out[["timed_sessions", "timed_hours"]] = out[["timed_sessions", "timed_hours"]].fillna(0)
    whole = ["sessions", "estimated", "timed_sessions"]
    out[whole] = out[whole].astype(int)
    out["per_session"] = out["stitches"] / out["sessions"]
    out["per_active_day"] = out["stitches"] / out["days"]
    out["per_calendar_day"] = out["stitches"] / ((out["last"] - out["first"]).dt.days + 1)
    return out


def _overall(known: Pools) -> dict[str, float]:
    """The family's mean, and the window of that mean."""
    if not len(known.pieces):
        return {
            "overall": float("nan"),
            "overall_low": float("nan"),
            "overall_high": float("nan"),
            "stray": float("nan"),
        }
    from stitchlog.pace.pooling import quantile

    pooled = known.pooled
    df = np.full((len(pooled.weight), 1), max(len(known.pieces) - 1.0, 1.0))
    sd = np.sqrt(pooled.middle_var)[:, None]
    low, high = (
        float(np.exp(quantile(p, pooled.weight, pooled.middle[:, None], sd, df)[0]))
        for p in ((1 - CHANCE) / 2, (1 + CHANCE) / 2)
    )
    middle = float(np.exp(pooled.weight @ pooled.middle))
    return {"overall": middle, "overall_low": low, "overall_high": high, "stray": known.means.stray}
