"""A stitcher's usual good day, and what to say where a plan asks for more."""

from __future__ import annotations

import numpy as np
import pandas as pd

from stitchlog import words
from stitchlog.diary import Diary

# A good day is one that four stitching days in five do not reach, over the last half year.
GOOD_SHARE = 0.8
MONTHS = 6
# With fewer stitching days than this in that time, the whole diary is looked at.
ENOUGH_DAYS = 10

ADVICE = (
    "Short breaks often, good light and a supported back help more than one long rest; look up from the cloth now and "
    "then. Pain, numbness or tingling is a matter for a doctor or physiotherapist. A smaller plan is a good plan too."
)


def good_day(diary: Diary, as_of: pd.Timestamp | str | None = None, months: int = MONTHS) -> float:
    """Stitches of this stitcher's usual good day: the 80th percentile of stitching days in the `months` up to `as_of`.

    NaN where no stitch was worked by then. With under ten stitching days in that time, the whole diary counts.
    """
    day = diary.last_day if as_of is None else pd.Timestamp(as_of)
    daily = diary.daily()
    active = daily[(daily > 0) & (daily.index <= day)]
    recent = active[active.index > day - pd.DateOffset(months=months)]
    days = recent if len(recent) >= ENOUGH_DAYS else active
    return float(np.quantile(days, GOOD_SHARE)) if len(days) else float("nan")


def say_care(name: str, per_day: float, good: float) -> str:
    """The caution for one thing that asks for `per_day` stitches; empty where that is within a usual good day.

    >>> say_care("Owl Light", 100, 120)
    ''
    """
    if not per_day > good:
        return ""
    return (
        f"{name} asks for {words.number(np.ceil(per_day))} stitches a day from here; "
        f"a good day of yours is {words.number(good)}. {ADVICE}"
    )
