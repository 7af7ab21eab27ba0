"""Charts of pace: pieces beside each other, what speeds you up or slows you down, and months beside each other."""

from __future__ import annotations

from typing import Any

import altair as alt
import numpy as np
import pandas as pd

from stitchlog import words
from stitchlog.model.pace.factors import say_change, say_effects
from stitchlog.model.pace.paces import Paces, extremes, say_paces
from stitchlog.model.pace.pooling import CHANCE
from stitchlog.render import theme
from stitchlog.render.rows import ROW, labels, rows, spelled
from stitchlog.reports.pace.months import Trend, say_trend

_UP = 14
_RANGE: dict[str, Any] = {"strokeWidth": 5, "color": theme.RAMP[2], "strokeCap": "round"}


def paces(found: Paces) -> alt.TopLevelMixin | None:
    """A dot and its range a piece, from `pace.paces`; a diamond where a fair pace differs.

    None where no piece has a pace.
    """
    frame = extremes(found)
    if frame.empty:
        return None
    data = frame.assign(
        name=frame["piece"],
        said=[_said(*w) for w in zip(frame["per_hour"], frame["per_hour_low"], frame["per_hour_high"], strict=True)],
        differs=(frame["fair_per_hour"] / frame["per_hour"] - 1.0).abs() > 0.02,
        rest=frame["pieces"] > 1,
    )
    x = alt.X(
        "per_hour:Q",
        title="stitches an hour (line: range, diamond: fair pace)",
        scale=_scale(data[["per_hour_low", "per_hour_high", "fair_per_hour"]], least=0.0),
        axis=alt.Axis(tickCount=5, format=",.0f"),
    )
    tooltip = [
        alt.Tooltip("piece:N"),
        alt.Tooltip("per_hour:Q", title="stitches an hour", format=",.0f"),
        alt.Tooltip("per_hour_low:Q", title="range from", format=",.0f"),
        alt.Tooltip("per_hour_high:Q", title="to", format=",.0f"),
        alt.Tooltip("fair_per_hour:Q", title="fair pace", format=",.0f"),
        alt.Tooltip("timed_sessions:Q", title="timed sessions"),
    ]
    base = alt.Chart(data).encode(y=rows(data))
    marks = base.encode(x=x, tooltip=tooltip)
    window = marks.mark_rule(**_RANGE).encode(x=_of(x, "per_hour_low"), x2="per_hour_high:Q")
    dot = marks.mark_circle(size=130, color=theme.ACCENT).transform_filter("!datum.rest")
    fair = marks.transform_filter("datum.differs && !datum.rest").mark_point(
        shape="diamond", size=110, color=theme.INK, filled=False, strokeWidth=1.6
    )
    fair = fair.encode(x="fair_per_hour:Q")
    rule = _rule(found.overall, f"all pieces {words.number(found.overall)}")
    return alt.layer(*rule, window, dot, fair, *labels(base, _UP)).properties(
        width="container",
        height=alt.Step(ROW),
        description=f"Pace of each piece with its {words.percent(CHANCE)} range. {say_paces(found)} {spelled(data)}",
    )


def effects(frame: pd.DataFrame) -> alt.TopLevelMixin | None:
    """Each effect and its range, from the frame of `pace.effects`: a full dot where it is clear.

    None where the diary can tell of none.
    """
    data = frame[frame["effect"].notna()]
    if data.empty:
        return None
    data = data.assign(
        name=[p[0].upper() + p[1:] for p in data["short"]],
        said=[
            say_change(e) if s else "no clear effect" for e, s in zip(data["effect"], data["supported"], strict=True)
        ],
    )
    x = alt.X(
        "effect:Q",
        title="slower  \N{LEFTWARDS ARROW}  change of pace  \N{RIGHTWARDS ARROW}  faster",
        scale=_scale(data[["low", "high"]].assign(zero=0.0)),
        axis=alt.Axis(format="+%", tickCount=5),
    )
    tooltip = [
        alt.Tooltip("factor:N"),
        alt.Tooltip("short:N", title="for"),
        alt.Tooltip("effect:Q", title="change", format="+.1%"),
        alt.Tooltip("low:Q", title="range from", format="+.1%"),
        alt.Tooltip("high:Q", title="to", format="+.1%"),
    ]
    base = alt.Chart(data).encode(y=rows(data))
    marks = base.encode(x=x, tooltip=tooltip)
    window = marks.mark_rule(**_RANGE).encode(x=_of(x, "low"), x2="high:Q")
    dots = marks.mark_point(size=120, strokeWidth=2, color=theme.ACCENT).encode(
        fill=alt.condition("datum.supported", alt.value(theme.ACCENT), alt.value(theme.PAPER))
    )
    return alt.layer(*_rule(0.0), window, dots, *labels(base, _UP)).properties(
        width="container",
        height=alt.Step(ROW),
        description=f"Effects on your pace. {say_effects(frame)}",
    )


def trend(found: Trend) -> alt.TopLevelMixin | None:
    """Pace month by month like for like, with its range; small squares show the month's figure as it was.

    From `pace.trend`. None where no month has one.
    """
    frame = found.months
    if frame.empty:
        return None
    x = alt.X(
        "month:T",
        title=None,
        axis=alt.Axis(format="%b %Y", tickCount=6, labelOverlap=True),
        scale=alt.Scale(padding=14),
    )
    y = alt.Y(
        "per_hour:Q",
        title="stitches an hour (dots: like for like, squares: as it was)",
        scale=_scale(frame[["per_hour_low", "per_hour_high", "worked_per_hour"]], least=0.0),
        axis=alt.Axis(titleAngle=0, titleAlign="left", titleAnchor="start", titleX=-34, titleY=-16, tickCount=5),
    )
    tooltip = [
        alt.Tooltip("month:T", format="%B %Y"),
        alt.Tooltip("per_hour:Q", title="like for like", format=",.0f"),
        alt.Tooltip("per_hour_low:Q", title="range from", format=",.0f"),
        alt.Tooltip("per_hour_high:Q", title="to", format=",.0f"),
        alt.Tooltip("worked_per_hour:Q", title="as it was, before unpicking", format=",.0f"),
        alt.Tooltip("kept_per_hour:Q", title="after unpicking", format=",.0f"),
        alt.Tooltip("hours:Q", title="timed hours", format=",.1f"),
    ]
    base = alt.Chart(frame).encode(x=x, y=y, tooltip=tooltip)
    band = base.mark_rule(strokeWidth=6, color=theme.RAMP[1], strokeCap="round")
    band = band.encode(y=_of(y, "per_hour_low"), y2="per_hour_high:Q")
    line = base.mark_line(point={"size": 70, "filled": True, "color": theme.ACCENT})
    as_was = base.mark_point(shape="square", size=40, color=theme.INK, filled=False).encode(y="worked_per_hour:Q")
    return alt.layer(band, line, as_was).properties(
        width="container",
        height=260,
        padding={"left": 5, "right": 12, "top": 24, "bottom": 5},
        description=f"Pace by month. {say_trend(found)}",
    )


def _rule(value: float, text: str = "") -> list[alt.Chart]:
    at = alt.Chart(pd.DataFrame({"value": [value], "text": [text]}))
    rule = at.mark_rule(color=theme.EDGE, strokeDash=[4, 3]).encode(x="value:Q")
    label = at.mark_text(color=theme.QUIET, baseline="bottom", dy=-4).encode(x="value:Q", y=alt.value(0), text="text:N")
    return [rule, label] if text else [rule]


def _scale(values: pd.DataFrame, least: float = -np.inf) -> alt.Scale:
    """A scale that holds all values, with a little room at either end, and nothing below `least`."""
    low, high = float(np.nanmin(values)), float(np.nanmax(values))
    room = 0.06 * max(high - low, 1e-3)
    return alt.Scale(domain=[max(low - room, least), high + room], nice=False, zero=False)


def _said(middle: float, low: float, high: float) -> str:
    return f"{words.number(middle)} ({words.number(low)} to {words.number(high)})"


def _of(axis: alt.X | alt.Y, column: str) -> alt.X | alt.Y:
    """A copy of `axis` for another column."""
    other = axis.copy()
    other.shorthand = f"{column}:Q"
    return other
