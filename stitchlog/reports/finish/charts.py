"""Charts of finishes: the way to the finish line, due days, what if, the order, and how past windows held."""

from __future__ import annotations

from typing import Any

import altair as alt
import pandas as pd

from stitchlog import words
from stitchlog.model.forecast.backtest import say_record
from stitchlog.model.forecast.sentences import say_finish, say_order, say_whatif, say_windows
from stitchlog.render import theme
from stitchlog.reports.finish.outlook import Outlook

_ROW = 34
_AXIS = alt.Axis(format="%b %Y", title=None, grid=False, labelOverlap=True, tickCount=6)
_DATE = "%e %B %Y"
_DAYS = ("early", "sooner", "middle", "later", "late")
_WINDOW = [
    alt.Tooltip("early:T", title="10% by", format=_DATE),
    alt.Tooltip("middle:T", title="half the chances by", format=_DATE),
    alt.Tooltip("late:T", title="90% by", format=_DATE),
]


def fans(ahead: Outlook) -> list[tuple[str, str, alt.TopLevelMixin]]:
    """Name, sentence and fan of the large pieces of `forecast.outlook`, the largest first."""
    drawn = [found for found in ahead.found if (ahead.fan["piece"] == found.piece).any()]
    return [(f"way_{i}", say_finish(found), fan(ahead.fan, found.piece)) for i, found in enumerate(drawn, start=1)]


def fan(frame: pd.DataFrame, piece: str) -> alt.TopLevelMixin:
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
    ).properties(width="container", height=320, description=f"Way to the finish of {piece}. {say_fan(frame, piece)}")


def _bands(ahead: pd.DataFrame, end: pd.Timestamp, y: alt.Y, days: dict[str, Any]) -> list[alt.Chart]:
    """Where the way lies with a chance of 80 and of 50 %; what is out of sight ends with the drawing."""
    edges = ("early", "sooner", "later", "late")
    base = alt.Chart(ahead.assign(**{name: ahead[name].fillna(end).clip(upper=end) for name in edges})).encode(y=y)
    return [
        base.mark_area(orient="horizontal", color=color, opacity=opacity, stroke=theme.EDGE, strokeWidth=0.6).encode(
            x=alt.X(f"{left}:T", **days), x2=f"{right}:T"
        )
        for left, right, color, opacity in (
            ("early", "late", theme.RAMP[1], 0.55),
            ("sooner", "later", theme.RAMP[2], 0.75),
        )
    ]


def _middle(ahead: pd.DataFrame, end: pd.Timestamp, y: alt.Y, days: dict[str, Any]) -> alt.Chart:
    """The way by which half the chances lie."""
    tooltip = [alt.Tooltip("stitches:Q", title="stitches done", format=",.0f"), *_WINDOW]
    dots = {"opacity": 0, "size": 140}
    line = alt.Chart(ahead[ahead["middle"] <= end]).mark_line(
        color=theme.INK, strokeDash=[6, 3], strokeWidth=2, point=dots, orient="horizontal"
    )
    return line.encode(x=alt.X("middle:T", **days), y=y, order="stitches:Q", tooltip=tooltip)


def say_fan(frame: pd.DataFrame, piece: str) -> str:
    """What the fan shows, for those who cannot see it."""
    mine = frame[(frame["piece"] == piece) & (frame["kind"] == "ahead")]
    if mine.empty:
        return f"{piece} is finished."
    last = mine.iloc[-1]
    days = {
        name: words.day(last[name]) if pd.notna(last[name]) else "out of sight" for name in ("early", "middle", "late")
    }
    return (
        f"The finish line at {words.number(last['stitches'])} stitches is reached with a chance of 10% by "
        f"{days['early']}, of 50% by {days['middle']}, of 90% by {days['late']}."
    )


def windows(frame: pd.DataFrame) -> alt.TopLevelMixin:
    """Each piece's window, from the frame of `forecast.windows`, with its due day and the chance of it."""
    told = frame[frame["early"].notna()].sort_values("middle")
    return _bars(told, "piece", f"Windows of days. {say_windows(frame)}")


def what_if(frame: pd.DataFrame) -> alt.TopLevelMixin:
    """The window as things go, and what if, from the frame of `forecast.what_if`."""
    return _bars(frame[frame["early"].notna()], "what", f"Windows of days. {say_whatif(frame)}")


def order(frame: pd.DataFrame) -> alt.TopLevelMixin:
    """The windows of all pieces on the go in the order they should be finished, from the frame of `forecast.order`."""
    told = frame[frame["early"].notna()]
    likely = told["next_chance"].where(told["next_chance"] >= 0.05)
    said = [f"next with {words.percent(chance)}" if pd.notna(chance) else "" for chance in likely]
    return _bars(told.assign(said=said), "piece", f"Windows in their order. {say_order(frame)}")


def reliability(ahead: Outlook) -> alt.TopLevelMixin:
    """How often finishes came by the day that had such a chance, from `forecast.outlook`."""
    data = ahead.reliability[ahead.reliability["windows"] > 0]
    if data.empty:
        return _nothing("There is no past window yet that a finish could be held against.")
    data = data.assign(said=[words.count(n, "window") for n in data["windows"]])
    axis = alt.Axis(format="%", values=[0, 0.25, 0.5, 0.75, 1], grid=False)
    x = alt.X("chance:Q", title="chance that was said", axis=axis, scale=alt.Scale(domain=[0, 1]))
    y = alt.Y("share:Q", title="share that had come by then", axis=axis, scale=alt.Scale(domain=[0, 1]))
    ideal = alt.Chart(pd.DataFrame({"chance": [0.0, 1.0], "share": [0.0, 1.0]}))
    line = ideal.mark_line(color=theme.EDGE, strokeDash=[4, 4]).encode(x=x, y=y)
    base = alt.Chart(data).encode(x=x, y=y)
    tooltip = [
        alt.Tooltip("chance:Q", title="chance that was said", format=".0%"),
        alt.Tooltip("share:Q", title="had come by then", format=".0%"),
        alt.Tooltip("windows:Q", title="past windows"),
    ]
    came = base.mark_line(color=theme.ACCENT)
    dots = base.mark_point(filled=True, stroke=theme.INK, strokeWidth=0.8, fill=theme.ACCENT, opacity=1).encode(
        size=alt.Size("windows:Q", scale=alt.Scale(range=[50, 320], zero=True), legend=None), tooltip=tooltip
    )
    # The outermost chances lie too near to others for words of their own.
    inner = alt.Chart(data[data["chance"].between(0.1, 0.9)]).encode(x=x, y=y)
    text = inner.mark_text(align="left", dx=12, dy=13, fontSize=12).encode(text="said:N")
    note = alt.Chart(pd.DataFrame({"chance": [0.62], "share": [0.55], "said": ["as it should be"]}))
    note = note.mark_text(align="left", dx=4, dy=6, color=theme.QUIET).encode(x=x, y=y, text="said:N")
    return alt.layer(line, note, came, dots, text).properties(
        width="container",
        height=320,
        description=f"Chances said and what came. {say_record(ahead.record, ahead.learnt)}",
    )


def _bars(told: pd.DataFrame, name: str, description: str) -> alt.TopLevelMixin:
    """A row for each `name` in the order of the frame: a bar from early to late, a stronger one from sooner to later, a
    tick at the middle, the day it is wanted by, and words beside it (`said`, where there are any)."""
    if told.empty:
        return _nothing("No finish is within sight.")
    begin, end = told["early"].min(), _end(told, told["early"].min())
    data = (
        told.assign(said=told.get("said", ""))
        .reindex(columns=[name, *_DAYS, "due", "due_chance", "said"])
        .astype(dict.fromkeys([*_DAYS, "due"], "M8[us]"))
    )
    data["said"] = [r.said or _said(r.middle, r.late, r.due, r.due_chance, end) for r in data.itertuples()]
    # Bars that would reach beyond the drawing, or out of sight, end with it.
    data["drawn_late"], data["drawn_later"] = (data[day].fillna(end).clip(upper=end) for day in ("late", "later"))
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
    due = alt.Tooltip("due:T", title="wanted by", format=_DATE)
    chance = alt.Tooltip("due_chance:Q", title="chance for that day", format=".0%")
    return alt.layer(
        wide.encode(x=alt.X("early:T", axis=_AXIS, scale=scale), x2="drawn_late:T"),
        strong.encode(x="sooner:T", x2="drawn_later:T"),
        tick.mark_tick(color=theme.INK, thickness=3, size=22).encode(x="middle:T"),
        base.mark_text(align="left", dx=8).encode(x="drawn_late:T", text="said:N"),
        wanted.encode(x="due:T", y=y, tooltip=[alt.Tooltip(f"{name}:N"), due, chance]),
    ).properties(width="container", height=_ROW * len(rows) + 10, description=description)


def _said(middle: pd.Timestamp, late: pd.Timestamp, due: pd.Timestamp, chance: float, end: pd.Timestamp) -> str:
    """The words beside a bar."""
    text = f"half before {words.short_day(middle)}" if pd.notna(middle) else "half out of sight"
    if pd.isna(late) or late > end:
        text += " →"
    return f"{text}; {words.percent(chance)} by {words.short_day(due)}" if pd.notna(chance) else text


def _end(frame: pd.DataFrame, begin: pd.Timestamp) -> pd.Timestamp:
    """Where the drawing ends: some way behind the middles, so that one long window does not flatten the others."""
    middles = frame["middle"].dropna()
    if middles.empty:
        return begin + pd.Timedelta(days=20 * 365)
    reach = begin + (middles.max() - begin) * 2.2
    lates = frame["late"].dropna()
    far = lates.max() if len(lates) == len(frame) else reach
    return max(min(far, reach), middles.max()) + pd.Timedelta(days=1)


def _at(day: pd.Timestamp) -> dict[str, int]:
    return alt.DateTime(year=day.year, month=day.month, date=day.day).to_dict()


def _nothing(text: str) -> alt.TopLevelMixin:
    chart = alt.Chart(pd.DataFrame({"text": [text]})).mark_text(color=theme.QUIET).encode(text="text:N")
    return alt.layer(chart).properties(width="container", height=30, description=text)
