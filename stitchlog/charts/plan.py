"""Charts of a plan: the promises with their chances, the days, the parts, the prompts, and what more time would do."""

from __future__ import annotations

from typing import Any

import altair as alt
import pandas as pd

from stitchlog import theme, words
from stitchlog.plan.calendar import say_entry
from stitchlog.plan.commitments import each
from stitchlog.plan.course import say_course
from stitchlog.plan.giving_up import SAFE
from stitchlog.plan.lengths import say_lengths
from stitchlog.plan.prompts import say_prompts
from stitchlog.plan.says import say_chance, say_chances, say_more, say_progress
from stitchlog.plan.tables import say_level, say_stand

_ROW = 30
_NAMES = 280
_DAY = alt.Axis(format="%e %b", title=None, labelOverlap=True, grid=False, tickCount=8)
# How a promise stands, in words, and the shape that goes with it.
_LEVELS = ["should come out", "may come out", "is doubtful", "is met", "is over", "cannot be told"]
_FILLS = [theme.RAMP[3], theme.RAMP[2], theme.RAMP[0], theme.HUES[2], theme.RULE, "transparent"]


def promises(fit: pd.DataFrame, marks: pd.DataFrame) -> alt.TopLevelMixin:
    """A bar from first to last day for each promise of `plan.capacity`, its chance beside it.

    marks (`plan.marks`): what was begun and finished for them, a dot each.
    """
    if fit.empty:
        return _nothing("Nothing is promised for this period.")
    start, end = fit.attrs["start"], fit.attrs["end"]
    data = fit[["label", "starts", "ends", "piece"]].copy()
    data["from"] = fit["starts"].fillna(start).clip(lower=start).where(fit["kind"] != "due", fit["ends"])
    data["to"] = fit["ends"].clip(upper=end) + pd.Timedelta(days=1)
    data["stands"] = [_level(row, fit.attrs["as_of"]) for row in each(fit)]
    data["said"] = [say_level(row, fit.attrs["as_of"]) + _until(row.ends, end) for row in each(fit)]
    data["asks"] = [say_entry(row) for row in each(fit)]
    order = data.assign(first=data["from"]).sort_values(["ends", "first"], kind="stable")["label"].tolist()
    x = alt.X("from:T", axis=_DAY, scale=alt.Scale(domain=[_at(start), _at(end + (end - start) * 0.35)]))
    y = _named("label", order)
    tooltip = [
        alt.Tooltip("label:N", title="promise"),
        alt.Tooltip("starts:T", title="from", format="%e %B %Y"),
        alt.Tooltip("ends:T", title="to", format="%e %B %Y"),
        alt.Tooltip("asks:N", title="asks"),
        alt.Tooltip("said:N", title="chance"),
    ]
    base = alt.Chart(data).encode(y=y, tooltip=tooltip)
    bars = base.mark_bar(height=14, cornerRadius=3, stroke=theme.INK, strokeWidth=1).encode(
        x=x,
        x2="to:T",
        fill=alt.Fill(
            "stands:N",
            scale=alt.Scale(domain=_LEVELS, range=_FILLS),
            legend=alt.Legend(title=None, orient="top", values=[v for v in _LEVELS if (data["stands"] == v).any()]),
        ),
    )
    text = base.mark_text(align="left", dx=6, fontSize=13).encode(x="to:T", text="said:N")
    today = alt.Chart(pd.DataFrame({"day": [fit.attrs["as_of"] + pd.Timedelta(days=1)]}))
    layers = [bars, text]
    if len(marks):
        what = [
            alt.Tooltip("piece:N"),
            alt.Tooltip("what:N", title="was"),
            alt.Tooltip("date:T", title="on", format="%e %B %Y"),
        ]
        seen = alt.Chart(marks[marks["date"].between(start, end)])
        dots = seen.mark_point(size=70, filled=True, fill=theme.PAPER, stroke=theme.INK, opacity=1)
        layers.append(dots.encode(x="date:T", y=y, tooltip=what))
    if start < fit.attrs["as_of"] < end:
        layers.append(today.mark_rule(color=theme.QUIET, strokeDash=[3, 3]).encode(x="day:T"))
    return alt.layer(*layers).properties(
        width="container", height=_ROW * len(order), description=f"Bars of days. {say_chances(fit)}"
    )


def course(frame: pd.DataFrame) -> alt.TopLevelMixin:
    """Stitches since the first day: what is asked, what usually gets done with its window, what was done."""
    if frame.empty:
        return _nothing("There is no day to look at.")
    x = alt.X("date:T", axis=_DAY)
    y = alt.Y("value:Q", title="stitches since the first day", axis=alt.Axis(format=",.0f", tickCount=5))
    base = alt.Chart(frame).encode(x=x)
    band = base.mark_area(color=theme.RAMP[1], opacity=0.6).encode(
        y=alt.Y("low:Q", title="stitches since the first day"), y2="high:Q"
    )
    lines = frame.melt(["date", "ends"], ["asked_so_far", "usual", "worked_so_far"], "line", "value").dropna(
        subset="value"
    )
    names = {"asked_so_far": "asked", "usual": "usual", "worked_so_far": "done"}
    lines["line"] = lines["line"].map(names)
    stroke = alt.Scale(domain=list(names.values()), range=[theme.HUES[1], theme.HUES[0], theme.INK])
    dash = alt.Scale(domain=list(names.values()), range=[[1, 0], [6, 3], [1, 0]])
    drawn = alt.Chart(lines).encode(x=x, y=y, color=alt.Color("line:N", scale=stroke, legend=None))
    tooltip = [
        alt.Tooltip("date:T", title="day", format="%A %e %B %Y"),
        alt.Tooltip("line:N", title="line"),
        alt.Tooltip("value:Q", title="stitches", format=",.0f"),
        alt.Tooltip("ends:N", title="ends"),
    ]
    line = drawn.mark_line(strokeWidth=2.5).encode(strokeDash=alt.StrokeDash("line:N", scale=dash, legend=None))
    ends = lines[(lines["line"] == "asked") & (lines["ends"] != "")]
    marks = alt.Chart(ends).mark_point(shape="triangle-down", size=90, filled=True, opacity=1, yOffset=-7)
    marks = marks.encode(x=x, y=y, color=alt.value(theme.HUES[1]), tooltip=tooltip)
    last = lines.sort_values("date").groupby("line", sort=False).tail(1)
    text = alt.Chart(last).mark_text(align="left", dx=6, fontWeight="bold")
    text = text.encode(x=x, y=y, text="line:N", color=alt.Color("line:N", scale=stroke, legend=None))
    dots = drawn.mark_point(size=120, opacity=0).encode(tooltip=tooltip)
    return alt.layer(band, line, marks, text, dots).properties(
        width="container", height=320, description=f"Lines of stitches by day. {say_course(frame)}"
    )


def progress(fit: pd.DataFrame) -> alt.TopLevelMixin:
    """How much of its target each promise that has begun, or carries something, has: a bar against the whole."""
    data = begun(fit)
    if data.empty:
        return _nothing("No promise of this period has begun.")
    order = data.sort_values(["ends", "starts"], kind="stable")["label"].tolist()
    done = pd.DataFrame(
        {
            "label": data["label"],
            "share": (data["worked"] / data["target"]).clip(0.0, 1.0),
            "whole": 1.0,
            "said": [_say_part(row) for row in each(data)],
        }
    )
    tooltip = [alt.Tooltip("label:N", title="promise"), alt.Tooltip("said:N", title="stands at")]
    base = alt.Chart(done).encode(y=_named("label", order), tooltip=tooltip)
    scale = alt.Scale(domain=[0, 1.9])
    whole = base.mark_bar(height=14, cornerRadius=3, fill="transparent", stroke=theme.EDGE)
    share = base.mark_bar(height=14, cornerRadius=3, fill=theme.RAMP[3])
    text = base.mark_text(align="left", dx=6)
    return alt.layer(
        whole.encode(x=alt.X("whole:Q", scale=scale, axis=None)),
        share.encode(x=alt.X("share:Q", scale=scale, axis=None)),
        text.encode(x=alt.X("whole:Q", scale=scale, axis=None), text="said:N"),
    ).properties(width="container", height=_ROW * len(order), description=f"Bars of shares. {say_progress(fit)}")


def more_time(more: pd.DataFrame) -> alt.TopLevelMixin:
    """The chance of everything by minutes more on each stitching day."""
    if more.empty:
        return _nothing("What more time would do cannot be told.")
    data = more.assign(
        said=[say_chance(c) for c in more["chance_all"]],
        more=["as now" if m == 0 else f"{words.duration(m)} more" for m in more["minutes"]],
    )
    axis = alt.Axis(format="%", values=[0, 0.2, 0.4, 0.6, 0.8, 1.0])
    base = alt.Chart(data).encode(
        y=_named("more", data["more"].tolist()),
        x=alt.X("chance_all:Q", title="chance of everything", scale=alt.Scale(domain=[0, 1.1]), axis=axis),
        tooltip=[
            alt.Tooltip("more:N", title="time"),
            alt.Tooltip("stitches:Q", title="stitches more a day", format=",.0f"),
            alt.Tooltip("said:N", title="chance of everything"),
            alt.Tooltip("met:Q", title="promises met, on average", format=".1f"),
        ],
    )
    bars = base.mark_bar(height=14, cornerRadius=3, fill=theme.RAMP[3])
    text = base.mark_text(align="left", dx=6).encode(text="said:N")
    safe = alt.Chart(pd.DataFrame({"safe": [SAFE], "said": ["safe enough"]})).encode(x="safe:Q")
    rule = safe.mark_rule(color=theme.QUIET, strokeDash=[4, 3])
    name = safe.mark_text(color=theme.QUIET, align="left", dx=5).encode(y=alt.value(8), text="said:N")
    return alt.layer(rule, bars, name, text).properties(
        width="container", height=_ROW * len(data), description=f"Bars of chances. {say_more(more)}"
    )


def prompts(frame: pd.DataFrame) -> alt.TopLevelMixin:
    """Each prompt beside the piece that meets it, a column a piece; prompts that none meets as hollow diamonds."""
    if frame.empty:
        return _nothing("No event with prompts lies in this period.")
    met = frame["piece"] != ""
    columns = list(frame.loc[met].groupby("piece")["prompt"].count().sort_values(ascending=False, kind="stable").index)
    data = frame.assign(
        place=frame["piece"].map({p: i for i, p in enumerate(columns)}).fillna(len(columns)),
        met=met,
        left=-0.4,
        said=frame["piece"].where(met, "no piece yet"),
    ).sort_values("place", kind="stable")
    data["name"] = data["said"].where(~data["said"].duplicated(), "")
    base = alt.Chart(data).encode(
        x=alt.X("place:Q", axis=None, scale=alt.Scale(domain=[-0.4, data["place"].max() + 1.6], nice=False)),
        y=alt.Y("prompt:N", sort=data["prompt"].tolist(), title=None, axis=_names()),
        tooltip=[
            alt.Tooltip("prompt:N"),
            alt.Tooltip("said:N", title="piece"),
            alt.Tooltip("needs:N", title="tags"),
            alt.Tooltip("others:Q", title="other pieces that would do"),
            alt.Tooltip("mend:N", title="wants"),
        ],
    )
    dots = base.transform_filter("datum.met").mark_point(size=150, filled=True, opacity=1, color=theme.ACCENT)
    none = base.transform_filter("!datum.met").mark_point(
        size=150, shape="diamond", strokeWidth=2, filled=True, fill=theme.PAPER, stroke=theme.HUES[1], opacity=1
    )
    text = base.mark_text(align="left", dx=12).encode(text="name:N")
    lead = base.mark_rule(color=theme.RULE).encode(x=alt.X("left:Q", axis=None), x2="place:Q")
    return alt.layer(lead, dots, none, text).properties(
        width="container", height=26 * len(data), description=f"Dots. {say_prompts(frame)}"
    )


def lengths(frame: pd.DataFrame) -> alt.TopLevelMixin:
    """Days until done at one, two and three lengths of thread a day."""
    if frame.empty:
        return _nothing("No piece is worked a length a day.")
    data = frame.assign(
        said=[f"{words.span(d)}, {words.day(on)}" for d, on in zip(frame["days"], frame["done_on"], strict=True)],
        row=[f"{p}, {words.count(n, 'length')} a day" for p, n in zip(frame["piece"], frame["a_day"], strict=True)],
    )
    top = float(data["days"].max()) * 1.6
    base = alt.Chart(data).encode(
        y=_named("row", data["row"].tolist()),
        x=alt.X("days:Q", title="days until done", scale=alt.Scale(domain=[0, top]), axis=alt.Axis(tickCount=5)),
        tooltip=[
            alt.Tooltip("piece:N"),
            alt.Tooltip("a_day:Q", title="lengths a day"),
            alt.Tooltip("days:Q"),
            alt.Tooltip("done_on:T", title="done on", format="%e %B %Y"),
            alt.Tooltip("sooner:Q", title="days sooner than with one fewer"),
        ],
    )
    bars = base.mark_bar(height=14, cornerRadius=3, fill=theme.RAMP[3])
    text = base.mark_text(align="left", dx=6).encode(text="said:N")
    return alt.layer(bars, text).properties(
        width="container", height=_ROW * len(data), description=f"Bars of days. {say_lengths(frame)}"
    )


def begun(fit: pd.DataFrame) -> pd.DataFrame:
    """The promises of a `capacity` frame with a target whose window is open or over, or that take something over."""
    known = fit["target"].notna() & (fit["target"] > 0)
    return fit[known & ((fit["starts"] <= fit.attrs["as_of"]) | (fit["worked"] > 0) | (fit["carried"] > 0))]


def _names() -> alt.Axis:
    return alt.Axis(labelLimit=_NAMES, labelPadding=8, ticks=False, domain=False, grid=False)


def _named(field: str, order: list[str]) -> alt.Y:
    return alt.Y(f"{field}:N", sort=order, title=None, axis=_names())


def _nothing(text: str) -> alt.TopLevelMixin:
    chart = alt.Chart(pd.DataFrame({"text": [text]})).mark_text(color=theme.QUIET).encode(text="text:N")
    return alt.layer(chart).properties(width="container", height=30, description=text)


def _level(row: Any, as_of: pd.Timestamp) -> str:
    if row.ends <= as_of:
        return "is met" if row.status in ("met", "made up", "piece finished") else "is over"
    if pd.isna(row.chance):
        return "cannot be told"
    if row.status in ("met", "piece finished"):
        return "is met"
    return "should come out" if row.chance >= SAFE else "may come out" if row.chance >= 0.5 else "is doubtful"


def _until(ends: pd.Timestamp, end: pd.Timestamp) -> str:
    return f", to {words.short_day(ends, year=False)}" if ends > end else ""


def _say_part(row: Any) -> str:
    return say_stand(row) + (f" and {words.number(row.carried)} carried over" if row.carried > 0 else "")


def _at(day: pd.Timestamp) -> dict[str, int]:
    return alt.DateTime(year=day.year, month=day.month, date=day.day).to_dict()
