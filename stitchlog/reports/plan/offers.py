"""Goals that the coming month could have, to be said on camera or written down."""

from __future__ import annotations

import pandas as pd

from stitchlog import words
from stitchlog.model.goals import offers

__all__ = ["OFFER_HEADINGS", "offers", "say_offers"]

OFFER_HEADINGS = {"goal": "goal", "piece": "piece", "chance": "chance as things go"}


def say_offers(frame: pd.DataFrame) -> str:
    """Which goal is the likeliest, and how one is written down (frame of `offers`); '' where there is none to offer."""
    if frame.empty:
        return ""
    row = frame.iloc[frame["chance"].astype(float).argmax()]
    return (
        f"If you want to set yourself a goal: {row['goal']} is {words.likely(row['chance'])} as things go. "
        'To write it down: stitchlog goal DIR "your words".'
    )
