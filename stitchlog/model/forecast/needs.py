"""What it takes to be done by a day, and what that takes from the other pieces."""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd

from stitchlog.diary.diary import Diary
from stitchlog.errors import StitchlogError
from stitchlog.model.forecast import spells
from stitchlog.model.forecast.finishing import refuse
from stitchlog.model.forecast.future import future
from stitchlog.model.forecast.history import History

_RECENT = 90  # days that say what share a piece has now
_YEAR = 365
_GOOD = 0.9  # a good day: nine in ten stitching days of the last year were no larger
COLUMNS = ["piece", "by", "chance", "days", "per_day", "share", "now_share", "per_stitching_day", "good_day"]
COLUMNS += ["from_others", "beyond"]


def needed(
    diary: Diary,
    piece: str,
    by: Any,
    as_of: Any = None,
    paths: int = 2000,
    seed: int = 0,
    chances: tuple[float, ...] = (0.5, 0.8),
) -> pd.DataFrame:
    """What it takes for `piece` to be finished at the end of the day `by`, with a chance of 50 and of 80 %.

    Columns: piece, by, chance (0 to 1), days (left), per_day (stitches, every day), share (of the stitcher's stitches
    until then; above 1: more than there usually is), now_share (of the last 90 days), per_stitching_day (on each day
    that is stitched at all), good_day (stitches of a good day: nine in ten of the last year were no larger),
    from_others (stitches a week that other pieces give up), beyond (bool: asks more than a good day). The stitcher's
    days until `by` are simulated; `share` is what the piece must get of them so that `chance` of the paths get there.
    Raises StitchlogError as `finish`, and where `by` is not after `as_of`.
    """
    ahead = future(diary.at(as_of), paths, seed)
    about = ahead.past.standing.iloc[ahead.past.row(diary.piece(piece))]
    refuse(about, ahead.past, asked=True)
    days = (pd.Timestamp(by) - ahead.as_of).days
    if days < 1:
        raise StitchlogError(f"the day to be done by, {pd.Timestamp(by).date()}, is not after {ahead.as_of.date()}")
    coming = ahead.daily(days)
    total, worked = coming.sum(axis=1), (coming > 0).sum() / paths
    left = 0.0 if about["status"] == "finished" else float(about["remaining"])
    rows = []
    now = now_share(ahead.past, about["piece"])
    good = good_day_of(ahead.past.everything)
    usual = float(total.mean())
    for chance in chances:
        low = float(np.quantile(total, 1.0 - chance, method="inverted_cdf"))
        share = 0.0 if left <= 0 else left / low if low > 0 else np.inf
        each = share * usual / worked if worked > 0 else np.inf
        rows.append(
            {
                "piece": about["piece"],
                "by": pd.Timestamp(by),
                "chance": chance,
                "days": days,
                "per_day": share * usual / days if np.isfinite(share) else np.inf,
                "share": share,
                "now_share": now,
                "per_stitching_day": each,
                "good_day": good,
                "from_others": max(0.0, min(share, 1.0) - now) * usual / days * spells.WEEK,
                "beyond": bool(each > good or share > 1.0),
            }
        )
    return pd.DataFrame(rows, columns=COLUMNS)


def now_share(past: History, piece: str) -> float:
    """The piece's share of the stitches of the last 90 days (0 where there are none)."""
    everything = past.everything[-_RECENT:].sum()
    return float(max(past.own(piece)[-_RECENT:].sum(), 0.0) / everything) if everything > 0 else 0.0


def good_day_of(everything: np.ndarray) -> float:
    """Stitches of a good day, from the stitching days of the last year (of all the diary where it has none; NaN: none).

    everything: stitches a day, the last day last.
    """
    year = everything[-_YEAR:]
    worked = year[year > 0] if (year > 0).any() else everything[everything > 0]
    return float(np.quantile(worked, _GOOD)) if len(worked) else float("nan")
