"""Charts of a plan: what would help, the goals with their chances, and the days."""

from __future__ import annotations

from typing import Any

import altair as alt
import pandas as pd

from stitchlog import words
from stitchlog.diary.frames import each_row
from stitchlog.model.commitments.chances import SAFE
from stitchlog.render import theme
from stitchlog.reports.plan.capacity import Capacity
from stitchlog.reports.plan.course import Course, say_course
from stitchlog.reports.plan.sentences import say_chances, say_costliest, say_entry, say_level, say_more

_ROW = 30
_DAY = alt.Axis(format="%e %b", title=None, labelOverlap=True, grid=False, tickCount=8)
# How a goal stands, in words, and the fill that goes with it.
_LEVELS = ["likely", "about even", "unlikely", "met", "over", "unknown"]
_FILLS = [theme.RAMP[3], theme.RAMP[2], theme.RAMP[0], theme.HUES[2], theme.RULE, "transparent"]


def helps(frame: pd.DataFrame) -> alt.TopLevelMixin | None:
    """The chance of meeting all that is kept: as it is, without each goal, and with more time.

    frame: of `plan.figures`, its `helps`. None where it has no row.
    """
    if frame.empty:
        return None
    data = frame.assign(said=[words.chance(chance) for chance in frame["chance"]], way="all of it")
    data["way"] = data["way"].mask(data["without"] != "", "without " + data["without"])
    data["way"] = data["way"].mask(data["minutes"] > 0, data["minutes"].map(words.duration) + " more a stitching day")
    tooltip = [
        alt.Tooltip("way:N", title="plan"),
        alt.Tooltip("said:N", title="chance of meeting all that is kept"),
        alt.Tooltip("stitches:Q", title="stitches more a day", format=",.0f"),
    ]
    axis = alt.Axis(format="%", values=[0, 0.2, 0.4, 0.6, 0.8, 1.0])
    base = alt.Chart(data).encode(
        y=_named("way", data["way"].tolist()),
        x=alt.X("chance:Q", title="chance of meeting all that is kept", scale=alt.Scale(domain=[0, 1.1]), axis=axis),
        tooltip=tooltip,
    )
    now = alt.condition(alt.datum.way == "all of it", alt.value(theme.HUES[1]), alt.value(theme.RAMP[3]))
    bars = base.mark_bar(height=14, cornerRadius=3).encode(fill=now)
    text = base.mark_text(align="left", dx=6).encode(text="said:N")
    safe = alt.Chart(pd.DataFrame({"safe": [SAFE], "said": ["safe enough"]})).encode(x="safe:Q")
    rule = safe.mark_rule(color=theme.QUIET, strokeDash=[4, 3])
    name = safe.mark_text(color=theme.QUIET, align="left", dx=5).encode(y=alt.value(8), text="said:N")
    return alt.layer(rule, bars, name, text).properties(
        width="container",
        height=_ROW * len(data),
        description=f"Bars of chances. {say_costliest(frame)} {say_more(frame)}",
    )


def goals(plan: Capacity, marks: pd.DataFrame) -> alt.TopLevelMixin | None:
    """A bar from first to last day for each goal of `plan.capacity`, its chance beside it. None where there is none.

    marks: what was begun and finished for them (label, piece, date, what), a dot each.
    """
    fit, start, end, as_of = plan.goals, plan.start, plan.end, plan.as_of
    if fit.empty:
        return None
    data = fit[["label", "starts", "ends", "piece"]].copy()
    data["from"] = fit["starts"].where(fit["starts"] > start, start).where(fit["kind"] != "due", fit["ends"])
    data["to"] = fit["ends"].where(fit["ends"] < end, end) + pd.Timedelta(days=1)
    data["stands"] = [_level(row, as_of) for row in each_row(fit)]
    data["said"] = [say_level(row, as_of) + _until(row.ends, end) for row in each_row(fit)]
    data["asks"] = [say_entry(row) for row in each_row(fit)]
    order = data.sort_values(["ends", "from"], kind="stable")["label"].tolist()
    y = _named("label", order)
    tooltip = [
        alt.Tooltip("label:N", title="goal"),
        alt.Tooltip("starts:T", title="from", format="%e %B %Y"),
        alt.Tooltip("ends:T", title="to", format="%e %B %Y"),
        alt.Tooltip("asks:N", title="asks"),
        alt.Tooltip("said:N", title="chance"),
    ]
    base = alt.Chart(data).encode(y=y, tooltip=tooltip)
    present = [level for level in _LEVELS if (data["stands"] == level).any()]
    fill = alt.Fill(
        "stands:N",
        scale=alt.Scale(domain=_LEVELS, range=_FILLS),
        legend=alt.Legend(title=None, orient="top", values=present),
    )
    # Room on the right for what is said beside the bars.
    days = alt.Scale(domain=[_at(start), _at(end + (end - start) * 0.35)])
    bars = base.mark_bar(height=14, cornerRadius=3, stroke=theme.INK, strokeWidth=1)
    text = base.mark_text(align="left", dx=6, fontSize=13).encode(x="to:T", text="said:N")
    layers = [bars.encode(x=alt.X("from:T", axis=_DAY, scale=days), x2="to:T", fill=fill), text]
    if len(marks):
        dots = alt.Chart(marks[marks["date"].between(start, end)]).mark_point(
            size=70, filled=True, fill=theme.PAPER, stroke=theme.INK, opacity=1
        )
        on = alt.Tooltip("date:T", title="on", format="%e %B %Y")
        layers.append(dots.encode(x="date:T", y=y, tooltip=["piece:N", alt.Tooltip("what:N", title="was"), on]))
    if start < as_of < end:
        today = alt.Chart(pd.DataFrame({"day": [as_of + pd.Timedelta(days=1)]}))
        layers.append(today.mark_rule(color=theme.QUIET, strokeDash=[3, 3]).encode(x="day:T"))
    return alt.layer(*layers).properties(
        width="container", height=_ROW * len(order), description=f"Bars of days. {say_chances(plan)}"
    )


def course(found: Course) -> alt.TopLevelMixin:
    """Stitches since the first day: what is asked, what usually gets done with its range, what was done."""
    frame = found.days
    names = {"asked_so_far": "asked", "usual": "usual", "worked_so_far": "done"}
    lines = frame.melt(["date", "ends"], list(names), "line", "value").dropna(subset="value").replace({"line": names})
    x, title = alt.X("date:T", axis=_DAY), "stitches since the first day"
    y = alt.Y("value:Q", title=title, axis=alt.Axis(format=",.0f", tickCount=5))
    band = alt.Chart(frame).mark_area(color=theme.RAMP[1], opacity=0.6)
    band = band.encode(x=x, y=alt.Y("low:Q", title=title), y2="high:Q")
    hues = alt.Scale(domain=list(names.values()), range=[theme.HUES[1], theme.HUES[0], theme.INK])
    dashes = alt.Scale(domain=list(names.values()), range=[[1, 0], [6, 3], [1, 0]])
    color = alt.Color("line:N", scale=hues, legend=None)
    drawn = alt.Chart(lines).encode(x=x, y=y, color=color)
    tooltip = [
        alt.Tooltip("date:T", title="day", format="%A %e %B %Y"),
        alt.Tooltip("line:N", title="line"),
        alt.Tooltip("value:Q", title="stitches", format=",.0f"),
        alt.Tooltip("ends:N", title="ends"),
    ]
    line = drawn.mark_line(strokeWidth=2.5).encode(strokeDash=alt.StrokeDash("line:N", scale=dashes, legend=None))
    ends = alt.Chart(lines[(lines["line"] == "asked") & (lines["ends"] != "")]).encode(x=x, y=y, tooltip=tooltip)
    marks = ends.mark_point(shape="triangle-down", size=90, filled=True, opacity=1, yOffset=-7, color=theme.HUES[1])
    last = alt.Chart(lines.groupby("line", sort=False).tail(1)).encode(x=x, y=y, color=color, text="line:N")
    text = last.mark_text(align="left", dx=6, fontWeight="bold")
    dots = drawn.mark_point(size=120, opacity=0).encode(tooltip=tooltip)
    return alt.layer(band, line, marks, text, dots).properties(
        width="container", height=320, description=f"Lines of stitches by day. {say_course(found)}"
    )


def _named(field: str, order: list[str]) -> alt.Y:
    axis = alt.Axis(labelLimit=280, labelPadding=8, ticks=False, domain=False, grid=False)
    return alt.Y(f"{field}:N", sort=order, title=None, axis=axis)


def _level(row: Any, as_of: pd.Timestamp) -> str:
    if row.status in ("met", "piece finished") or (row.ends <= as_of and row.status == "made up"):
        return "met"
    if row.ends <= as_of:
        return "over"
    if pd.isna(row.chance):
        return "unknown"
    return "likely" if row.chance >= 0.66 else "about even" if row.chance >= 0.33 else "unlikely"


def _until(ends: pd.Timestamp, end: pd.Timestamp) -> str:
    return f", to {words.short_day(ends, year=False)}" if ends > end else ""


def _at(day: pd.Timestamp) -> dict[str, int]:
    return alt.DateTime(year=day.year, month=day.month, date=day.day).to_dict()
