"""Charts of fabric, thread and colour."""

from __future__ import annotations

import altair as alt
import pandas as pd

from stitchlog import words
from stitchlog.model.thread.shopping import Needed
from stitchlog.render import theme
from stitchlog.reports.materials.colours import say_visibility
from stitchlog.reports.materials.fabric import say_size_table
from stitchlog.reports.materials.shopping import say_needed, short_or_unsure

# So many colours are drawn; all are in the table.
MOST = 14
# Where more run short, so many of those.
MOST_SHORT = 24
# One cross as a symbol: both arms, in a square of two by two.
CROSS = "M-1,-1L1,1M-1,1L1,-1"
CROSSES = 7
_ROW = 42


def provision(list_for: Needed) -> alt.TopLevelMixin | None:
    """What is still needed of each colour against what is on hand, in skeins, the shortest first.

    The colours that run short or may; where none does, the first ones. None where no colour is needed.
    """
    if list_for.colours.empty:
        return None
    short = short_or_unsure(list_for)
    data = _first(list_for.colours) if short.empty else _first(short, MOST_SHORT)
    says = [_say_enough(buy, chance) for buy, chance in zip(data["to_buy"], data["chance_enough"], strict=True)]
    data = data.assign(label=_colour_names(data) + "\n" + says, what="still needed")
    y = alt.Y("label:N", sort=data["label"].tolist(), title=None, axis=_axis())
    x = alt.X("needed_skeins:Q", title="skeins", axis=alt.Axis(tickMinStep=0.5, tickCount=6, format="~g"))
    tooltip = [
        alt.Tooltip("code:N", title="colour"),
        alt.Tooltip("name:N"),
        alt.Tooltip("needed_skeins:Q", title="still needed, skeins", format=".2f"),
        alt.Tooltip("on_hand:Q", title="on hand, skeins", format="~g"),
        alt.Tooltip("to_buy:Q", title="to buy, whole skeins", format=".0f"),
        alt.Tooltip("chance_enough:Q", title="chance that it is enough", format=".0%"),
    ]
    what = alt.Scale(
        domain=["still needed", "likely range", "on hand"], range=[theme.RAMP[2], theme.INK, theme.HUES[5]]
    )
    legend = alt.Legend(title=None, orient="top", symbolType="square")
    base = alt.Chart(data).encode(y=y, tooltip=tooltip)
    bar = base.mark_bar(height=16, stroke=theme.EDGE, strokeWidth=1).encode(
        x=x, color=alt.Color("what:N", scale=what, legend=legend)
    )
    span = base.mark_rule(strokeWidth=2).encode(
        x="needed_low:Q", x2="needed_high:Q", color=alt.ColorDatum("likely range", type="nominal")
    )
    hand = base.mark_tick(thickness=4, size=22).encode(x="on_hand:Q", color=alt.ColorDatum("on hand", type="nominal"))
    return alt.layer(bar, span, hand).properties(
        width="container",
        height=alt.Step(_ROW),
        description=f"Thread still needed and on hand, by colour. {say_needed(list_for)}{_more(short)}",
    )


def swatches(frame: pd.DataFrame) -> alt.TopLevelMixin | None:
    """The colours that show least, each in crosses on fabric of its piece's colour, from `materials.visibility`.

    None where neither thread nor fabric has a colour on screen.
    """
    known = _first(frame.dropna(subset=["delta_e"]))
    if known.empty:
        return None
    several = len(known["piece"].unique()) > 1
    known["label"] = _colour_names(known) + ("\n" + known["piece"] if several else "") + "\n" + known["says"]
    order = known["label"].tolist()
    crosses = known.merge(pd.DataFrame({"place": [i + 0.5 for i in range(CROSSES)]}), how="cross")
    y = alt.Y("label:N", sort=order, title=None, axis=_axis(3 if several else 2), scale=alt.Scale(paddingInner=0.12))
    x = alt.X("place:Q", scale=alt.Scale(domain=[0, CROSSES], nice=False), axis=None)
    tooltip = [
        alt.Tooltip("code:N", title="colour"),
        alt.Tooltip("name:N"),
        alt.Tooltip("piece:N"),
        alt.Tooltip("delta_e:Q", title="colour difference (CIEDE2000)", format=".1f"),
        alt.Tooltip("contrast:Q", title="contrast (WCAG)", format=".2f"),
        alt.Tooltip("says:N"),
    ]
    fabric = (
        alt.Chart(known)
        .mark_rect(stroke=theme.EDGE, cornerRadius=3)
        .encode(y=y, fill=alt.Fill("fabric_hex:N", scale=None), tooltip=tooltip)
    )
    thread = (
        alt.Chart(crosses)
        .mark_point(shape=CROSS, size=420, strokeWidth=6, strokeCap="round", filled=False)
        .encode(y=y, x=x, stroke=alt.Stroke("hex:N", scale=None), tooltip=tooltip)
    )
    return alt.layer(fabric, thread).properties(
        width="container",
        height=alt.Step(_ROW + (14 if several else 0)),
        description=f"Thread on fabric, what shows least first. {say_visibility(frame)}",
    )


def sizes(frame: pd.DataFrame) -> alt.TopLevelMixin | None:
    """The design's width within the fabric to cut, on every usual fabric, from `materials.size_table`.

    None where it has no row.
    """
    if frame.empty:
        return None
    margin = (frame["cut_width_cm"] - frame["width_cm"]) / 2
    data = frame.round(4).assign(
        left=margin.round(4),
        right=(margin + frame["width_cm"]).round(4),
        nought=0.0,
        what="the design",
        label=frame["fabric"] + frame["own"].map({True: " (planned)\n", False: "\n"}) + _measures(frame),
    )
    y = alt.Y("label:N", sort=data["label"].tolist(), title=None, axis=_axis(), scale=alt.Scale(paddingInner=0.25))
    tooltip = [
        alt.Tooltip("fabric:N"),
        alt.Tooltip("width_cm:Q", title="width, cm", format=".1f"),
        alt.Tooltip("height_cm:Q", title="height, cm", format=".1f"),
        alt.Tooltip("cut_width_cm:Q", title="width to cut, cm", format=".1f"),
        alt.Tooltip("cut_height_cm:Q", title="height to cut, cm", format=".1f"),
        alt.Tooltip("hours:Q", title="hours", format=",.0f"),
    ]
    base = alt.Chart(data).encode(y=y, tooltip=tooltip)
    scale = alt.Scale(domain=["the design", "the fabric to cut"], range=[theme.ACCENT, theme.RAMP[0]])
    legend = alt.Legend(title=None, orient="top", symbolType="square")
    axis = alt.Axis(tickCount=6)
    cut = base.mark_bar(stroke=theme.EDGE, strokeWidth=1).encode(
        x=alt.X("nought:Q", title="width in cm", axis=axis),
        x2="cut_width_cm:Q",
        color=alt.ColorDatum("the fabric to cut", type="nominal"),
    )
    design = base.mark_bar(height=18).encode(
        x="left:Q", x2="right:Q", color=alt.Color("what:N", scale=scale, legend=legend)
    )
    return alt.layer(cut, design).properties(
        width="container", height=alt.Step(_ROW), description=f"Sizes by fabric. {say_size_table(frame)}"
    )


def _first(frame: pd.DataFrame, most: int = MOST) -> pd.DataFrame:
    """The rows to draw, with no more digits than a chart can show."""
    return frame.head(most).reset_index(drop=True).round(4)


def _more(short: pd.DataFrame) -> str:
    """What the chart leaves out of the colours that run short."""
    return f" The first {MOST_SHORT} are drawn." if len(short) > MOST_SHORT else ""


def _colour_names(frame: pd.DataFrame) -> pd.Series:
    return (frame["code"] + " " + frame["name"]).str.strip()


def _say_enough(buy: float, chance: float) -> str:
    if pd.isna(buy) or pd.isna(chance):
        return "not known"
    if buy > 0:
        return f"buy {words.number(buy)}"
    return "enough" if chance >= 0.95 else f"may run short ({words.percent(1 - chance)})"


def _measures(frame: pd.DataFrame) -> list[str]:
    out = []
    for wide, high, hours in frame[["width_cm", "height_cm", "hours"]].to_numpy(float).tolist():
        text = f"{words.number(wide, 1)} × {words.number(high, 1)} cm"
        out.append(text if pd.isna(hours) else f"{text}, about {words.number(hours)} h")
    return out


def _axis(lines: int = 2) -> alt.Axis:
    """Labels of several lines, their middle at the row's."""
    return alt.Axis(
        labelExpr="split(datum.label, '\\n')",
        labelLineHeight=16,
        labelOffset=-8 * (lines - 1),
        ticks=False,
        domain=False,
        grid=False,
        labelPadding=8,
    )
