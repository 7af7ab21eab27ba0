"""What the frames of the finish report say, and the headings of its tables."""

from __future__ import annotations

import numpy as np
import pandas as pd

from stitchlog import words
from stitchlog.diary.frames import each_row
from stitchlog.model.advice import ADVICE
from stitchlog.model.forecast.finishing import Forecast
from stitchlog.model.forecast.sentences import say_finish
from stitchlog.reports.finish.outlook import Outlook

_RANGE = {"early": "unlikely before (10%)", "middle": "even odds by", "late": "very likely by (90%)"}
ORDER_HEADINGS = {"piece": "piece", "remaining": "stitches left", "next_chance": "chance to be next", **_RANGE}
ORDER_HEADINGS |= {"due": "due", "due_chance": "chance as things go", "first_chance": "chance if it comes first"}
SCENARIO_HEADINGS = {"what": "what if", **_RANGE}
NEEDED_HEADINGS = {
    "piece": "piece",
    "by": "done by",
    "chance": "for a chance of",
    "per_day": "stitches a day",
    "per_stitching_day": "on each day you stitch",
    "good_day": "your good day",
    "share": "share of your stitches",
    "now_share": "share lately",
    "from_others": "less for the others, a week",
}
_PIECES, _LEAN = 3, 0.15  # so many pieces, and so far from a half, until a leaning is worth a sentence


def say_next(ahead: Outlook) -> str:
    """Which piece is finished next, and when."""
    frame = ahead.order
    if frame.empty:
        return "No work in progress (WIP) has a known total, so no finish can be worked out."
    first = frame.sort_values("next_chance", ascending=False, kind="stable").iloc[0]
    if pd.isna(first["early"]):
        return "At this rate every finish is more than ten years away."
    when = words.sure_range(first["early"], first["late"], ahead.as_of)
    if pd.isna(first["late"]):
        when = f"from {words.sure_date(first['early'], ahead.as_of)}"
    text = f"Your next finish is most likely {first['piece']}, {when}"
    if len(frame) == 1:
        return f"{text}."
    soon = int((frame["year_chance"] >= 0.5).sum())
    return (
        f"{text} (a chance of {words.chance(first['next_chance'])}). Of your {len(frame)} works in progress (WIPs), "
        f"{words.number(soon)} should be finished within a year."
    )


def say_due(ahead: Outlook) -> str:
    """The chances of the due days, as things go and if the piece comes first."""
    due = ahead.order[ahead.order["due"] > ahead.as_of] if len(ahead.order) else ahead.order
    return " ".join(
        f"{r.piece} is due by {words.day(r.due)}: {words.chance(r.due_chance)} as things go, "
        f"{words.chance(r.first_chance)} if it comes first every evening."
        for r in each_row(due)
    )


def say_together(ahead: Outlook) -> str:
    """What the due days need together, where that is more than a piece's own."""
    frame = ahead.together
    told = frame[frame["pieces"].map(len) > 1] if len(frame) else frame
    if told.empty:
        return ""
    worst = told.sort_values("share", kind="stable").iloc[-1]
    count, by = len(worst["pieces"]), words.day(worst["by"])
    share = words.percent(worst["share"])
    return f"Together the {count} pieces due by {by} need {share} of what you usually stitch in that time."


def say_bars() -> str:
    """How to read the bars."""
    return "The pale bar is the range (80%), the darker part the middle half of it, and the mark is even odds."


def say_refused(refused: list[str]) -> str:
    """Why some pieces have no forecast."""
    return " ".join(f"{text[0].upper()}{text[1:]}." for text in refused)


def say_scenarios(ahead: Outlook) -> str:
    """What the scenarios change."""
    frame = ahead.scenarios
    told = frame[frame["middle"].notna()]
    if told.empty:
        return "Even so, the finish is more than ten years away." if len(frame) else ""
    now, best = frame.iloc[0], told.sort_values("middle", kind="stable").iloc[0]
    sooner = words.sure_date(best["middle"], ahead.as_of)
    if pd.isna(now["middle"]):
        return f"As things go, {now['piece']} is more than ten years away; {best['what']}, even odds by {sooner}."
    usual = words.sure_date(now["middle"], ahead.as_of)
    if best["middle"] >= now["middle"]:
        return f"None of these would finish {now['piece']} sooner: even odds by {usual}."
    return f"{now['piece']}: even odds by {usual} as things go; by {sooner} {best['what']}."


def say_needed(frame: pd.DataFrame) -> str:
    """What it takes to be done by the day, a sentence a piece, for the highest chance in the frame."""
    if frame.empty:
        return "No due day is set. Ask for one, or write due days in pieces.csv."
    rows = frame.sort_values("chance", kind="stable").groupby("piece", sort=False).tail(1)
    return " ".join(_say_need(row) for _, row in rows.iterrows())


def _say_need(row: pd.Series) -> str:
    by, chance = words.day(row["by"]), words.percent(row["chance"])
    if row["share"] == 0:
        return f"{row['piece']} is finished."
    start = f"For a chance of {chance} by {by}, {row['piece']} needs"
    if not np.isfinite(row["share"]):
        return f"{start} more than you usually have time for."
    text = f"{start} {words.number(row['per_day'])} stitches a day, "
    if row["share"] > 1:
        return f"{text}{words.number(row['share'], 1)} times what you usually stitch."
    return f"{text}{words.percent(row['share'])} of your stitches (lately {words.percent(row['now_share'])})."


def say_care(frame: pd.DataFrame) -> str:
    """A caution where a due day needs more a day than a good day gives ('' where none does)."""
    asks = frame[frame["beyond"].astype(bool)] if len(frame) else frame
    if asks.empty:
        return ""
    return f"{words.listed(sorted(set(asks['piece'])))}: that is more a day than you stitch on a good day. {ADVICE}"


def say_record(ahead: Outlook) -> str:
    """How past forecasts have done, and what that has changed here."""
    record = ahead.record
    told = record["held"].dropna().astype(bool)
    if told.empty:
        return "No past forecast can be checked yet."
    count = words.count(len(told), "past forecast whose range is over", "past forecasts whose range is over")
    text = f"Of {count}, {words.number(int(told.sum()))} were right; about four in five should be."
    past = record[record["seen_days"] >= record["q50"]]
    if past["piece"].nunique() >= _PIECES:
        early = float((past["actual_days"] <= past["q50"]).mean())
        if abs(early - 0.5) >= _LEAN:
            side, share = ("before", early) if early > 0.5 else ("after", 1.0 - early)
            text += f" {words.percent(share)} of finishes came {side} the even-odds date, where half should."
    if ahead.learnt.pieces:
        text += " The dates here are corrected for that."
    return text


def say_rests(found: list[Forecast]) -> str:
    """How the forecasts are worked out, in a few sentences."""
    paths = len(found[0].days) if found else 0
    return (
        "How this is worked out: your diary shows how often and how much you stitch, and how that changes over the "
        f"seasons. From there, {words.number(paths)} possible futures are simulated. In each, you spread your days "
        "over your WIPs as you usually do. What you are stitching now comes first, then what you stitched lately, then "
        "new starts. Every number on this page comes from these futures. They are estimates, and you may change your "
        "mind."
    )


__all__ = [
    "NEEDED_HEADINGS",
    "ORDER_HEADINGS",
    "SCENARIO_HEADINGS",
    "say_bars",
    "say_care",
    "say_due",
    "say_finish",
    "say_needed",
    "say_next",
    "say_record",
    "say_refused",
    "say_rests",
    "say_scenarios",
    "say_together",
]
