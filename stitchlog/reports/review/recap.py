"""Everything that a review shows, asked once: page, notes and cards all tell from it."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pandas as pd

from stitchlog.diary.diary import Diary
from stitchlog.model.period import Period, bounds
from stitchlog.reports.review.ahead import ahead
from stitchlog.reports.review.days import calendar, compared, running
from stitchlog.reports.review.pieces import COLUMNS
from stitchlog.reports.review.standing import changes, flow, untouched
from stitchlog.reports.review.story import story


@dataclass(frozen=True)
class Recap:
    """A period, as the functions of the same names answer for it. `folder` is the diary's, for its pictures."""

    folder: Path
    period: Period
    compared: pd.DataFrame
    calendar: pd.DataFrame
    running: pd.DataFrame
    story: pd.DataFrame
    changes: pd.DataFrame
    flow: pd.DataFrame
    untouched: pd.DataFrame

    @property
    def pieces(self) -> pd.DataFrame:
        """The columns of `review.pieces` alone."""
        return self.story[COLUMNS]


def recap(diary: Diary, start: Any, end: Any, as_of: Any = None) -> Recap:
    """All answers for the days from `start` to `end`. What is next is seen from `end`, or from `as_of` between them."""
    span = bounds(start, end)
    days = (span.start, span.end)
    return Recap(
        folder=diary.folder,
        period=span,
        compared=compared(diary, *days),
        calendar=calendar(diary, *days),
        running=running(diary, *days),
        story=ahead(diary, story(diary, *days), span, as_of),
        changes=changes(diary, *days),
        flow=flow(diary, *days),
        untouched=untouched(diary, *days),
    )
