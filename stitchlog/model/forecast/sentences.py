"""What the forecast's frames say, in sentences."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from stitchlog import words
from stitchlog.model.advice import ADVICE
from stitchlog.model.forecast.paths import HORIZON

if TYPE_CHECKING:
    from stitchlog.model.forecast.pieces import Forecast

_YEARS = HORIZON // 365


def say_finish(found: Forecast, level: float = 0.8) -> str:
    """When it will be finished, in a sentence or two."""
    if found.remaining <= 0:
        return _say_done(found)
    name = f"{found.asked[0].upper()}{found.asked[1:]}, {found.piece}" if found.asked else found.piece
    first, last = found.window(level)
    middle = found.date(0.5)
    if pd.isna(middle):
        text = f"{name} is not within sight of its finish: the chance that it comes within {_YEARS} years is "
        return text + f"{words.percent(float(np.isfinite(found.days).mean()))}."
    if pd.isna(last):
        text = (
            f"{name} should not be finished before {words.day(first)}; half the chances lie before {words.day(middle)}"
        )
        return f"{text}, and some reach beyond {_YEARS} years.{_resting(found)}"
    if first == last:
        return f"{name} should be finished on {words.day(first)}.{_resting(found)}"
    return (
        f"{name} should be finished {words.between(first, last)}; half the chances lie before {words.day(middle)}."
        f"{_resting(found)}"
    )


def _say_done(found: Forecast) -> str:
    if found.total > 0 and found.done > found.total:
        return (
            f"{found.piece} has {words.number(found.done)} stitches, more than its total of "
            f"{words.number(found.total)}, and counts as finished; if there is more to do, put the total right in "
            "pieces.csv."
        )
    return f"{found.piece} is finished."


def _resting(found: Forecast) -> str:
    """What to add for a piece that lies."""
    if found.asked or found.last_session is None:
        return ""
    rest = (found.as_of - found.last_session).days
    if found.status == "set aside":
        return " It is set aside; the window counts in that it may lie for long before it is picked up again."
    return f" It was last touched {words.ago(rest)}, and may lie on." if rest > 60 else ""


def say_windows(frame: pd.DataFrame) -> str:
    """Which of several pieces comes first."""
    if frame.empty:
        return "No piece on the go has a known total, so no finish can be foreseen."
    told = frame[frame["middle"].notna() & (frame["remaining"] > 0)]
    if told.empty:
        return "" if (frame["remaining"] <= 0).all() else "None of these finishes is within sight."
    if len(frame) == 1:
        return ""
    first = told.sort_values("middle").iloc[0]
    return (
        f"Of these {words.count(len(frame), 'piece')}, {first['piece']} should come first; half the chances lie before "
        f"{words.day(first['middle'])}."
    )


def say_due(frame: pd.DataFrame) -> str:
    """The chances of the due days, and what a bar holds."""
    due = frame[frame["due"].notna() & frame["due_chance"].notna()]
    said = [
        f"{r.piece} is wanted by {words.day(r.due)}, with a chance of {words.percent(r.due_chance)}"
        for r in due.itertuples()
    ]
    bars = "A bar holds the finish with a chance of 80%, its stronger part with 50%; the mark halves the chances."
    return f"{words.listed(said)}. {bars}" if said else bars


def say_refused(refused: list[str]) -> str:
    """Why some pieces have no forecast."""
    return " ".join(f"{text[0].upper()}{text[1:]}." for text in refused)


def say_whatif(frame: pd.DataFrame) -> str:
    """What the what-if table says."""
    told = frame[frame["middle"].notna()]
    if told.empty:
        return "Whatever is tried here, the finish is not within sight."
    now, best = frame.iloc[0], told.sort_values("middle").iloc[0]
    if pd.isna(now["middle"]):
        sooner = words.day(best["middle"])
        return f"As things go it is not within sight; {best['what']}, half the chances lie before {sooner}."
    if best["middle"] >= now["middle"]:
        return f"None of these brings {now['piece']} nearer than it comes as things go, {words.day(now['middle'])}."
    return (
        f"As things go, half the chances for {now['piece']} lie before {words.day(now['middle'])}; {best['what']}, "
        f"before {words.day(best['middle'])}."
    )


def say_needed(frame: pd.DataFrame) -> str:
    """What it takes to be done by the day, a sentence or two a piece, for the highest chance in the frame."""
    if frame.empty:
        return "No day to be done by is set; ask for one, or write due days in pieces.csv."
    rows = frame.sort_values("chance").groupby("piece", sort=False).tail(1)
    return " ".join(_say_need(row) for _, row in rows.iterrows())


def _say_need(row: pd.Series) -> str:
    by, chance = words.day(row["by"]), words.percent(row["chance"])
    if row["share"] == 0:
        return f"{row['piece']} is finished."
    if not np.isfinite(row["share"]):
        return f"{row['piece']} by {by} with a chance of {chance}: more than your days as they go can give."
    text = f"{row['piece']} by {by} with a chance of {chance}: {words.number(row['per_day'])} stitches a day, "
    if row["share"] > 1:
        return f"{text}{words.number(row['share'], 1)} times all that you usually get done."
    return f"{text}{words.percent(row['share'])} of your stitches (lately {words.percent(row['now_share'])})."


def say_care(frame: pd.DataFrame) -> str:
    """A word of care where a day to be done by asks more than a good day ('' where none does)."""
    asks = frame[frame["beyond"].astype(bool)] if len(frame) else frame
    if asks.empty:
        return ""
    return (
        f"{words.listed(sorted(set(asks['piece'])))}: that asks more of a day than a good day of yours gives. {ADVICE}"
    )


def say_order(frame: pd.DataFrame) -> str:
    """Which piece is finished next, and how sure that is."""
    if frame.empty:
        return "No piece on the go has a known total, so their order cannot be foreseen."
    first = frame.sort_values("next_chance", ascending=False).iloc[0]
    text = f"The next finish is most likely {first['piece']}, with a chance of {words.percent(first['next_chance'])}."
    soon = frame[frame["year_chance"] >= 0.5]
    if len(frame) > 1:
        text += (
            f" Of {words.count(len(frame), 'piece')} on the go, {words.number(len(soon))} more likely than not "
            f"{'is' if len(soon) == 1 else 'are'} finished within a year."
        )
    return text


def say_rests(found: list[Forecast]) -> str:
    """What the forecast rests on, for people who want to know."""
    paths = len(found[0].days) if found else 0
    return (
        "How this is worked out: your diary says how often you stitch and how that changes, in moods of days, seasons "
        "of months and habits of years, each of which may end on any day and begin anew. From there "
        f"{words.number(paths)} possible futures are played through, each with its own breaks and bursts, and with "
        "days as large as yours were lately; half of them follow the piece's own days, half your days over all pieces "
        "and the share that falls to it. The window holds the middle 80 in 100 of them. It is an estimate, and a "
        "change of heart is part of it."
    )
