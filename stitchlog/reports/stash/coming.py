"""When a chart that waits would be done, read from the one future."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from stitchlog.diary.diary import Diary
from stitchlog.errors import StitchlogError
from stitchlog.model.forecast import future

# The simulated paths are read at so many efforts, and between them in proportion.
_POINTS = 24


@dataclass(frozen=True)
class Coming:
    """Days that efforts take with all of the stitcher's time, read from the simulated paths.

    efforts: in stitches of a usual piece, rising. days: on half of the paths, shape (efforts,), inf beyond the horizon.
    speed: of each piece against a usual one, by name.
    """

    efforts: np.ndarray
    days: np.ndarray
    speed: dict[str, float]

    def first(self, pieces: list[str], stitches: np.ndarray, share: np.ndarray | float = 1.0) -> np.ndarray:
        """Days until each chart is done with this share of all the time: even odds, inf beyond the horizon.

        NaN where the stitches or the share are not known.
        """
        effort = stitches / np.array([self.speed[piece] for piece in pieces]) / share
        far = np.isinf(self.days)
        known = np.interp(effort, np.append(0.0, self.efforts[~far]), np.append(0.0, self.days[~far]), right=np.inf)
        return np.where(np.isfinite(effort), np.maximum(known, 1.0), np.nan)


def coming(diary: Diary) -> Coming | None:
    """The coming days of the diary; None where it holds nothing to foresee them from."""
    return diary.once("coming days of charts", lambda: _coming(diary))


def _coming(diary: Diary) -> Coming | None:
    try:
        ahead = future(diary)
    except StitchlogError:
        return None
    dealt = ahead.dealt
    most = float(np.median(dealt.effort_of.sum(axis=1)))
    if not most > 0:
        return None
    efforts = np.geomspace(min(dealt.usual, most), most, _POINTS)
    days = [np.quantile(dealt.when(np.full(ahead.paths, e)), 0.5, method="inverted_cdf") for e in efforts]
    speed = np.median(dealt.speed, axis=0)
    return Coming(efforts, np.array(days), dict(zip(ahead.past.standing["piece"], speed, strict=True)))
