"""Charts of pace: pieces beside each other, what moves pace, and months beside each other."""

from __future__ import annotations

import altair as alt
import numpy as np
import pandas as pd

from stitchlog import theme, words
from stitchlog.pace import say_effects, say_paces, say_trend

# A row: the name stands above its mark, so that a narrow screen keeps its width for the marks.
ROW, NAME_UP = 46, -14


def paces(frame: pd.DataFrame) -> alt.TopLevelMixin:
    """A dot and its window a piece, from the frame of `pace.glance`; a diamond where a fair pace differs."""
    data = frame[frame["per_hour"].notna()].reset_index(drop=True)
    data = data.assign(
        name=data["piece"],
        said=[_said(*w) for w in zip(data["per_hour"], data["per_hour_low"], data["per_hour_high"], strict=True)],
        differs=(data["fair_per_hour"] / data["per_hour"] - 1.0).abs() > 0.02,
        rest=data["pieces"] > 1,
    )
    low, high = _ends(data, ["per_hour_low", "per_hour_high", "fair_per_hour"])
    x = alt.X(
        "per_hour:Q",
        title="stitches an hour (line: window, diamond: fair pace)",
        scale=alt.Scale(domain=[low, high], nice=False, zero=False),
        axis=alt.Axis(tickCount=5, format=",.0f"),
    )
    y = _rows(data["name"])
    tooltip = [
        alt.Tooltip("piece:N"),
        alt.Tooltip("per_hour:Q", title="stitches an hour", format=",.0f"),
        alt.Tooltip("per_hour_low:Q", title="window from", format=",.0f"),
        alt.Tooltip("per_hour_high:Q", title="to", format=",.0f"),
        alt.Tooltip("fair_per_hour:Q", title="fair pace", format=",.0f"),
        alt.Tooltip("timed_sessions:Q", title="timed sessions"),
    ]
    base = alt.Chart(data).encode(y=y)
    overall = float(frame.attrs.get("overall", np.nan))
    rule = _rule(overall, f"all pieces {words.number(overall)}") if np.isfinite(overall) else []
    window = base.mark_rule(strokeWidth=5, color=theme.RAMP[2], strokeCap="round").encode(
        x=x, x2="per_hour_high:Q", tooltip=tooltip
    )
    window = window.transform_calculate(per_hour="datum.per_hour_low")
    dot = base.mark_circle(size=130, color=theme.ACCENT).encode(x=x, tooltip=tooltip)
    dot = dot.transform_filter("!datum.rest")
    fair = (
        base.transform_filter("datum.differs && !datum.rest")
        .mark_point(shape="diamond", size=110, color=theme.INK, filled=False, strokeWidth=1.6)
        .encode(x=alt.X("fair_per_hour:Q"), tooltip=tooltip)
    )
    return alt.layer(*rule, window, dot, fair, *_labels(base)).properties(
        width="container",
        height=alt.Step(ROW),
        description=f"Pace of each piece with its 90% window. {say_paces(frame)} "
        + "; ".join(f"{piece}: {said}" for piece, said in zip(data["piece"], data["said"], strict=True))
        + ".",
    )


def effects(frame: pd.DataFrame) -> alt.TopLevelMixin:
    """Each effect and its window, from the frame of `pace.effects`: a full dot where the diary bears it out."""
    data = frame[frame["effect"].notna()].reset_index(drop=True)
    data = data.assign(
        name=[p[0].upper() + p[1:] for p in data["short"]],
        said=[_change(e) if s else "unclear" for e, s in zip(data["effect"], data["supported"], strict=True)],
    )
    low, high = _ends(data.assign(zero=0.0), ["low", "high", "zero"])
    x = alt.X(
        "effect:Q",
        title="slower  \N{LEFTWARDS ARROW}  change of pace  \N{RIGHTWARDS ARROW}  faster",
        scale=alt.Scale(domain=[low, high], nice=False),
        axis=alt.Axis(format="+%", tickCount=5),
    )
    tooltip = [
        alt.Tooltip("factor:N"),
        alt.Tooltip("short:N", title="for"),
        alt.Tooltip("effect:Q", title="change", format="+.1%"),
        alt.Tooltip("low:Q", title="window from", format="+.1%"),
        alt.Tooltip("high:Q", title="to", format="+.1%"),
    ]
    base = alt.Chart(data).encode(y=_rows(data["name"]))
    window = base.mark_rule(strokeWidth=5, color=theme.RAMP[2], strokeCap="round").encode(
        x=x, x2="high:Q", tooltip=tooltip
    )
    window = window.transform_calculate(effect="datum.low")
    dots = base.mark_point(size=120, strokeWidth=2, color=theme.ACCENT).encode(
        x=x,
        fill=alt.condition("datum.supported", alt.value(theme.ACCENT), alt.value(theme.PAPER)),
        tooltip=tooltip,
    )
    return alt.layer(*_rule(0.0, ""), window, dots, *_labels(base)).properties(
        width="container", height=alt.Step(ROW), description=f"What moves the pace. {say_effects(frame)}"
    )


def trend(frame: pd.DataFrame) -> alt.TopLevelMixin:
    """Pace month by month like for like, with its window; small squares show the month's figure as it was."""
    data = frame[frame["worked_per_hour"].notna()]
    x = alt.X(
        "month:T",
        title=None,
        axis=alt.Axis(format="%b %Y", tickCount=6, labelOverlap=True),
        scale=alt.Scale(padding=14),
    )
    values = data[["per_hour_low", "per_hour_high", "worked_per_hour"]].to_numpy()
    low, high = (float(np.nanmin(values)), float(np.nanmax(values))) if len(values) else (0.0, 1.0)
    room = 0.1 * max(high - low, 1.0)
    y = alt.Y(
        "per_hour:Q",
        title="stitches an hour (dots: like for like, squares: as it was)",
        scale=alt.Scale(domain=[max(low - room, 0.0), high + room], zero=False, nice=False),
        axis=alt.Axis(titleAngle=0, titleAlign="left", titleAnchor="start", titleX=-34, titleY=-16, tickCount=5),
    )
    tooltip = [
        alt.Tooltip("month:T", format="%B %Y"),
        alt.Tooltip("per_hour:Q", title="like for like", format=",.0f"),
        alt.Tooltip("per_hour_low:Q", title="window from", format=",.0f"),
        alt.Tooltip("per_hour_high:Q", title="to", format=",.0f"),
        alt.Tooltip("worked_per_hour:Q", title="as it was, before unpicking", format=",.0f"),
        alt.Tooltip("kept_per_hour:Q", title="after unpicking", format=",.0f"),
        alt.Tooltip("hours:Q", title="timed hours", format=",.1f"),
    ]
    base = alt.Chart(data).encode(x=x)
    band = base.mark_rule(strokeWidth=6, color=theme.RAMP[1], strokeCap="round").encode(
        y=y, y2="per_hour_high:Q", tooltip=tooltip
    )
    band = band.transform_calculate(per_hour="datum.per_hour_low")
    line = base.mark_line(point={"size": 70, "filled": True, "color": theme.ACCENT}).encode(y=y, tooltip=tooltip)
    as_was = base.mark_point(shape="square", size=40, color=theme.INK, filled=False).encode(
        y=alt.Y("worked_per_hour:Q"), tooltip=tooltip
    )
    return alt.layer(band, line, as_was).properties(
        width="container",
        height=260,
        padding={"left": 5, "right": 12, "top": 24, "bottom": 5},
        description=f"Pace by month. {say_trend(frame)}",
    )


def _rows(names: pd.Series) -> alt.Y:
    return alt.Y("name:N", sort=names.tolist(), title=None, axis=None, scale=alt.Scale(paddingOuter=0.3))


def _labels(base: alt.Chart) -> list[alt.Chart]:
    """The name above a row's mark at the left end, what it says at the right end."""
    name = base.mark_text(align="left", dy=NAME_UP, limit=330).encode(x=alt.value(0), text="name:N")
    said = base.mark_text(align="right", dy=NAME_UP, color=theme.QUIET).encode(x=alt.value("width"), text="said:N")
    return [name, said]


def _rule(value: float, text: str) -> list[alt.Chart]:
    at = alt.Chart(pd.DataFrame({"value": [value], "text": [text]}))
    rule = at.mark_rule(color=theme.EDGE, strokeDash=[4, 3]).encode(x=alt.X("value:Q"))
    label = at.mark_text(color=theme.QUIET, baseline="bottom", dy=-4).encode(x="value:Q", y=alt.value(0), text="text:N")
    return [rule, label] if text else [rule]


def _ends(data: pd.DataFrame, columns: list[str]) -> tuple[float, float]:
    values = data[columns].to_numpy(float)
    if not np.isfinite(values).any():
        return 0.0, 1.0
    low, high = float(np.nanmin(values)), float(np.nanmax(values))
    room = 0.06 * max(high - low, 1e-3)
    return low - room, high + room


def _said(middle: float, low: float, high: float) -> str:
    if not np.isfinite(middle) or low == high:
        return words.number(middle)
    return f"{words.number(middle)} ({words.number(low)} to {words.number(high)})"


def _change(effect: float) -> str:
    return f"{words.percent(abs(effect))} {'faster' if effect > 0 else 'slower'}"
