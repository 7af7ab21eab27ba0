"""Charts of a rotation: shares, waits, pieces on the go over time, and what to pick up next."""

from __future__ import annotations

import altair as alt
import numpy as np
import pandas as pd

from stitchlog import theme, words
from stitchlog.rotation import say_balance, say_next_up, say_untouched

ROW, NAME_UP = 46, -18
STRIP = 36
# What the parts of a rank are called on a bar.
PARTS = {
    "suits": "suits",
    "due": "due",
    "habit": "habit",
    "below_want": "below want",
    "nearly": "nearly done",
    "untouched": "waiting",
}


def shares(frame: pd.DataFrame) -> alt.TopLevelMixin:
    """A bar a piece and a mark where its wanted share lies, from the frame of `rotation.glance`."""
    data = frame.assign(
        name=frame["piece"], said=[_said_share(*s) for s in zip(frame["share"], frame["want"], strict=True)]
    )
    most = float(np.nanmax([data["share"].max(), data["want"].max(), 0.05])) if len(data) else 1.0
    x = alt.X(
        "share:Q",
        title=f"share of {frame.attrs['of']} (line: wanted)",
        scale=alt.Scale(domain=[0, most * 1.04], nice=False),
        axis=alt.Axis(format="%", tickCount=5),
    )
    tooltip = [
        alt.Tooltip("piece:N"),
        alt.Tooltip("share:Q", format=".1%"),
        alt.Tooltip("want:Q", title="wanted", format=".0%"),
        alt.Tooltip("stitches:Q", format=",.0f"),
        alt.Tooltip("sessions:Q"),
    ]
    base = alt.Chart(data).encode(y=_rows(data["name"]))
    bar = base.mark_bar(height=13, color=theme.ACCENT).encode(x=x, tooltip=tooltip)
    want = (
        base.transform_filter("isValid(datum.want)")
        .mark_tick(thickness=3, size=19, color=theme.INK)
        .encode(x=alt.X("want:Q"), tooltip=tooltip)
    )
    return alt.layer(bar, want, *_labels(base)).properties(
        width="container",
        height=alt.Step(ROW),
        description=f"Shares of the period, with a mark at each wanted share. {say_balance(frame)} "
        + "; ".join(f"{name}: {said}" for name, said in zip(data["name"], data["said"], strict=True))
        + ".",
    )


def waits(frame: pd.DataFrame) -> alt.TopLevelMixin:
    """How long each piece on the go has waited (bar) and usually waits (mark), from the frame of `rotation.waiting`."""
    data = frame.assign(
        name=frame["piece"], said=[_said_wait(*w) for w in zip(frame["days_since"], frame["usual_gap"], strict=True)]
    )
    most = max(float(data["days_since"].max()) if len(data) else 1.0, 7.0)
    x = alt.X(
        "days_since:Q",
        title="days since last touched (line: usual gap, dark: unusual)",
        scale=alt.Scale(domain=[0, most * 1.04], nice=False),
        axis=alt.Axis(tickCount=5, tickMinStep=1, format=",.0f"),
    )
    tooltip = [
        alt.Tooltip("piece:N"),
        alt.Tooltip("days_since:Q", title="days since", format=",.0f"),
        alt.Tooltip("usual_gap:Q", title="usually", format=",.0f"),
    ]
    base = alt.Chart(data).encode(y=_rows(data["name"]))
    bar = base.mark_bar(height=13, stroke=theme.EDGE).encode(
        x=x,
        color=alt.condition("datum.gap_rank > 0.9", alt.value(theme.ACCENT), alt.value(theme.RAMP[1])),
        tooltip=tooltip,
    )
    usual = (
        base.transform_filter("isValid(datum.usual_gap)")
        .mark_tick(thickness=3, size=19, color=theme.INK)
        .encode(x=alt.X("usual_gap:Q"), tooltip=tooltip)
    )
    return alt.layer(bar, usual, *_labels(base)).properties(
        width="container",
        height=alt.Step(ROW),
        description=f"Days since each piece was touched, with a mark at its usual gap. {say_untouched(frame)}",
    )


def strip(frame: pd.DataFrame) -> alt.TopLevelMixin:
    """A strip a piece, from the frame of `rotation.strip`: thin on the go, thick in weeks worked, dashed aside."""
    data = frame.assign(name=frame["piece"], until=frame["until"] + pd.Timedelta(hours=23))
    names = data.sort_values("order", kind="stable")["name"].drop_duplicates()
    x = alt.X("since:T", title=None, axis=alt.Axis(format="%b %Y", tickCount=6, labelOverlap=True, grid=False))
    tooltip = [
        alt.Tooltip("piece:N"),
        alt.Tooltip("what:N", title="was"),
        alt.Tooltip("since:T", title="from", format="%e %B %Y"),
        alt.Tooltip("until:T", title="to", format="%e %B %Y"),
    ]
    base = alt.Chart(data).encode(y=_rows(names), tooltip=tooltip)

    def of(what: str) -> alt.Chart:
        return base.transform_filter(alt.datum.what == what)

    going = of("on the go").mark_rule(color=theme.EDGE, strokeWidth=1.5).encode(x=x, x2="until:T")
    aside = of("set aside").mark_rule(color=theme.EDGE, strokeWidth=1.5, strokeDash=[2, 4]).encode(x=x, x2="until:T")
    worked = of("worked").mark_bar(height=11, color=theme.ACCENT).encode(x=x, x2="until:T")
    kinds = {"began": "triangle-right", "finished": "diamond", "put aside": "square", "picked up": "triangle-up"}
    shape = alt.Shape(
        "what:N",
        title=None,
        scale=alt.Scale(domain=list(kinds), range=list(kinds.values())),
        legend=alt.Legend(orient="top", columns=4, columnPadding=14),
    )
    points = base.transform_filter("datum.mark != ''").mark_point(
        size=130, filled=True, color=theme.INK, stroke=theme.PAPER, strokeWidth=1.5, opacity=1
    )
    points = points.encode(x=x, shape=shape)
    label = (
        alt.Chart(data.drop_duplicates("name"))
        .encode(y=_rows(names))
        .mark_text(align="left", dy=-13, limit=330)
        .encode(x=alt.value(0), text="name:N")
    )
    return alt.layer(going, aside, worked, points, label).properties(
        width="container",
        height=alt.Step(STRIP),
        description="When each piece was on the go, worked and set aside: "
        + ("; ".join(_strip_words(data, names)) or "none was")
        + ".",
    )


def next_up(frame: pd.DataFrame, most: int = 7) -> alt.TopLevelMixin:
    """The first pieces of `rotation.next_up`, the parts of their points end to end, each with its name on it."""
    first = frame.head(most)
    long = first.melt(["rank", "piece", "points"], list(PARTS), "part", "value").astype({"value": float})
    long = long[long["value"] > 0.005].assign(label=lambda d: d["part"].map(PARTS), name=lambda d: d["piece"])
    long["place"] = long["part"].map({part: i for i, part in enumerate(PARTS)})
    long = long.sort_values(["rank", "place"])
    long["end"] = long.groupby("rank")["value"].cumsum()
    long["begin"] = long["end"] - long["value"]
    highest = float(first["points"].max()) if len(first) else 1.0
    long["middle"] = (long["begin"] + long["end"]) / 2
    # A name fits on its part where that is this share of the width of a narrow screen.
    long["fits"] = long["value"] / max(highest, 0.1) > 0.021 * long["label"].str.len()
    # On a short bar the names stand behind it.
    long["short"] = long["points"] < 0.45 * highest
    long["all"] = long.groupby("rank")["label"].transform(", ".join)
    long["end"] = long["end"].where(long["part"] != long.groupby("rank")["part"].transform("last"), long["points"])
    x = alt.X(
        "begin:Q",
        title="points",
        scale=alt.Scale(domain=[0, max(highest, 0.1) * 1.02], nice=False),
        axis=alt.Axis(tickCount=5),
    )
    tooltip = [alt.Tooltip("piece:N"), alt.Tooltip("label:N", title="for"), alt.Tooltip("value:Q", format=".2f")]
    base = alt.Chart(long).encode(y=_rows(first["piece"]))
    bars = base.mark_bar(height=18, color=theme.RAMP[1], stroke=theme.EDGE).encode(x=x, x2="end:Q", tooltip=tooltip)
    inside = base.transform_filter("datum.fits && !datum.short").mark_text(fontSize=12)
    inside = inside.encode(x="middle:Q", text="label:N")
    after = base.transform_filter("datum.short && datum.end == datum.points").mark_text(fontSize=12, align="left", dx=7)
    after = after.encode(x="end:Q", text="all:N")
    totals = first.assign(
        name=first["piece"],
        title=[f"{r.rank}  {r.piece}" for r in first.itertuples()],
        said=[words.number(p, 1) for p in first["points"]],
    )
    named = alt.Chart(totals).encode(y=_rows(first["piece"]))
    title = named.mark_text(align="left", dy=-17, limit=320).encode(x=alt.value(0), text="title:N")
    said = named.mark_text(align="right", dy=-17, color=theme.QUIET).encode(x=alt.value("width"), text="said:N")
    return alt.layer(bars, inside, after, title, said).properties(
        width="container",
        height=alt.Step(50),
        description=f"Points for what to pick up next, by reason. {say_next_up(frame)} "
        + "; ".join(f"{r.rank} {r.piece} {r.said}" for r in totals.itertuples())
        + ".",
    )


def _rows(names: pd.Series) -> alt.Y:
    return alt.Y("name:N", sort=names.tolist(), title=None, axis=None, scale=alt.Scale(paddingOuter=0.3))


def _labels(base: alt.Chart) -> list[alt.Chart]:
    name = base.mark_text(align="left", dy=NAME_UP, limit=300).encode(x=alt.value(0), text="name:N")
    said = base.mark_text(align="right", dy=NAME_UP, color=theme.QUIET).encode(x=alt.value("width"), text="said:N")
    return [name, said]


def _said_share(share: float, want: float) -> str:
    text = words.percent(share)
    return f"{text}, wanted {words.percent(want)}" if np.isfinite(want) else text


def _said_wait(since: float, usual: float) -> str:
    text = words.ago(int(since)) if np.isfinite(since) else "never yet"
    return f"{text}, usually {words.span(usual)}" if np.isfinite(usual) else text


def _strip_words(data: pd.DataFrame, names: pd.Series) -> list[str]:
    out = []
    for name in names:
        own = data[data["name"] == name]
        marks = own.loc[own["mark"] != ""].sort_values("since")
        days = [f"{r.what} {words.day(r.since)}" for r in marks.itertuples()]
        weeks = words.count(int((own["what"] == "worked").sum()), "week")
        out.append(f"{name} {words.listed([*days, f'worked in {weeks}'])}")
    return out
