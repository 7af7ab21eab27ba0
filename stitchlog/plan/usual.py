"""A stitcher's usual good day."""

from __future__ import annotations

import pandas as pd

from stitchlog.diary import Diary
from stitchlog.forecast.needs import good_day_of


def good_day(diary: Diary, as_of: pd.Timestamp | str | None = None) -> float:
    """Stitches of this stitcher's usual good day, seen from `as_of`: nine stitching days in ten of the year before were
    no larger. The same as the forecast's. NaN where no stitch was worked by then."""
    day = diary.last_day if as_of is None else pd.Timestamp(as_of)
    daily = diary.daily()
    if daily.empty or daily.index[0] > day:
        return float("nan")
    return good_day_of(daily.reindex(pd.date_range(daily.index[0], day), fill_value=0.0).to_numpy(float))
