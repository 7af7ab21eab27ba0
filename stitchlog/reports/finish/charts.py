"""Charts of finishes: the way to the finish line, the order, what if, and past forecasts against what came."""

from __future__ import annotations

from typing import Any

import altair as alt
import numpy as np
import pandas as pd

from stitchlog import words
from stitchlog.diary.frames import each_row
from stitchlog.model.forecast.sentences import say_finish
from stitchlog.render import theme
from stitchlog.reports.finish.outlook import Outlook
from stitchlog.reports.finish.sentences import say_next, say_record, say_scenarios

_ROW = 34
_AXIS = alt.Axis(format="%b %Y", title=None, grid=False, labelOverlap=True, tickCount=6)
_DATE = "%e %B %Y"
_DAYS = ("early", "sooner", "middle", "later", "late")
_WINDOW = [
    alt.Tooltip("early:T", title="unlikely before (10%)", format=_DATE),
    alt.Tooltip("middle:T", title="even odds by", format=_DATE),
    alt.Tooltip("late:T", title="very likely by (90%)", format=_DATE),
]


def fans(ahead: Outlook) -> list[tuple[str, str, alt.TopLevelMixin]]:
    """Name, sentence and fan of the large pieces of `forecast.outlook`, the largest first."""
    drawn = [found for found in ahead.found if (ahead.fan["piece"] == found.piece).any()]
    return [
        (f"way_{i}", say_finish(found), fan(ahead.fan, found.piece, ahead.as_of))
        for i, found in enumerate(drawn, start=1)
    ]


def fan(frame: pd.DataFrame, piece: str, seen: pd.Timestamp) -> alt.TopLevelMixin:
    """The way of `piece` to its finish, from the frame of `forecast.fan`: what was done, by when the rest may be."""
    mine = frame[frame["piece"] == piece]
    ahead, past = mine[mine["kind"] == "ahead"], mine[mine["kind"] == "past"]
    if ahead.empty:
        return _nothing(f"Nothing is left to do on {piece}.")
    now, goal = ahead["middle"].iloc[0], ahead["stitches"].iloc[-1]
    end = _end(ahead, now)
    # As much of the past as of the future, so that the fan has room.
    begin = max(now - (end - now), past["middle"].min() if len(past) else now)
    drawn = past[past["middle"] >= begin]
    low = min(drawn["stitches"].min() if len(drawn) else goal, ahead["stitches"].iloc[0])
    span = alt.Scale(domain=[max(0.0, low - 0.05 * (goal - low)), goal + 0.06 * (goal - low)], nice=False)
    y = alt.Y("stitches:Q", title="stitches done", axis=alt.Axis(format=",.0f", tickCount=5), scale=span)
    days: dict[str, Any] = {"axis": _AXIS, "scale": alt.Scale(domain=[_at(begin), _at(end)])}
    done = alt.Chart(drawn).mark_line(color=theme.ACCENT, strokeWidth=2.5, interpolate="step-after")
    line = alt.Chart(pd.DataFrame({"stitches": [goal], "said": ["finish"], "day": [begin]}))
    name = line.mark_text(align="left", dx=4, dy=-8, fontWeight="bold")
    return alt.layer(
        *_bands(ahead, end, y, days),
        line.mark_rule(color=theme.INK, strokeWidth=1.5).encode(y=y),
        done.encode(x=alt.X("middle:T", **days), y=y),
        _middle(ahead, end, y, days),
        name.encode(y=y, x=alt.X("day:T", **days), text="said:N"),
    ).properties(
        width="container",
        height=320,
        description=f"Progress towards the finish of {piece}. {say_fan(frame, piece, seen)}",
    )


def _bands(ahead: pd.DataFrame, end: pd.Timestamp, y: alt.Y, days: dict[str, Any]) -> list[alt.Chart]:
    """The bands that hold 80 and 50 % of the paths, cut off at the edge of the chart."""
    edges = ("early", "sooner", "later", "late")
    base = alt.Chart(ahead.assign(**{name: _up_to(ahead[name], end) for name in edges})).encode(y=y)
    return [
        base.mark_area(orient="horizontal", color=color, opacity=opacity, stroke=theme.EDGE, strokeWidth=0.6).encode(
            x=alt.X(f"{left}:T", **days), x2=f"{right}:T"
        )
        for left, right, color, opacity in (
            ("early", "late", theme.RAMP[1], 0.55),
            ("sooner", "later", theme.RAMP[2], 0.75),
        )
    ]


def _up_to(days: pd.Series, end: pd.Timestamp) -> pd.Series:
    """The days, those that are missing or later as `end`."""
    return days.where(days <= end, end)


def _middle(ahead: pd.DataFrame, end: pd.Timestamp, y: alt.Y, days: dict[str, Any]) -> alt.Chart:
    """The line of the median path."""
    tooltip = [alt.Tooltip("stitches:Q", title="stitches done", format=",.0f"), *_WINDOW]
    dots = {"opacity": 0, "size": 140}
    line = alt.Chart(ahead[ahead["middle"] <= end]).mark_line(
        color=theme.INK, strokeDash=[6, 3], strokeWidth=2, point=dots, orient="horizontal"
    )
    drawn: alt.Chart = line.encode(x=alt.X("middle:T", **days), y=y, order="stitches:Q", tooltip=tooltip)
    return drawn


def say_fan(frame: pd.DataFrame, piece: str, seen: pd.Timestamp) -> str:
    """What the fan shows, for those who cannot see it."""
    mine = frame[(frame["piece"] == piece) & (frame["kind"] == "ahead")]
    if mine.empty:
        return f"{piece} is finished."
    last = mine.iloc[-1]
    early, middle, late = (words.sure_date(last[name], seen) for name in ("early", "middle", "late"))
    return (
        f"The finish at {words.number(last['stitches'])} stitches: a chance of 10% by {early}, even odds by {middle}, "
        f"90% by {late}."
    )


def scenarios(ahead: Outlook) -> alt.TopLevelMixin:
    """The range as things go, and in each scenario."""
    frame = ahead.scenarios
    return _bars(frame[frame["early"].notna()], "what", f"Ranges of days. {say_scenarios(ahead)}", ahead.as_of)


def order(ahead: Outlook) -> alt.TopLevelMixin:
    """The ranges of all works in progress in the order they should be finished, with due days."""
    told = ahead.order[ahead.order["early"].notna()]
    return _bars(told, "piece", f"Ranges of days, the next finish first. {say_next(ahead)}", ahead.as_of)


def record(ahead: Outlook) -> alt.TopLevelMixin | None:
    """Each past forecast against what came: the days it took, the range and the even odds that were said."""
    data = ahead.record[ahead.record["actual_days"] >= 1]
    if data.empty:
        return None
    most = float(max(data["actual_days"].max(), data["q50"][np.isfinite(data["q50"])].max())) * 1.3
    top = {name: data[name].clip(upper=most) for name in ("q10", "q50", "q90")}
    data = data.assign(**top, said=data["cut"])
    scale = alt.Scale(type="log", domain=[1, most], nice=False)
    axis = alt.Axis(format=",.0f", grid=False, values=[1, 3, 10, 30, 100, 300, 1000, 3000])
    x = alt.X("actual_days:Q", title="days it took", axis=axis, scale=scale)
    y = alt.Y("q50:Q", title="days that were said", axis=axis, scale=scale)
    tooltip = [
        alt.Tooltip("piece:N"),
        alt.Tooltip("said:T", title="said on", format=_DATE),
        alt.Tooltip("q10:Q", title="range from, days", format=",.0f"),
        alt.Tooltip("q90:Q", title="range to, days", format=",.0f"),
        alt.Tooltip("actual_days:Q", title="days it took", format=",.0f"),
    ]
    ideal = alt.Chart(pd.DataFrame({"actual_days": [1.0, most], "q50": [1.0, most]}))
    line = ideal.mark_line(color=theme.EDGE, strokeDash=[4, 4]).encode(x=x, y=y)
    base = alt.Chart(data).encode(x=x, tooltip=tooltip)
    ranges = base.mark_rule(color=theme.RAMP[2], strokeWidth=2.5, opacity=0.6)
    dots = base.mark_point(filled=True, size=60, stroke=theme.INK, strokeWidth=0.8, fill=theme.ACCENT, opacity=1)
    return alt.layer(line, ranges.encode(y=alt.Y("q10:Q", scale=scale), y2="q90:Q"), dots.encode(y=y)).properties(
        width="container", height=340, description=f"Past forecasts and what came. {say_record(ahead)}"
    )


def _bars(told: pd.DataFrame, name: str, description: str, seen: pd.Timestamp) -> alt.TopLevelMixin:
    """A row for each `name` in the order of the frame: a bar from early to late, a stronger one from sooner to later, a
    tick at the middle, the day it is due, and words beside it (`said`, where there are any)."""
    if told.empty:
        return _nothing("No finish within 15 years at this rate.")
    begin, end = told["early"].min(), _end(told, told["early"].min())
    data = (
        told.assign(said=told.get("said", ""))
        .reindex(columns=[name, *_DAYS, "due", "due_chance", "said"])
        .astype(dict.fromkeys([*_DAYS, "due"], "M8[us]"))
    )
    data["said"] = [r.said or _said(r.middle, r.late, r.due, r.due_chance, end, seen) for r in each_row(data)]
    # Bars that would reach beyond the drawing, or out of sight, end with it.
    data["drawn_late"], data["drawn_later"] = (_up_to(data[day], end) for day in ("late", "later"))
    rows = told[name].tolist()
    y = alt.Y(f"{name}:N", sort=rows, title=None, axis=alt.Axis(labelLimit=230, ticks=False, domain=False))
    room = {"begin": begin - (end - begin) * 0.03, "end": begin + (end - begin) * 1.45}
    scale = alt.Scale(domain=[_at(room["begin"]), _at(room["end"])])
    tooltip = [alt.Tooltip(f"{name}:N", title=name.replace("what", "what if")), *_WINDOW]
    base = alt.Chart(data).encode(y=y, tooltip=tooltip)
    wide = base.mark_bar(height=14, cornerRadius=3, fill=theme.RAMP[1], stroke=theme.EDGE, strokeWidth=1)
    strong = alt.Chart(data[data["sooner"] <= end]).encode(y=y, tooltip=tooltip)
    strong = strong.mark_bar(height=14, fill=theme.RAMP[2], stroke=theme.EDGE, strokeWidth=0.6)
    tick = alt.Chart(data[data["middle"] <= end]).encode(y=y, tooltip=tooltip)
    wanted = alt.Chart(data[data["due"] <= end]).mark_point(
        shape="diamond", size=130, filled=True, fill=theme.HUES[1], stroke=theme.INK, strokeWidth=1
    )
    due = alt.Tooltip("due:T", title="due", format=_DATE)
    chance = alt.Tooltip("due_chance:Q", title="chance for that day", format=".0%")
    return alt.layer(
        wide.encode(x=alt.X("early:T", axis=_AXIS, scale=scale), x2="drawn_late:T"),
        strong.encode(x="sooner:T", x2="drawn_later:T"),
        tick.mark_tick(color=theme.INK, thickness=3, size=22).encode(x="middle:T"),
        base.mark_text(align="left", dx=8).encode(x="drawn_late:T", text="said:N"),
        wanted.encode(x="due:T", y=y, tooltip=[alt.Tooltip(f"{name}:N"), due, chance]),
    ).properties(width="container", height=_ROW * len(rows) + 10, description=description)


def _said(
    middle: pd.Timestamp, late: pd.Timestamp, due: pd.Timestamp, chance: float, end: pd.Timestamp, seen: pd.Timestamp
) -> str:
    """The words beside a bar."""
    text = f"even odds {words.sure_date(middle, seen)}" if pd.notna(middle) else "more than ten years away"
    if pd.isna(late) or late > end:
        text += " →"
    return f"{text}; {words.percent(chance)} by {words.short_day(due)}" if pd.notna(chance) else text


def _end(frame: pd.DataFrame, begin: pd.Timestamp) -> pd.Timestamp:
    """Where the chart ends: some way behind the medians, so that one long range does not flatten the others."""
    middles = frame["middle"].dropna()
    if middles.empty:
        return begin + pd.Timedelta(days=20 * 365)
    reach = begin + (middles.max() - begin) * 2.2
    lates = frame["late"].dropna()
    far = lates.max() if len(lates) == len(frame) else reach
    last: pd.Timestamp = max(min(far, reach), middles.max())
    return last + pd.Timedelta(days=1)


def _at(day: pd.Timestamp) -> dict[str, int]:
    return alt.DateTime(year=day.year, month=day.month, date=day.day).to_dict()


def _nothing(text: str) -> alt.TopLevelMixin:
    chart = alt.Chart(pd.DataFrame({"text": [text]})).mark_text(color=theme.QUIET).encode(text="text:N")
    return alt.layer(chart).properties(width="container", height=30, description=text)
