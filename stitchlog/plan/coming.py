"""The days to come, as a plan needs them: the forecast's own futures, seen by somebody who means to go on."""

from __future__ import annotations

import numpy as np
import pandas as pd

from stitchlog.diary import Diary
from stitchlog.forecast import spells
from stitchlog.forecast.paths import amounts_of, futures, sizes

# Log rates of stitching days around which a stitcher's own seasons may vary; the diary says which of them are likely.
# The forecast of a finish, years ahead, lets a changed season begin anywhere; a plan is for weeks, by one who goes on.
USUAL = (-3.9, -3.1, -2.3, -1.5, -0.7, 0.1, 0.9)


def coming_days(diary: Diary, day: pd.Timestamp, until: pd.Timestamp, paths: int, seed: int) -> np.ndarray:
    """Simulated stitches a day after `day` up to `until`, all pieces together, shape (paths, days)."""
    ahead = 0 if pd.isna(until) or pd.isna(day) else max(0, (until - day).days)
    out = np.zeros((paths, ahead), np.float32)
    daily = diary.daily()
    if daily.empty or daily.index[0] > day:
        return out
    amounts = amounts_of(daily.reindex(pd.date_range(daily.index[0], day), fill_value=0.0))
    if not (amounts > 0).any():
        return out
    begin = 0
    for stretch in futures([spells.read(amounts != 0, typical=USUAL)], sizes(amounts), paths, seed):
        out[:, begin : begin + stretch.days] = stretch.dense()[:, : ahead - begin]
        begin += stretch.days
        if begin >= ahead:
            break
    return out
