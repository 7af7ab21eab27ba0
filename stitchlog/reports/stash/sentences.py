"""What the drawer's tables say, answer first."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

import pandas as pd

from stitchlog import words
from stitchlog.diary.frames import each_record, each_row
from stitchlog.model.fabric import say_fabric
from stitchlog.model.pace.begun import DAYS_A_MONTH
from stitchlog.reports.stash.frames import IN_THE_KIT, Totals
from stitchlog.reports.stash.sharing import Sharing

_MOST_NAMED = 3


def say_ready(charts: pd.DataFrame) -> str:
    """Which charts can be started now, or what the nearest one lacks."""
    if charts.empty:
        return "No charts are waiting. A row in pieces.csv without a session and without a start is one."
    ready = charts[charts["ready"]]
    if len(ready):
        return f"Ready to start, nothing to buy: {_named(ready['piece'])}."
    row = charts.iloc[0]
    nearest = f"Nothing is ready to start. {row['piece']} comes closest:"
    if row["fabric"] and row["skeins_to_buy"] == 0:
        return f"{nearest} your WIPs need some of its thread first."
    if row["fabric"] and row["skeins_to_buy"] > 0:
        return f"{nearest} it needs {words.count(row['skeins_to_buy'], 'skein')} more."
    if row["skeins_to_buy"] == 0:
        return f"{nearest} it has its thread, and no fabric that fits."
    return "Nothing is ready to start. The table says what each chart needs."


def say_totals(totals: Totals) -> str:
    """How much waits, and how many years that is at this year's rate."""
    if not totals.charts:
        return ""
    what = words.count(totals.charts, "chart is", "charts are")
    text = f"{what} waiting, with {words.count(totals.stitches, 'stitch', 'stitches')} in all."
    if totals.unknown:
        text += f" {words.count(totals.unknown, 'chart has', 'charts have')} no total yet."
    if not totals.stitches:
        return text
    if not totals.a_year > 0:
        return f"{text} You have not stitched in the past year, so there is no rate to go by."
    rate = f"You stitched {words.number(totals.a_year)} in the past year"
    return f"{text} {rate}: at that rate they would take {_years(totals.years)}, with nothing else."


def say_missing(charts: pd.DataFrame) -> str:
    """What the charts that say too little still need in the files; '' where all is there."""
    lacking = charts[charts["missing"] != ""]
    said = [f"{row.piece} needs its {_listed(row.missing)}." for row in each_row(lacking.head(_MOST_NAMED))]
    if not said:
        return ""
    more = len(lacking) - len(said)
    rest = f" {words.count(more, 'more chart lacks', 'more charts lack')} something too." if more else ""
    return f"To see more, fill in pieces.csv or chart_colours.csv. {' '.join(said)}{rest}"


def say_sharing(sharing: Sharing) -> str:
    """How many charts get a cut, which get none, and what that rests on."""
    served, cuts = len(sharing.cuts), sharing.cuts["cut"].nunique()
    if not served and not sharing.without:
        return "No chart of a known size is waiting, so there is no fabric to share out."
    if not served:
        return "None of your fabrics holds any of the charts near its planned size."
    halved = int((sharing.cuts["cut"].value_counts() == 2).sum())
    who = "The one chart" if served == 1 else f"All {words.number(served)} charts"
    if sharing.without:
        who = f"{words.number(served)} of {words.count(served + len(sharing.without), 'chart')}"
    text = f"{who} can have fabric from the drawer: {words.count(cuts, 'cut')} in all."
    if halved:
        text += f" {words.count(halved, 'cut is', 'cuts are')} divided between two charts."
    if sharing.without:
        text += f" None is left for {_named(pd.Series(sharing.without))}."
    for piece in sharing.too_small[:_MOST_NAMED]:
        text += f" The fabric you chose for {piece} is too small for it."
    return text if sharing.best else f"{text} With so many charts, a slightly better way to share may exist."


def say_sharing_rule(sharing: Sharing, margin_in: float = 3.0) -> str:
    """What the sharing of the cuts goes by; '' where nothing is shared."""
    if sharing.cuts.empty and not sharing.without:
        return ""
    return (
        "This gives fabric to as many charts as possible, then leaves as little over as possible. Each chart stays "
        f"near its planned size, with {margin_in:g} inches to spare on each side, and every colour shows. To choose a "
        "fabric yourself, write its name in pieces.csv, column fabric."
    )


def say_to_get(frame: pd.DataFrame) -> str:
    """What fabric to buy for the charts that no cut holds; '' where every chart has one."""
    said = []
    for row in each_row(frame.head(_MOST_NAMED)):
        cut = f"{words.number(row.cut_width_cm)} × {words.number(row.cut_height_cm)} cm"
        text = f"{row.piece} fits none of your fabrics: buy {cut} of {say_fabric(row.count, row.over)}."
        if row.would_fit_on:
            text += f" A piece the size of {row.would_fit_on} would do on {say_fabric(row.at_count, row.at_over)}."
        said.append(text)
    more = len(frame) - len(said)
    if more > 0:
        said.append(f"{words.count(more, 'more chart needs', 'more charts need')} fabric; see the table.")
    return " ".join(said)


def say_unmeasured(cuts: list[str]) -> str:
    """Which cuts say too little to be used; '' where all say enough."""
    if not cuts:
        return ""
    return f"Write the count and both measures in fabrics.csv to use {_named(pd.Series(cuts))}."


def say_hours(charts: pd.DataFrame) -> str:
    """Which charts can be started, and what the quickest and the longest one would take."""
    known = charts[charts["hours"] > 0].sort_values("hours")
    if charts.empty:
        return say_ready(charts)
    if known.empty:
        return f"{say_ready(charts)} How long they would take is not known: no session is timed, or no total is given."
    short, long = known.iloc[0], known.iloc[-1]
    text = f"{say_ready(charts)} The quickest is {short['piece']}, at about {_hours(short)}."
    if len(known) > 1:
        text += f" The longest is {long['piece']}, at about {_hours(long)}."
    return text


def say_times(charts: pd.DataFrame) -> str:
    """What the times rest on; '' where none is known."""
    if not (charts["hours"] > 0).any():
        return ""
    return (
        "Hours are at your own pace, and nine times in ten they lie in the range. As things go, a chart shares your "
        "time with your WIPs. If it came first, it would get all of your time and the others would wait."
    )


def say_waited(charts: pd.DataFrame) -> str:
    """Which chart has waited longest, and what those that wait cost; '' where no purchase is written down."""
    known = charts.dropna(subset=["waited_days"]).sort_values("waited_days", ascending=False)
    if known.empty:
        return ""
    first = known.iloc[0]
    text = f"{first['piece']} has waited longest: {words.span(first['waited_days'])}."
    cost = charts["cost"].sum()
    return f"{text} The charts that wait cost {words.number(cost, 2 if cost % 1 else 0)} in all." if cost else text


def say_moves(moves: pd.DataFrame) -> str:
    """What came in and what was started, over all months that are known."""
    if moves.empty:
        return ""
    charts = moves[moves["what"].isin(["chart", "kit"])]
    came, went = charts["came_in"].sum(), charts["went_out"].sum()
    if not moves["came_in"].sum():
        return f"You started {words.count(went, 'chart')}. Write what you buy in bought.csv to see what comes in."
    since = words.month(moves["month"].min())
    cost = moves["cost"].sum()
    spent = f" You spent {words.number(cost)}, fabric, thread and tools included." if cost else ""
    return (
        f"Since {since}, {words.count(came, 'chart')} came in and {words.number(went)} went out to be stitched.{spent}"
    )


def _named(pieces: pd.Series) -> str:
    names = pieces.head(_MOST_NAMED).tolist()
    more = len(pieces) - len(names)
    return words.listed([*names, f"{words.number(more)} more"] if more > 0 else names)


def _listed(lacks: str) -> str:
    return words.listed(lacks.split(", "))


def _hours(row: pd.Series) -> str:
    return words.count(max(1.0, row["hours"]), "hour")


def _years(years: float) -> str:
    if not math.isfinite(years):
        return "more than a lifetime"
    return words.span(years * 365.25) if years < 10 else f"about {words.number(years)} years"


def needs_of(row: Mapping[str, Any]) -> str:
    """What one chart still needs before it can be started, in a few words."""
    if row["ready"]:
        return "nothing to buy" if row["fabric"] != IN_THE_KIT else "all in the kit"
    out = []
    if not row["fabric"]:
        out.append("fabric" if "width" not in str(row["missing"]) else "its width and height")
    skeins = float(row["skeins_to_buy"])
    if math.isnan(skeins):
        out.append("its colours" if "colours" in str(row["missing"]) else "its count")
    elif skeins > 0:
        out.append(words.count(skeins, "skein"))
    elif row["fabric"]:
        out.append("thread that your WIPs need first")
    return words.listed(out)


def listed_charts(charts: pd.DataFrame) -> pd.DataFrame:
    """`charts` with what the page shows in words: needs, size, as_things_go, if_first, pushes_back, waited."""
    rows = list(each_record(charts))
    said = {
        "needs": [needs_of(row) for row in rows],
        "size": [_size(row) for row in rows],
        "as_things_go": [_months(row["months"]) for row in rows],
        "if_first": [_months(row["months_first"]) for row in rows],
        "pushes_back": [_days(row["pushes_back_days"]) for row in rows],
        "waited": [_days(row["waited_days"]) for row in rows],
    }
    return charts.assign(**{name: pd.array(texts, dtype="str") for name, texts in said.items()})


def waited_longest(listed: pd.DataFrame) -> pd.DataFrame:
    """The rows of `listed_charts` whose purchase is written down, the longest wait first."""
    known = listed[listed["waited_days"].notna() | listed["cost"].notna()]
    return known.sort_values("waited_days", ascending=False, kind="stable").reset_index(drop=True)


def _size(row: Mapping[str, Any]) -> str:
    if not row["width_cm"] > 0 or row["fabric"] == IN_THE_KIT:
        return ""
    return f"{words.number(row['width_cm'])} × {words.number(row['height_cm'])} cm"


def _months(months: float) -> str:
    return _days(months * DAYS_A_MONTH)


def _days(days: float) -> str:
    if not days >= 0:
        return ""
    return words.span(days) if days <= 3653 else "more than ten years"
