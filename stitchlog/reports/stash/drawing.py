"""Charts of the drawer: hours of each chart that waits, what lies on which cut, and what came and went."""

from __future__ import annotations

import altair as alt
import pandas as pd

from stitchlog import words
from stitchlog.diary.frames import each_row
from stitchlog.render import theme
from stitchlog.reports.stash.sentences import say_hours, say_moves, say_sharing
from stitchlog.reports.stash.sharing import Sharing

# So many charts, cuts and months are drawn; all are in the tables.
MOST = 20
MOST_CUTS = 8
MOST_MONTHS = 24
_ROW = 42
# Pixels that the longest side of a cut takes.
_CUT = 152
_GAP = 18


def hours(charts: pd.DataFrame) -> alt.TopLevelMixin | None:
    """Hours of each chart that waits, with their range, from `stash.charts`. None where none is known."""
    known = charts[charts["hours"] > 0].head(MOST)
    if known.empty:
        return None
    data = known[["piece", "hours", "hours_low", "hours_high", "stitches"]].round(2)
    data["state"] = known["ready"].map({True: "ready to start", False: "needs something"}).to_numpy()
    data["label"] = [f"{row.piece}\n{words.number(row.hours)} h, {row.state}" for row in each_row(data)]
    axis = alt.Axis(
        labelExpr="split(datum.label, '\\n')",
        labelLineHeight=16,
        labelOffset=-8,
        ticks=False,
        domain=False,
        grid=False,
        labelPadding=8,
    )
    state = alt.Scale(domain=["ready to start", "needs something"], range=[theme.HUES[0], theme.RAMP[2]])
    base = alt.Chart(data).encode(
        y=alt.Y("label:N", sort=data["label"].tolist(), title=None, axis=axis),
        tooltip=[
            alt.Tooltip("piece:N", title="chart"),
            alt.Tooltip("hours:Q", format=",.0f"),
            alt.Tooltip("hours_low:Q", title="from", format=",.0f"),
            alt.Tooltip("hours_high:Q", title="to", format=",.0f"),
            alt.Tooltip("stitches:Q", format=",.0f"),
        ],
    )
    bar = base.mark_bar(height=16, stroke=theme.EDGE, strokeWidth=1).encode(
        x=alt.X("hours:Q", title="hours", axis=alt.Axis(tickCount=6)),
        color=alt.Color("state:N", scale=state, legend=alt.Legend(title=None, orient="top", symbolType="square")),
    )
    span = base.mark_rule(strokeWidth=2, color=theme.INK).encode(x="hours_low:Q", x2="hours_high:Q")
    return alt.layer(bar, span).properties(
        width="container", height=alt.Step(_ROW), description=f"Hours of each chart. {say_hours(charts)}"
    )


def cuts(sharing: Sharing) -> alt.TopLevelMixin | None:
    """Each cut that is used, to scale, with the charts where they lie on it. None where none is used."""
    if sharing.cuts.empty:
        return None
    data, marks = _laid_out(sharing.cuts)
    height = int(data["bottom"].max()) + 8
    x = alt.Scale(domain=[0, 2 * _CUT + _GAP], nice=False)
    y = alt.Scale(domain=[height, 0], nice=False)
    tooltip = [alt.Tooltip("fabric:N"), alt.Tooltip("says:N", title="what")]

    def box(frame: pd.DataFrame) -> alt.Chart:
        return alt.Chart(frame).encode(
            x=alt.X("left:Q", scale=x, axis=None),
            x2="right:Q",
            y=alt.Y("top:Q", scale=y, axis=None),
            y2="bottom:Q",
            tooltip=tooltip,
        )

    fabric = box(data).mark_rect(stroke=theme.EDGE, strokeWidth=1.5).encode(fill=alt.Fill("hex:N", scale=None))
    design = box(marks).mark_rect(fill=theme.PAPER, stroke=theme.INK, strokeWidth=1.5, fillOpacity=0.92)
    heads = alt.Chart(data).mark_text(align="left", baseline="bottom", dy=-5, fontSize=12, color=theme.INK)
    head = heads.encode(x=alt.X("left:Q", scale=x, axis=None), y=alt.Y("top:Q", scale=y, axis=None), text="head:N")
    keys = alt.Chart(marks).mark_text(fontSize=12, fontWeight="bold", color=theme.INK)
    key = keys.encode(x=alt.X("middle:Q", scale=x, axis=None), y=alt.Y("centre:Q", scale=y, axis=None), text="key:N")
    return alt.layer(fabric, design, head, key).properties(
        width=2 * _CUT + _GAP, height=height, description=f"Charts on their cuts, to scale. {say_sharing(sharing)}"
    )


def say_cuts(sharing: Sharing) -> str:
    """The key of the numbers in `cuts`; '' where none is drawn."""
    if sharing.cuts.empty:
        return ""
    _, marks = _laid_out(sharing.cuts)
    return "; ".join(f"{row.key} {row.piece}" for row in each_row(marks)) + "."


def moves(frame: pd.DataFrame) -> alt.TopLevelMixin | None:
    """Charts and kits that came in, above the line, and that were started, below it, by month. None without any."""
    rows = frame[frame["what"].isin(["chart", "kit"])]
    months = rows["month"].drop_duplicates().sort_values().tail(MOST_MONTHS)
    rows = rows[rows["month"].isin(months)].groupby("month")[["came_in", "went_out"]].sum().reset_index()
    if rows.empty:
        return None
    data = pd.concat(
        [
            rows[["month"]].assign(charts=rows["came_in"], way="came in"),
            rows[["month"]].assign(charts=-rows["went_out"], way="went out"),
        ]
    )
    data = data[data["charts"] != 0].assign(much=lambda d: d["charts"].abs())
    scale = alt.Scale(domain=["came in", "went out"], range=[theme.HUES[1], theme.HUES[0]])
    drawn: alt.Chart = (
        alt.Chart(data)
        .mark_bar(width={"band": 0.7}, stroke=theme.EDGE, strokeWidth=1)
        .encode(
            x=alt.X("month:T", timeUnit="yearmonth", title=None, axis=alt.Axis(format="%b %y", labelAngle=-45)),
            y=alt.Y("charts:Q", title="charts", axis=alt.Axis(tickMinStep=1, labelExpr="abs(datum.value)")),
            color=alt.Color("way:N", scale=scale, legend=alt.Legend(title=None, orient="top", symbolType="square")),
            tooltip=[
                alt.Tooltip("month:T", format="%B %Y"),
                alt.Tooltip("way:N"),
                alt.Tooltip("much:Q", title="charts"),
            ],
        )
        .properties(width="container", height=180, description=f"Charts by month. {say_moves(frame)}")
    )
    return drawn


def _laid_out(rows: pd.DataFrame) -> tuple[pd.DataFrame, pd.DataFrame]:
    """Cuts and designs as boxes on a sheet two cuts wide, in the same scale; designs with a number each."""
    used = rows["cut"].drop_duplicates().head(MOST_CUTS)
    rows = rows[rows["cut"].isin(used)]
    scale = _CUT / rows[["cut_width_cm", "cut_height_cm"]].max().max()
    fabrics, designs, top, number = [], [], 26.0, 0
    for start in range(0, len(used), 2):
        deep = 0.0
        for column, which in enumerate(used.iloc[start : start + 2]):
            own = rows[rows["cut"] == which]
            left = column * (_CUT + _GAP)
            cut = own.iloc[0]
            name = cut["fabric"]
            wide, high = cut["cut_width_cm"] * scale, cut["cut_height_cm"] * scale
            size = f"{words.number(cut['cut_width_cm'])} × {words.number(cut['cut_height_cm'])} cm"
            fabrics.append([name, name, left, left + wide, top, top + high, cut["colour"] or theme.PAPER, size])
            deep = max(deep, high)
            for row in each_row(own):
                number += 1
                x = left + (row.x_cm + (row.need_width_cm - row.width_cm) / 2) * scale
                y = top + (row.y_cm + (row.need_height_cm - row.height_cm) / 2) * scale
                size = f"{row.piece}: {words.number(row.width_cm)} × {words.number(row.height_cm)} cm"
                wide, high = row.width_cm * scale, row.height_cm * scale
                designs.append(
                    [name, row.piece, str(number), x, x + wide, y, y + high, x + wide / 2, y + high / 2, size]
                )
        top += deep + 34
    columns = ["left", "right", "top", "bottom"]
    cut_rows = pd.DataFrame(fabrics, columns=["fabric", "head", *columns, "hex", "says"]).round(2)
    marks = pd.DataFrame(designs, columns=["fabric", "piece", "key", *columns, "middle", "centre", "says"]).round(2)
    return cut_rows, marks
