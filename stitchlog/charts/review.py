"""Charts of a period: its days, its running total, its pieces, its starts and finishes."""

from __future__ import annotations

import textwrap
from typing import Any

import altair as alt
import pandas as pd

from stitchlog import theme, words
from stitchlog.review.days import WEEKS_WITH_MARKS, say_calendar, say_running
from stitchlog.review.period import Period
from stitchlog.review.standing import say_flow
from stitchlog.review.telling import say_share

# So many pieces' numbers fit into a cell.
MARKS_IN_CELL = 4
# Ink stays readable on these of the ramp in both schemes.
LEVELS = list(theme.RAMP[:3])
NAME_WIDTH = 26
Chart = alt.LayerChart | alt.FacetChart
_HEIGHT = 260
_LINE = 16


def calendar(frame: pd.DataFrame) -> Chart:
    """A cell a day, from the frame of `review.calendar`: shaded and numbered by stitches, marked by piece.

    The marks are the pieces' numbers in the running order. Longer periods show a dot a day, the larger the more
    stitches.
    """
    data = frame.assign(
        weekday_name=[words.weekday(d, short=True) for d in frame["date"]],
        week_name=[words.day(w, year=False) for w in frame["week"]],
        said=[
            f"{'≈' if e else ''}{words.number(s)}" if n else ""
            for s, n, e in zip(frame["stitches"], frame["sessions"], frame["estimated"], strict=True)
        ],
        few=[_few(m) for m in frame["marks"]],
        level=_levels(frame["stitches"]),
        pieces=frame["pieces"].where(frame["pieces"] != "", "a rest"),
    )
    tooltip = [
        alt.Tooltip("date:T", title="day", format="%A %e %B %Y"),
        alt.Tooltip("stitches:Q", format=",.0f"),
        alt.Tooltip("pieces:N"),
    ]
    chart = _cells(data, tooltip) if data["week"].nunique() <= WEEKS_WITH_MARKS else _dots(data, tooltip)
    return chart.properties(width="container", description=f"Calendar. {say_calendar(frame)}")


def _cells(data: pd.DataFrame, tooltip: list[alt.Tooltip]) -> Chart:
    days = data.sort_values("weekday")["weekday_name"].drop_duplicates().tolist()
    weeks = data["week_name"].drop_duplicates().tolist()
    base = alt.Chart(data).encode(
        x=alt.X("weekday_name:N", sort=days, title=None, scale=alt.Scale(paddingInner=0.05), axis=_bare(orient="top")),
        y=alt.Y("week_name:N", sort=weeks, title="week of", scale=alt.Scale(paddingInner=0.06), axis=_bare()),
    )
    box = base.mark_rect(cornerRadius=3).encode(
        fill=alt.Fill(
            "level:N", legend=None, scale=alt.Scale(domain=["rest", "1", "2", "3"], range=["transparent", *LEVELS])
        ),
        stroke=alt.condition("datum.best", alt.value(theme.INK), alt.value(theme.RULE)),
        strokeWidth=alt.condition("datum.best", alt.value(2.5), alt.value(1)),
        tooltip=tooltip,
    )
    day = base.mark_text(dy=-20, fontSize=11, color=theme.QUIET).encode(text="day:Q")
    worked = base.transform_filter("datum.sessions > 0")
    stitches = worked.mark_text(dy=-1, fontSize=14, fontWeight="bold").encode(text="said:N", tooltip=tooltip)
    marks = worked.mark_text(dy=18, fontSize=11).encode(text="few:N", tooltip=tooltip)
    return alt.layer(box, day, stitches, marks).properties(height=alt.Step(64))


def _dots(data: pd.DataFrame, tooltip: list[alt.Tooltip]) -> Chart:
    days = data.sort_values("weekday")["weekday_name"].drop_duplicates().tolist()
    base = alt.Chart(data).encode(
        x=alt.X("week:T", title=None, axis=alt.Axis(format="%b %Y", grid=False, tickCount="month", labelOverlap=True)),
        y=alt.Y("weekday_name:N", sort=days, title=None, axis=_bare()),
    )
    rest = base.transform_filter("datum.sessions == 0").mark_point(
        size=5, filled=True, color=theme.EDGE, shape="square"
    )
    worked = base.transform_filter("datum.sessions > 0").mark_circle(stroke=theme.INK, strokeWidth=0.4)
    worked = worked.encode(
        size=alt.Size(
            "stitches:Q",
            scale=alt.Scale(range=[8, 150], zero=True),
            legend=alt.Legend(title="stitches", orient="bottom", tickCount=3),
        ),
        color=alt.condition("datum.best", alt.value(theme.HUES[1]), alt.value(theme.ACCENT)),
        strokeWidth=alt.condition("datum.best", alt.value(3), alt.value(0.4)),
        tooltip=tooltip,
    )
    return alt.layer(rest.encode(tooltip=tooltip), worked).properties(height=alt.Step(26))


def _bare(**options: Any) -> alt.Axis:
    return alt.Axis(labelAngle=0, ticks=False, domain=False, grid=False, labelPadding=8, **options)


def _few(marks: str) -> str:
    numbers = marks.split()
    more = len(numbers) - MARKS_IN_CELL
    return " ".join(numbers) if more <= 0 else f"{' '.join(numbers[: MARKS_IN_CELL - 1])} +{more + 1}"


def _levels(stitches: pd.Series) -> list[str]:
    most = stitches.max() if len(stitches) else 0.0
    return ["rest" if s <= 0 or most <= 0 else str(min(3, int(s / most * 3) + 1)) for s in stitches]


def running(frame: pd.DataFrame) -> Chart:
    """The running total of the period against the one before it, from the frame of `review.running`."""
    if not frame["stitches"].any():
        return _nothing(f"Running total. {say_running(frame)}")
    base = alt.Chart(frame).encode(
        x=alt.X(
            "day:Q", title="day of the period", axis=alt.Axis(tickMinStep=1, grid=False), scale=alt.Scale(nice=False)
        ),
        y=alt.Y("total:Q", title="stitches so far", axis=alt.Axis(tickCount=5, format=",.0f")),
    )
    line = base.mark_line().encode(
        color=alt.Color(
            "which:N", legend=None, scale=alt.Scale(domain=["this", "before"], range=[theme.ACCENT, theme.EDGE])
        ),
        strokeDash=alt.StrokeDash(
            "which:N", legend=None, scale=alt.Scale(domain=["this", "before"], range=[[1, 0], [5, 4]])
        ),
        strokeWidth=alt.StrokeWidth("which:N", legend=None, scale=alt.Scale(domain=["this", "before"], range=[3, 2])),
        tooltip=[
            alt.Tooltip("date:T", title="day", format="%A %e %B %Y"),
            alt.Tooltip("stitches:Q", title="stitches that day", format=",.0f"),
            alt.Tooltip("total:Q", title="so far", format=",.0f"),
        ],
    )
    ends = frame.groupby("which", sort=False).tail(1).sort_values("total")
    texts = [[*textwrap.wrap(p, 16), words.number(t)] for p, t in zip(ends["period"], ends["total"], strict=True)]
    # Each end is labelled beside it; two near ones are moved apart, by half of what they lack in pixels.
    top = max(float(frame["total"].max()), 1.0) if len(frame) else 1.0
    apart = (ends["total"].max() - ends["total"].min()) / top * _HEIGHT if len(ends) > 1 else _HEIGHT
    push = max(0.0, _LINE * max(map(len, texts), default=0) + 4 - apart) / 2
    labels = []
    for row, text, dy in zip(ends.to_dict("records"), texts, (push, -push), strict=False):
        bold: Any = "bold" if row["which"] == "this" else "normal"
        mark = alt.Chart(pd.DataFrame([row])).mark_text(
            align="left", dx=8, dy=dy - _LINE * (len(text) - 1) / 2, lineHeight=_LINE, text=text, fontWeight=bold
        )
        labels.append(mark.encode(x="day:Q", y="total:Q"))
    return alt.layer(line, *labels).properties(
        width="container",
        height=_HEIGHT,
        padding={"left": 5, "right": 130, "top": 20, "bottom": 5},
        description=f"Running total. {say_running(frame)}",
    )


def shares(frame: pd.DataFrame) -> Chart:
    """What part of the period's stitches each piece had, most first, from the frame of `review.pieces`."""
    if frame.empty:
        return _nothing("Share of the stitches: there are none.")
    data = frame.assign(
        label=[
            f"{'≈' if e else ''}{words.number(s)} · {words.percent(share)}"
            for s, share, e in zip(frame["stitches"], frame["share"], frame["estimated"], strict=True)
        ],
        name=_wrapped(frame),
        drawn=frame["stitches"].clip(lower=0.0),
    ).sort_values(["stitches", "order"], ascending=[False, True])
    base = alt.Chart(data).encode(
        y=alt.Y("name:N", sort=data["name"].tolist(), title=None, axis=_names()),
        x=alt.X(
            "drawn:Q", title="stitches", axis=alt.Axis(tickCount=4, format=",.0f"), scale=_room(data["drawn"], 1.25)
        ),
        tooltip=[
            alt.Tooltip("piece:N"),
            alt.Tooltip("stitches:Q", format=",.0f"),
            alt.Tooltip("share:Q", format=".0%"),
        ],
    )
    bars = base.mark_bar(height=16)
    text = base.mark_text(align="left", dx=6).encode(text="label:N")
    most = data.head(3)
    said = words.listed(f"{p} {words.percent(s)}" for p, s in zip(most["piece"], most["share"], strict=True))
    return alt.layer(bars, text).properties(
        width="container",
        height=alt.Step(_step(data)),
        description=f"Share of the stitches, most first: {said or 'none'}.",
    )


def progress(frame: pd.DataFrame) -> Chart:
    """From where to where each piece went, as shares of its total, from the frame of `review.pieces`.

    Pieces without a known total are left out.
    """
    known = frame[frame["after_share"].notna()]
    if known.empty:
        return _nothing("Progress: no piece of this period has a known total.")
    data = known.assign(
        label=[say_share(a, b) for a, b in zip(known["before_share"], known["after_share"], strict=True)],
        name=_wrapped(known),
        low=known[["before_share", "after_share"]].min(axis=1),
        right=known[["before_share", "after_share"]].max(axis=1),
    )
    names = data["name"].tolist()
    y = alt.Y("name:N", sort=names, title=None, axis=_names())
    x = alt.X(
        "low:Q",
        title="share of the whole piece",
        scale=alt.Scale(domain=[0, 1]),
        axis=alt.Axis(format="%", tickCount=5),
    )
    tooltip = [
        alt.Tooltip("piece:N"),
        alt.Tooltip("before:Q", title="stitches before", format=",.0f"),
        alt.Tooltip("after:Q", title="stitches after", format=",.0f"),
        alt.Tooltip("label:N", title="share"),
    ]
    base = alt.Chart(data)
    whole = (
        base.mark_bar(height=14, fill="transparent", stroke=theme.EDGE, strokeWidth=1)
        .encode(y=y, x=alt.X("from:Q"), x2="to:Q")
        .transform_calculate(**{"from": "0", "to": "1"})
    )
    done = (
        base.mark_bar(height=14, color=theme.RAMP[1], stroke=theme.EDGE)
        .encode(y=y, x=alt.X("from:Q"), x2="low:Q", tooltip=tooltip)
        .transform_calculate(**{"from": "0"})
    )
    new = base.mark_bar(height=14, color=theme.ACCENT).encode(y=y, x=x, x2="right:Q", tooltip=tooltip)
    text = base.mark_text(align="left", dx=8).encode(y=y, x=alt.X("to:Q"), text="label:N").transform_calculate(to="1")
    return alt.layer(whole, done, new, text).properties(
        width="container",
        height=alt.Step(_step(data)),
        padding={"left": 5, "right": 120, "top": 5, "bottom": 5},
        description="Progress of each piece from the start of the period (pale) to its end (dark): "
        + words.listed(f"{p} {label}" for p, label in zip(data["piece"], data["label"], strict=True))
        + ".",
    )


def flow(frame: pd.DataFrame, changed: pd.DataFrame, span: Period) -> Chart:
    """Starts above the line, finishes below it, and how many pieces were on the go, month by month.

    frame: of `review.flow`; changed: of `review.changes`; span: the period.
    """
    if frame.empty:
        return _nothing("Starts and finishes by month: there are none yet.")
    data = frame.assign(
        month_name=[
            f"{words.month(m, year=False)[:3]}|{m.year}|{'shown' if m.month == 1 or i == 0 else ''}"
            for i, m in enumerate(frame["month"])
        ],
        down=-frame["finishes"],
    )
    top = max(2, int(frame["starts"].max()) if len(frame) else 0)
    bottom = max(2, int(frame["finishes"].max()) if len(frame) else 0)
    line = top + 1.4
    data = data.assign(line=line)
    # The year stands below its first month alone.
    parts = "split(datum.label, '|')"
    months = _bare(labelExpr=f"{parts}[2] ? [{parts}[0], {parts}[1]] : {parts}[0]", labelOverlap=True)
    x = alt.X("month_name:N", sort=data["month_name"].tolist(), title=None, axis=months)
    names = alt.Axis(
        values=[line, top / 2, -bottom / 2],
        labelExpr=f"datum.value > {top} ? 'on the go' : datum.value > 0 ? 'started' : 'finished'",
        ticks=False,
        domain=False,
        grid=False,
    )
    y = alt.Y("starts:Q", title=None, axis=names, scale=alt.Scale(domain=[-bottom - 0.8, top + 1.8], nice=False))
    base = alt.Chart(data)
    tooltip = [
        alt.Tooltip("month:T", format="%B %Y"),
        alt.Tooltip("starts:Q"),
        alt.Tooltip("finishes:Q"),
        alt.Tooltip("on_the_go:Q", title="on the go at the end"),
    ]
    up = base.mark_bar(width={"band": 0.5}, fill="transparent", stroke=theme.ACCENT, strokeWidth=2)
    up = up.encode(x=x, y=y, tooltip=tooltip).transform_filter("datum.starts > 0")
    down = base.mark_bar(width={"band": 0.5}, color=theme.ACCENT).encode(x=x, y="down:Q", tooltip=tooltip)
    up_text = base.transform_filter("datum.starts > 0").mark_text(dy=-9).encode(x=x, y="starts:Q", text="starts:Q")
    down_text = base.transform_filter("datum.finishes > 0").mark_text(dy=10).encode(x=x, y="down:Q", text="finishes:Q")
    zero = alt.Chart(pd.DataFrame({"y": [0]})).mark_rule(color=theme.EDGE).encode(y="y:Q")
    going = base.mark_text(fontSize=13).encode(x=x, y="line:Q", text="on_the_go:Q", tooltip=tooltip)
    return alt.layer(up, down, zero, up_text, down_text, going).properties(
        width="container", height=220, description=f"Starts and finishes by month. {say_flow(frame, changed, span)}"
    )


def _nothing(description: str) -> Chart:
    text = alt.Chart(pd.DataFrame({"said": ["nothing to show"]})).mark_text(color=theme.QUIET).encode(text="said:N")
    return alt.layer(text).properties(width="container", height=60, description=description)


def _wrapped(frame: pd.DataFrame) -> list[str]:
    """Names broken into lines; what tells two equal ones apart is their number."""
    return [
        "\n".join(textwrap.wrap(f"{o}  {p}", NAME_WIDTH)) for o, p in zip(frame["order"], frame["piece"], strict=True)
    ]


def _names() -> alt.Axis:
    return alt.Axis(
        labelExpr="split(datum.label, '\\n')", ticks=False, domain=False, grid=False, labelLimit=0, labelPadding=8
    )


def _step(data: pd.DataFrame) -> int:
    lines = max((name.count("\n") + 1 for name in data["name"]), default=1)
    return max(30, 16 * lines + 8)


def _room(values: pd.Series, factor: float) -> alt.Scale:
    most = float(values.max()) if len(values) else 0.0
    return alt.Scale(domain=[0, max(most, 1.0) * factor], nice=False)
