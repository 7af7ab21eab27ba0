"""Charts of a rotation: shares, waits, works in progress over time, and what to pick up next."""

from __future__ import annotations

import altair as alt
import numpy as np
import pandas as pd

from stitchlog import words
from stitchlog.diary.frames import each_row
from stitchlog.render import theme
from stitchlog.render.rows import ROW, labels, rows, spelled
from stitchlog.reports.rotation.flow import InProgress
from stitchlog.reports.rotation.flow import strip as shortened
from stitchlog.reports.rotation.picking import PARTS, NextUp, say_next_up
from stitchlog.reports.rotation.shares import MEASURES, UNUSUAL, Balance, largest, say_balance, say_waiting, waiting

_UP = 18
# What happens to a piece on a day, by its shape.
_SHAPES = {"began": "triangle-right", "finished": "diamond", "put aside": "square", "picked up": "triangle-up"}


def shares(found: Balance) -> alt.TopLevelMixin | None:
    """A bar a piece and a mark where its wanted share lies, from `rotation.balance`. None of no piece."""
    frame = largest(found)
    if frame.empty:
        return None
    data = frame.assign(
        name=frame["piece"], said=[_said_share(*s) for s in zip(frame["share"], frame["want"], strict=True)]
    )
    tooltip = [
        alt.Tooltip("piece:N"),
        alt.Tooltip("share:Q", format=".1%"),
        alt.Tooltip("want:Q", title="wanted", format=".0%"),
        alt.Tooltip("stitches:Q", format=",.0f"),
        alt.Tooltip("sessions:Q"),
    ]
    title = f"share of {MEASURES[found.by]} (line: wanted)"
    x = _amount("share", title, max(frame[["share", "want"]].max().max(), 0.05), format="%")
    base = alt.Chart(data).encode(y=rows(data))
    bar = base.mark_bar(height=13, color=theme.ACCENT).encode(x=x, tooltip=tooltip)
    want = _tick(base, "want").encode(tooltip=tooltip)
    return alt.layer(bar, want, *labels(base, _UP)).properties(
        width="container",
        height=alt.Step(ROW),
        description=f"Shares of the period, with a mark at each wanted share. {say_balance(found)} {spelled(data)}",
    )


def waits(found: Balance, most: int = 7) -> alt.TopLevelMixin | None:
    """How long each piece has waited (bar) and usually waits (mark), from `rotation.balance`.

    The first `most` of them. None where none waits.
    """
    frame = waiting(found)
    if frame.empty:
        return None
    first = frame.head(most)
    data = first.assign(
        name=first["piece"], said=[_said_wait(*w) for w in zip(first["days_since"], first["usual_gap"], strict=True)]
    )
    tooltip = [
        alt.Tooltip("piece:N"),
        alt.Tooltip("days_since:Q", title="days since", format=",.0f"),
        alt.Tooltip("usual_gap:Q", title="usually", format=",.0f"),
    ]
    title = "days since last touched (line: usual gap, dark: unusual)"
    x = _amount(
        "days_since", title, max(first[["days_since", "usual_gap"]].max().max(), 7.0), tickMinStep=1, format=",.0f"
    )
    base = alt.Chart(data).encode(y=rows(data))
    dark = alt.condition(f"datum.gap_rank > {UNUSUAL}", alt.value(theme.ACCENT), alt.value(theme.RAMP[1]))
    bar = base.mark_bar(height=13, stroke=theme.EDGE).encode(x=x, color=dark, tooltip=tooltip)
    usual = _tick(base, "usual_gap").encode(tooltip=tooltip)
    return alt.layer(bar, usual, *labels(base, _UP)).properties(
        width="container",
        height=alt.Step(ROW),
        description=f"Days since each piece was touched, with a mark at its usual gap. {say_waiting(found)}",
    )


def strip(found: InProgress) -> alt.TopLevelMixin | None:
    """A strip a piece, from `rotation.in_progress`: thin in progress, thick in weeks worked, dashed while set aside.

    None where nothing was in progress.
    """
    frame = shortened(found.stretches)
    if frame.empty:
        return None
    data = frame.assign(name=frame["piece"], until=frame["until"] + pd.Timedelta(hours=23))
    data = data.sort_values("order", kind="stable")
    x = alt.X("since:T", title=None, axis=alt.Axis(format="%b %Y", tickCount=6, labelOverlap=True, grid=False))
    tooltip = [
        alt.Tooltip("piece:N"),
        alt.Tooltip("what:N", title="was"),
        alt.Tooltip("since:T", title="from", format="%e %B %Y"),
        alt.Tooltip("until:T", title="to", format="%e %B %Y"),
    ]
    base = alt.Chart(data).encode(x=x, y=rows(data), tooltip=tooltip)

    def of(what: str) -> alt.Chart:
        return base.transform_filter(alt.datum.what == what).encode(x2="until:T")

    going = of("on the go").mark_rule(color=theme.EDGE, strokeWidth=1.5)
    aside = of("set aside").mark_rule(color=theme.EDGE, strokeWidth=1.5, strokeDash=[2, 4])
    worked = of("worked").mark_bar(height=11, color=theme.ACCENT)
    shape = alt.Shape(
        "what:N",
        title=None,
        scale=alt.Scale(domain=list(_SHAPES), range=list(_SHAPES.values())),
        legend=alt.Legend(orient="top", columns=4, columnPadding=14),
    )
    points = base.transform_filter("datum.mark != ''").mark_point(
        size=130, filled=True, color=theme.INK, stroke=theme.PAPER, strokeWidth=1.5, opacity=1
    )
    names, _ = labels(alt.Chart(data.drop_duplicates("name")).encode(y=rows(data)), 13)
    return alt.layer(going, aside, worked, points.encode(shape=shape), names).properties(
        width="container",
        height=alt.Step(36),
        description=f"When each piece was in progress, worked and set aside: {'; '.join(_strip_words(data))}.",
    )


def next_up(found: NextUp, most: int = 7) -> alt.TopLevelMixin | None:
    """The first `most` pieces of `rotation.next_up`, the parts of their points end to end, each with its name on it.

    None where there is no piece to choose.
    """
    frame = found.pieces
    if frame.empty:
        return None
    first = frame.head(most)
    first = first.assign(
        name=first["piece"],
        title=[f"{rank}  {piece}" for rank, piece in zip(first["rank"], first["piece"], strict=True)],
        said=[words.number(p, 1) for p in first["points"]],
    )
    parts = _parts(first)
    x = _amount("begin", "points", max(first["points"].max(), 0.1))
    tooltip = [alt.Tooltip("piece:N"), alt.Tooltip("label:N", title="for"), alt.Tooltip("value:Q", format=".2f")]
    base = alt.Chart(parts).encode(y=rows(first))
    bars = base.mark_bar(height=18, color=theme.RAMP[1], stroke=theme.EDGE).encode(x=x, x2="end:Q", tooltip=tooltip)
    inside = base.transform_filter("datum.fits && !datum.short").mark_text(fontSize=12)
    after = base.transform_filter("datum.short && datum.last").mark_text(fontSize=12, align="left", dx=7)
    texts = [inside.encode(x="middle:Q", text="label:N"), after.encode(x="end:Q", text="all:N")]
    return alt.layer(bars, *texts, *labels(alt.Chart(first).encode(y=rows(first)), 17, "title")).properties(
        width="container",
        height=alt.Step(50),
        description=f"Points for what to pick up next, by reason. {say_next_up(found)} "
        + spelled(first.assign(name=first["title"])),
    )


def _parts(first: pd.DataFrame) -> pd.DataFrame:
    """A row a part of each rank that counts: where its bar begins and ends, and where its name stands."""
    long = first.melt(["rank", "piece", "name", "points"], list(PARTS), "part", "value").astype({"value": float})
    long = long[long["value"] > 0.005].sort_values("rank", kind="stable").assign(label=lambda d: d["part"].map(PARTS))
    by = long.groupby("rank")
    long["end"] = by["value"].cumsum()
    long["begin"] = long["end"] - long["value"]
    long["middle"] = (long["begin"] + long["end"]) / 2
    highest = first["points"].max()
    # A name fits on its part where that is this share of the width of a narrow screen.
    long["fits"] = long["value"] / max(highest, 0.1) > 0.021 * long["label"].str.len()
    # On a short bar the names stand behind it, after its last part.
    long["short"] = long["points"] < 0.45 * highest
    long["last"] = long["part"] == by["part"].transform("last")
    long["all"] = by["label"].transform(", ".join)
    return long.drop(columns="points")


def _amount(field: str, title: str, most: float, **axis: object) -> alt.X:
    """From 0 to a little beyond `most`."""
    scale = alt.Scale(domain=[0, float(most) * 1.04], nice=False)
    return alt.X(f"{field}:Q", title=title, scale=scale, axis=alt.Axis(tickCount=5, **axis))  # type: ignore[arg-type]


def _tick(base: alt.Chart, field: str) -> alt.Chart:
    """A mark across the bar, where there is a value."""
    valid = base.transform_filter(f"isValid(datum.{field})")
    mark: alt.Chart = valid.mark_tick(thickness=3, size=19, color=theme.INK).encode(x=f"{field}:Q")
    return mark


def _said_share(share: float, want: float) -> str:
    text = words.percent(share)
    return f"{text}, wanted {words.percent(want)}" if np.isfinite(want) else text


def _said_wait(since: float, usual: float) -> str:
    text = words.ago(int(since))
    return f"{text}, usually {words.span(usual)}" if np.isfinite(usual) else text


def _strip_words(data: pd.DataFrame) -> list[str]:
    out = []
    for name, own in data.groupby("name", sort=False):
        marks = own[own["mark"] != ""].sort_values("since", kind="stable")
        days = [f"{r.what} {words.day(r.since)}" for r in each_row(marks)]
        weeks = words.count((own["what"] == "worked").sum(), "week")
        out.append(f"{name} {words.listed([*days, f'worked in {weeks}'])}")
    return out
