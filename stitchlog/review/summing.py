"""The pieces of a period together, in a sentence each."""

from __future__ import annotations

import pandas as pd

from stitchlog import words
from stitchlog.review.days import WEEKS_WITH_MARKS
from stitchlog.review.period import Period
from stitchlog.review.telling import say_share

NOTHING = "There is no stitch to show for this period."


def say_marks(story: pd.DataFrame, span: Period) -> str:
    """What the pieces' numbers in the calendar mean (frame of `pieces` or `story`).

    '' where there is no piece, or where the period is too long for numbers in its calendar.
    """
    if story.empty or span.weeks > WEEKS_WITH_MARKS:
        return ""
    return f"The small figures are the pieces, in the order of their first session: {_numbered(story)}."


def _numbered(story: pd.DataFrame) -> str:
    return ", ".join(f"{order} {piece}" for order, piece in zip(story["order"], story["piece"], strict=True))


def say_progressed(story: pd.DataFrame) -> str:
    """Which piece came furthest, as a part of its own whole, and how many there are (frame of `pieces` or `story`)."""
    known = story[story["after_share"].notna()]
    if known.empty:
        return "No piece of this period has a known total, so there is no progress to draw." if len(story) else NOTHING
    row = known.loc[(known["after_share"] - known["before_share"]).idxmax()]
    went = say_share(row["before_share"], row["after_share"])
    others = "" if len(known) == 1 else f", the furthest of {words.number(len(known))}"
    return (
        f"{row['piece']} went from {went}{others}."
        if "to" in went
        else f"No piece moved by a whole percent; {row['piece']} is {went}."
    )


def say_shares(story: pd.DataFrame) -> str:
    """What part of the stitches the first piece had, and the first three together (frame of `pieces` or `story`)."""
    if story.empty or not story["share"].sum() > 0:
        return NOTHING
    most = story.sort_values(["share", "order"], ascending=[False, True], kind="stable")
    text = f"{most['piece'].iloc[0]} had {words.percent(most['share'].iloc[0])} of the stitches"
    if len(most) <= 3:
        return f"{text}."
    return f"{text}; the first three together had {words.percent(most['share'].head(3).sum())}."
