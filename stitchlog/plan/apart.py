"""Past stitches where an event keeps its own to itself: which of them the other commitments may not count."""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd

from stitchlog.plan.commitments import each


def keep_apart(counted: dict[int, pd.DataFrame], rows: pd.DataFrame) -> dict[int, pd.DataFrame]:
    """`counted` (a frame a commitment: date, piece, stitches, worth) with every stitch of an event that is not shared
    taken out of the others.

    Day by day and piece by piece the nearest end is served first, up to its target. A commitment that is not shared may
    not take what a shared one has counted. What is left over when all are served counts for whoever may count it.
    """
    sums = {i: frame.groupby(["date", "piece"])[["stitches", "worth"]].sum() for i, frame in counted.items()}
    stitches = {i: dict(frame["stitches"].items()) for i, frame in sums.items()}
    worth: dict[int, Any] = {i: dict(frame["worth"].items()) for i, frame in sums.items()}
    order = list(each(rows.sort_values(["ends", "starts"], kind="stable")))
    so_far = dict.fromkeys(worth, 0.0)
    for at in sorted({at for own in worth.values() for at in own}):
        today = [row for row in order if at in worth[row.Index]]
        total = stitches[today[0].Index][at]
        if total > 0 and not all(row.shared for row in today):
            _share_out(worth, so_far, today, at, total)
        for row in today:
            so_far[row.Index] += worth[row.Index][at]
    return {
        i: pd.DataFrame(
            {"date": [day for day, _ in own], "piece": [piece for _, piece in own], "worth": list(own.values())}
        ).astype({"date": "datetime64[us]", "worth": float})
        for i, own in worth.items()
    }


def _share_out(
    worth: dict[int, Any], so_far: dict[int, float], today: list[Any], at: tuple[pd.Timestamp, str], total: float
) -> None:
    """Settle one day of one piece, `total` stitches, among the commitments of that day."""
    fresh, used, taken = total, 0.0, 0.0
    alone: dict[int, float] = {}
    rate = {row.Index: worth[row.Index][at] / total for row in today}
    for row in today:
        open_ended = not np.isfinite(row.target) or rate[row.Index] <= 0
        want = np.inf if open_ended else max(0.0, (row.target - so_far[row.Index]) / rate[row.Index])
        if row.shared:
            new = min(max(want - used, 0.0), fresh)
            used, fresh = used + new, fresh - new
        else:
            alone[row.Index] = min(want, fresh)
            taken += alone[row.Index]
            fresh -= alone[row.Index]
    for row in today:
        mine = total - taken if row.shared else alone[row.Index] + fresh
        worth[row.Index][at] = mine * rate[row.Index]
