"""Charts of a period: its days, its running total, its pieces, its starts and finishes."""

from __future__ import annotations

import textwrap
from typing import Any

import altair as alt
import pandas as pd

from stitchlog import words
from stitchlog.diary.frames import each_record
from stitchlog.model.period import Period
from stitchlog.render import theme
from stitchlog.reports.review.days import WEEKS_WITH_MARKS, say_calendar, say_running
from stitchlog.reports.review.sentences import say_share
from stitchlog.reports.review.standing import say_flow

# So many pieces' numbers fit into a cell.
MARKS_IN_CELL = 4
NAME_WIDTH = 26
_HEIGHT = 260
_LINE = 16


def calendar(frame: pd.DataFrame) -> alt.TopLevelMixin | None:
    """A cell a day, from the frame of `review.calendar`: shaded and numbered by stitches, marked by piece.

    The marks are the pieces' numbers in the running order. Longer periods show a dot a day, the larger the more
    stitches. None where there is no day.
    """
    if frame.empty:
        return None
    data = frame.assign(
        weekday_name=[words.weekday(d, short=True) for d in frame["date"]],
        pieces=frame["pieces"].where(frame["pieces"] != "", "a rest"),
    )
    tooltip = [
        alt.Tooltip("date:T", title="day", format="%A %e %B %Y"),
        alt.Tooltip("stitches:Q", format=",.0f"),
        alt.Tooltip("pieces:N"),
    ]
    days = data.sort_values("weekday")["weekday_name"].drop_duplicates().tolist()
    draw = _cells if data["week"].nunique() <= WEEKS_WITH_MARKS else _dots
    return draw(data, days, tooltip).properties(width="container", description=f"Calendar. {say_calendar(frame)}")


def _cells(data: pd.DataFrame, days: list[str], tooltip: list[alt.Tooltip]) -> alt.LayerChart | alt.FacetChart:
    # Ink stays readable on these of the ramp in both schemes; 0 is a day without stitches.
    shades = ["transparent", *theme.RAMP[:3]]
    levels = (
        (data["stitches"] * 3 // max(data["stitches"].max(), 1e-9) + 1).clip(upper=3).where(data["stitches"] > 0, 0)
    )
    data = data.assign(
        week_name=[words.day(w, year=False) for w in data["week"]],
        said=_amounts(data).where(data["sessions"] > 0, ""),
        few=data["marks"].map(_few),
        level=levels.astype(int),
    )
    weeks = data["week_name"].drop_duplicates().tolist()
    base = alt.Chart(data).encode(
        x=alt.X("weekday_name:N", sort=days, title=None, scale=alt.Scale(paddingInner=0.05), axis=_bare(orient="top")),
        y=alt.Y("week_name:N", sort=weeks, title="week of", scale=alt.Scale(paddingInner=0.06), axis=_bare()),
    )
    box = base.mark_rect(cornerRadius=3).encode(
        fill=alt.Fill("level:N", legend=None, scale=alt.Scale(domain=[0, 1, 2, 3], range=shades)),
        stroke=alt.condition("datum.best", alt.value(theme.INK), alt.value(theme.RULE)),
        strokeWidth=alt.condition("datum.best", alt.value(2.5), alt.value(1)),
        tooltip=tooltip,
    )
    day = base.mark_text(dy=-20, fontSize=11, color=theme.QUIET).encode(text="day:Q")
    worked = base.transform_filter("datum.sessions > 0").encode(tooltip=tooltip)
    stitches = worked.mark_text(dy=-1, fontSize=14, fontWeight="bold").encode(text="said:N")
    marks = worked.mark_text(dy=18, fontSize=11).encode(text="few:N")
    return alt.layer(box, day, stitches, marks).properties(height=alt.Step(64))


def _dots(data: pd.DataFrame, days: list[str], tooltip: list[alt.Tooltip]) -> alt.LayerChart | alt.FacetChart:
    base = alt.Chart(data).encode(
        x=alt.X("week:T", title=None, axis=alt.Axis(format="%b %Y", grid=False, tickCount="month", labelOverlap=True)),
        y=alt.Y("weekday_name:N", sort=days, title=None, axis=_bare()),
        tooltip=tooltip,
    )
    rest = base.transform_filter("datum.sessions == 0").mark_point(
        size=5, filled=True, color=theme.EDGE, shape="square"
    )
    worked = base.transform_filter("datum.sessions > 0").mark_circle(stroke=theme.INK)
    worked = worked.encode(
        size=alt.Size(
            "stitches:Q",
            scale=alt.Scale(range=[8, 150], zero=True),
            legend=alt.Legend(title="stitches", orient="bottom", tickCount=3),
        ),
        color=alt.condition("datum.best", alt.value(theme.HUES[1]), alt.value(theme.ACCENT)),
        strokeWidth=alt.condition("datum.best", alt.value(3), alt.value(0.4)),
    )
    return alt.layer(rest, worked).properties(height=alt.Step(26))


def _few(marks: str) -> str:
    numbers = marks.split()
    more = len(numbers) - MARKS_IN_CELL
    return " ".join(numbers) if more <= 0 else f"{' '.join(numbers[: MARKS_IN_CELL - 1])} +{more + 1}"


def running(frame: pd.DataFrame) -> alt.TopLevelMixin | None:
    """The running total of the period against the one before it, from the frame of `review.running`.

    None where neither has a stitch.
    """
    if not frame["stitches"].any():
        return None

    def by_period(this: Any, before: Any) -> dict[str, Any]:
        return {"legend": None, "scale": alt.Scale(domain=["this", "before"], range=[this, before])}

    base = alt.Chart(frame).encode(
        x=alt.X(
            "day:Q", title="day of the period", axis=alt.Axis(tickMinStep=1, grid=False), scale=alt.Scale(nice=False)
        ),
        y=alt.Y("total:Q", title="stitches so far", axis=alt.Axis(tickCount=5, format=",.0f")),
    )
    line = base.mark_line().encode(
        color=alt.Color("which:N", **by_period(theme.ACCENT, theme.EDGE)),
        strokeDash=alt.StrokeDash("which:N", **by_period([1, 0], [5, 4])),
        strokeWidth=alt.StrokeWidth("which:N", **by_period(3, 2)),
        tooltip=[
            alt.Tooltip("date:T", title="day", format="%A %e %B %Y"),
            alt.Tooltip("stitches:Q", title="stitches that day", format=",.0f"),
            alt.Tooltip("total:Q", title="so far", format=",.0f"),
        ],
    )
    return alt.layer(line, *_ends(frame)).properties(
        width="container",
        height=_HEIGHT,
        padding={"left": 5, "right": 130, "top": 20, "bottom": 5},
        description=f"Running total. {say_running(frame)}",
    )


def _ends(frame: pd.DataFrame) -> list[alt.Chart]:
    """The name and total of each line, beside its end; two near ones are moved apart by what they lack in pixels."""
    ends = frame.groupby("which", sort=False).tail(1).sort_values("total")
    texts = [[*textwrap.wrap(p, 16), words.number(t)] for p, t in zip(ends["period"], ends["total"], strict=True)]
    apart = (ends["total"].max() - ends["total"].min()) / max(frame["total"].max(), 1.0) * _HEIGHT
    push = max(0.0, _LINE * max(map(len, texts)) + 4 - apart) / 2 if len(ends) > 1 else 0.0
    labels = []
    for row, text, dy in zip(each_record(ends), texts, (push, -push), strict=False):
        bold: Any = "bold" if row["which"] == "this" else "normal"
        mark = alt.Chart(pd.DataFrame([row])).mark_text(
            align="left", dx=8, dy=dy - _LINE * (len(text) - 1) / 2, lineHeight=_LINE, text=text, fontWeight=bold
        )
        labels.append(mark.encode(x="day:Q", y="total:Q"))
    return labels


def shares(frame: pd.DataFrame) -> alt.TopLevelMixin | None:
    """What part of the period's stitches each piece had, most first, from the frame of `review.pieces`.

    None where there is no piece.
    """
    if frame.empty:
        return None
    data = frame.assign(
        label=_amounts(frame) + " · " + frame["share"].map(words.percent),
        name=_wrapped(frame),
        drawn=frame["stitches"].clip(lower=0.0),
    ).sort_values(["stitches", "order"], ascending=[False, True])
    room = alt.Scale(domain=[0, max(data["drawn"].max(), 1.0) * 1.25], nice=False)
    base = alt.Chart(data).encode(
        y=_names(data),
        x=alt.X("drawn:Q", title="stitches", axis=alt.Axis(tickCount=4, format=",.0f"), scale=room),
        tooltip=[
            alt.Tooltip("piece:N"),
            alt.Tooltip("stitches:Q", format=",.0f"),
            alt.Tooltip("share:Q", format=".0%"),
        ],
    )
    text = base.mark_text(align="left", dx=6).encode(text="label:N")
    most = data.head(3)
    said = words.listed(f"{p} {words.percent(s)}" for p, s in zip(most["piece"], most["share"], strict=True))
    return alt.layer(base.mark_bar(height=16), text).properties(
        width="container", height=alt.Step(_step(data)), description=f"Share of the stitches, most first: {said}."
    )


def progress(frame: pd.DataFrame) -> alt.TopLevelMixin | None:
    """From where to where each piece went, as shares of its total, from the frame of `review.pieces`.

    Pieces without a known total are left out; None where that is all of them.
    """
    known = frame[frame["after_share"].notna()]
    if known.empty:
        return None
    data = known.assign(
        label=[say_share(a, b) for a, b in zip(known["before_share"], known["after_share"], strict=True)],
        name=_wrapped(known),
        begin=0.0,
        end=1.0,
        low=known[["before_share", "after_share"]].min(axis=1),
        high=known[["before_share", "after_share"]].max(axis=1),
    )
    tooltip = [
        alt.Tooltip("piece:N"),
        alt.Tooltip("before:Q", title="stitches before", format=",.0f"),
        alt.Tooltip("after:Q", title="stitches after", format=",.0f"),
        alt.Tooltip("label:N", title="share"),
    ]
    x = alt.X(
        "low:Q",
        title="share of the whole piece",
        scale=alt.Scale(domain=[0, 1]),
        axis=alt.Axis(format="%", tickCount=5),
    )
    base = alt.Chart(data).encode(y=_names(data))
    whole = base.mark_bar(height=14, fill="transparent", stroke=theme.EDGE, strokeWidth=1).encode(
        x="begin:Q", x2="end:Q"
    )
    done = base.mark_bar(height=14, color=theme.RAMP[1], stroke=theme.EDGE).encode(
        x="begin:Q", x2="low:Q", tooltip=tooltip
    )
    new = base.mark_bar(height=14, color=theme.ACCENT).encode(x=x, x2="high:Q", tooltip=tooltip)
    text = base.mark_text(align="left", dx=8).encode(x="end:Q", text="label:N")
    told = words.listed(f"{p} {label}" for p, label in zip(data["piece"], data["label"], strict=True))
    return alt.layer(whole, done, new, text).properties(
        width="container",
        height=alt.Step(_step(data)),
        padding={"left": 5, "right": 120, "top": 5, "bottom": 5},
        description=f"Progress of each piece from the start of the period (pale) to its end (dark): {told}.",
    )


def flow(frame: pd.DataFrame, changed: pd.DataFrame, span: Period) -> alt.TopLevelMixin | None:
    """Starts above the line, finishes below it, and how many pieces were on the go, month by month.

    frame: of `review.flow`; changed: of `review.changes`; span: the period. None where there is no month.
    """
    if frame.empty:
        return None
    top, bottom = (max(2, int(frame[name].max())) for name in ("starts", "finishes"))
    line = top + 1.4
    data = frame.assign(
        month_name=[
            f"{words.month(m, year=False)[:3]}|{m.year}|{'shown' if m.month == 1 or i == 0 else ''}"
            for i, m in enumerate(frame["month"])
        ],
        down=-frame["finishes"],
        line=line,
    )
    # The year stands below its first month alone.
    parts = "split(datum.label, '|')"
    months = _bare(labelExpr=f"{parts}[2] ? [{parts}[0], {parts}[1]] : {parts}[0]", labelOverlap=True)
    names = alt.Axis(
        values=[line, top / 2, -bottom / 2],
        labelExpr=f"datum.value > {top} ? 'WIPs' : datum.value > 0 ? 'started' : 'finished'",
        ticks=False,
        domain=False,
        grid=False,
    )
    y = alt.Y("starts:Q", title=None, axis=names, scale=alt.Scale(domain=[-bottom - 0.8, top + 1.8], nice=False))
    tooltip = [
        alt.Tooltip("month:T", format="%B %Y"),
        alt.Tooltip("starts:Q"),
        alt.Tooltip("finishes:Q"),
        alt.Tooltip("on_the_go:Q", title="on the go at the end"),
    ]
    base = alt.Chart(data).encode(
        x=alt.X("month_name:N", sort=data["month_name"].tolist(), title=None, axis=months), tooltip=tooltip
    )
    started, finished = base.transform_filter("datum.starts > 0"), base.transform_filter("datum.finishes > 0")
    up = started.mark_bar(width={"band": 0.5}, fill="transparent", stroke=theme.ACCENT, strokeWidth=2).encode(y=y)
    down = base.mark_bar(width={"band": 0.5}, color=theme.ACCENT).encode(y="down:Q")
    zero = alt.Chart(pd.DataFrame({"y": [0]})).mark_rule(color=theme.EDGE).encode(y="y:Q")
    up_text = started.mark_text(dy=-9).encode(y="starts:Q", text="starts:Q")
    down_text = finished.mark_text(dy=10).encode(y="down:Q", text="finishes:Q")
    going = base.mark_text(fontSize=13).encode(y="line:Q", text="on_the_go:Q")
    return alt.layer(up, down, zero, up_text, down_text, going).properties(
        width="container", height=220, description=f"Starts and finishes by month. {say_flow(frame, changed, span)}"
    )


def months(frame: pd.DataFrame) -> alt.TopLevelMixin | None:
    """The stitches of each month side by side, with its finishes above it, from the frame of `review.months`.

    None where there are fewer than two.
    """
    if len(frame) < 2:
        return None
    data = frame.assign(
        name=[words.month(m, year=False)[:3] for m in frame["month"]],
        done=[words.count(n, "finish", "finishes") if n else "" for n in frame["finishes"]],
    )
    tooltip = [
        alt.Tooltip("month:T", format="%B %Y"),
        alt.Tooltip("stitches:Q", format=",.0f"),
        alt.Tooltip("days:Q"),
        alt.Tooltip("starts:Q"),
        alt.Tooltip("finishes:Q"),
    ]
    base = alt.Chart(data).encode(
        x=alt.X("name:N", sort=None, title=None, axis=_bare()),
        y=alt.Y("stitches:Q", title="stitches", axis=alt.Axis(tickCount=4, format=",.0f")),
        tooltip=tooltip,
    )
    text = base.mark_text(dy=-8).encode(text="done:N")
    told = words.listed(f"{n} {words.number(s)}" for n, s in zip(data["name"], data["stitches"], strict=True))
    return alt.layer(base.mark_bar(color=theme.ACCENT), text).properties(
        width="container", height=220, description=f"Stitches month by month: {told}."
    )


def _bare(**options: Any) -> alt.Axis:
    return alt.Axis(labelAngle=0, ticks=False, domain=False, grid=False, labelPadding=8, **options)


def _amounts(frame: pd.DataFrame) -> pd.Series:
    """Stitches in figures, with a sign where some of them are estimated."""
    return frame["estimated"].astype(bool).map({True: "≈", False: ""}) + frame["stitches"].map(words.number)


def _wrapped(frame: pd.DataFrame) -> list[str]:
    """Names broken into lines; what tells two equal ones apart is their number."""
    return [
        "\n".join(textwrap.wrap(f"{o}  {p}", NAME_WIDTH)) for o, p in zip(frame["order"], frame["piece"], strict=True)
    ]


def _names(data: pd.DataFrame) -> alt.Y:
    axis = alt.Axis(
        labelExpr="split(datum.label, '\\n')", ticks=False, domain=False, grid=False, labelLimit=0, labelPadding=8
    )
    return alt.Y("name:N", sort=data["name"].tolist(), title=None, axis=axis)


def _step(data: pd.DataFrame) -> int:
    """Pixels a row, so that the longest name has room."""
    return max(30, 16 * int(data["name"].str.count("\n").max() + 1) + 8)
