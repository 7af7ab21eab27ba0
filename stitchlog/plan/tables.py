"""The plan's tables as a page shows them."""

from __future__ import annotations

import numpy as np
import pandas as pd

from stitchlog.plan.calendar import say_amount
from stitchlog.plan.commitments import each

HEADINGS = {
    "label": "promise",
    "starts": "from",
    "ends": "to",
    "asks": "target",
    "stands": "stands at",
    "a_day": "stitches a day from here",
    "chance": "chance",
    "alone_chance": "chance if it were alone",
    "status": "status",
}
DAY_HEADINGS = {
    "date": "day",
    "asked": "stitches asked",
    "asks": "of which",
    "ends": "what ends",
    "usual": "usually done since the first day",
}
PROMPT_HEADINGS = {"prompt": "prompt", "needs": "tags", "stitches": "least stitches", "piece": "piece"}
PROMPT_HEADINGS |= {"others": "others that would do", "mend": "what is wanting"}
BAG_HEADINGS = {"piece": "piece", "prompts": "for", "stitches": "stitches asked", "cloth": "cloth"}
BAG_HEADINGS |= {"colours": "colours", "low": "colours running low"}
LENGTH_HEADINGS = {"piece": "piece", "per_length": "stitches a length", "lengths": "lengths to go"}
LENGTH_HEADINGS |= {"a_day": "lengths a day", "days": "days", "done_on": "done on", "sooner": "days sooner"}


def listed(fit: pd.DataFrame) -> pd.DataFrame:
    """A `capacity` frame in the order of its ends, with asks and stands (text: target and worked in their unit), a_day
    (stitches a day from here; NaN for starts) and alone_chance, for `HEADINGS`."""
    rows = fit.sort_values(["ends", "starts"], kind="stable")
    return rows.assign(
        asks=["" if np.isnan(r.target) else say_amount(r.target, r.unit) for r in each(rows)],
        stands=["" if np.isnan(r.worked) else say_amount(r.worked, r.unit) for r in each(rows)],
        a_day=np.ceil((rows["per_day_needed"] * rows["per_unit"]).where(rows["unit"] != "pieces")),
        alone_chance=rows["alone"],
    )
