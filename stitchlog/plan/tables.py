"""The plan's tables as a page shows them."""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd

from stitchlog import words
from stitchlog.plan.calendar import say_amount
from stitchlog.plan.commitments import each
from stitchlog.plan.course import spans
from stitchlog.plan.says import say_chance

HEADINGS = {
    "label": "promise",
    "ends": "ends",
    "stands": "stands at",
    "a_day": "a day",
    "said": "chance",
    "said_alone": "if alone",
}
DAY_HEADINGS = {"days": "days", "asked": "stitches a day", "asks": "for", "ends": "what ends"}
PROMPT_HEADINGS = {"prompt": "prompt", "needs": "tags", "stitches": "least stitches", "piece": "piece"}
PROMPT_HEADINGS |= {"others": "others that would do", "mend": "what is wanting"}
BAG_HEADINGS = {"piece": "piece", "prompts": "for", "stitches": "stitches", "cloth": "cloth"}
BAG_HEADINGS |= {"needle_case": "colours (skeins left where half or less)"}
LENGTH_HEADINGS = {"piece": "piece", "per_length": "stitches a length", "lengths": "lengths to go"}
LENGTH_HEADINGS |= {"a_day": "lengths a day", "days": "days", "done_on": "done on", "sooner": "days sooner"}


def promised(fit: pd.DataFrame) -> pd.DataFrame:
    """A `capacity` frame in the order of its ends, for `HEADINGS`.

    Adds stands (worked and target), a_day (stitches a day from here; NaN for starts), said and said_alone (the chances
    in words).
    """
    rows = fit.sort_values(["ends", "starts"], kind="stable")
    return rows.assign(
        stands=[say_stand(r) for r in each(rows)],
        a_day=np.ceil((rows["per_day_needed"] * rows["per_unit"]).where(rows["unit"] != "pieces")),
        said=[say_level(r, fit.attrs["as_of"]) for r in each(rows)],
        said_alone=[
            "" if np.isnan(r.alone) or r.ends <= fit.attrs["as_of"] else say_chance(r.alone) for r in each(rows)
        ],
    )


def days(course: pd.DataFrame) -> pd.DataFrame:
    """The spans of a `course` with their days in words, for `DAY_HEADINGS`."""
    out = spans(course)
    return out.assign(days=[words.period(r["from"], r["to"]) for r in out.to_dict("records")])


def say_stand(row: Any) -> str:
    """Worked and target of a promise, in its unit."""
    if np.isnan(row.target):
        return "no target" if row.kind == "target" else "not known"
    return f"{say_amount(row.worked, row.unit).split(' ')[0]} of {say_amount(row.target, row.unit)}"


def say_level(row: Any, as_of: pd.Timestamp) -> str:
    """A promise's chance in words, or how it stands where there is none to tell."""
    if row.ends <= as_of or np.isnan(row.chance) or row.status in ("met", "piece finished"):
        return {"unknown": "cannot be told", "now": "no target", "to come": "no target"}.get(row.status, row.status)
    return say_chance(row.chance)
