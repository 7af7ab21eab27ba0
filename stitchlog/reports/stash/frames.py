"""The charts that wait, each with its hours, fabric and thread; what is in the drawer, and what came and went."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd

from stitchlog.diary import names
from stitchlog.diary.diary import Diary
from stitchlog.diary.frames import each_record, each_row
from stitchlog.model.pace import begun
from stitchlog.model.thread.needs import expected, whole_skeins
from stitchlog.model.thread.shopping import free
from stitchlog.model.thread.spending import ledger, thread_on
from stitchlog.reports.stash import drawer, fitting
from stitchlog.reports.stash.coming import coming

CHARTS = ["piece", "stitches", "hours", "hours_low", "hours_high", "fabric", "skeins_to_buy", "ready"]
CHARTS += ["months", "months_low", "months_high", "months_first", "pushes_back_days", "width_cm", "height_cm", "count"]
CHARTS += ["over", "hidden", "fabric_free", "colours", "missing", "bought", "waited_days", "cost"]
MOVES = ["month", "what", "came_in", "went_out", "cost"]
IN_THE_KIT = "in the kit"
YEAR = 365.25


@dataclass(frozen=True)
class Totals:
    """What is in the drawer: charts, cuts, stitches (in the charts whose total is known), unknown (charts without one),
    hours (NaN: no pace), a_year (stitches in the 365 days up to the diary's day), years (at that rate; inf where none
    was stitched), cost (of the charts and kits that wait, as far as it is written down)."""

    charts: int
    cuts: int
    stitches: float
    unknown: int
    hours: float
    a_year: float
    years: float
    cost: float


def charts(diary: Diary, margin_in: float = 3.0) -> pd.DataFrame:
    """A row a chart that waits: ready ones first, then those that lack least, the quickest first.

    Columns: piece; stitches (NaN: unknown); hours, hours_low, hours_high (at this stitcher's fair pace; 90 % range);
    fabric (the best cut that fits, 'in the kit' for a kit, '' where none); skeins_to_buy (whole, once the WIPs have had
    theirs; NaN where its colours are not known); ready (a cut fits, and all its thread is on hand and free); months,
    months_low, months_high (from start to finish as things go: with the share of the time that a piece usually gets,
    and with little and much of it); months_first (with all the time) and pushes_back_days (how long everything else
    waits meanwhile): even odds, from the one future, inf beyond its horizon; width_cm, height_cm, count, over, hidden
    (on that cut; hidden: colours that hardly show); fabric_free; colours (in its chart; NaN: unknown); missing (what
    `pieces.csv` or `chart_colours.csv` does not say; a count only where no cut stands for it); bought (the day, NaT:
    unknown), waited_days and cost (from the row of `bought.csv` of that name; NaN: unknown).
    """
    return diary.once(("charts waiting", margin_in), lambda: _charts(diary, margin_in))


def _charts(diary: Diary, margin_in: float) -> pd.DataFrame:
    out = drawer.waiting(diary).rename(columns={"total": "stitches", "fabric": "written"})
    out = out.rename(columns={"count": "planned_count", "over": "planned_over"})
    out = out.join(_bought(diary), on="piece")
    out = out.join(_best(diary, out, margin_in), on="piece")
    # Where no fabric is planned, the best cut stands for it.
    unplanned = ~(out["planned_count"] > 0)
    out["planned_over"] = out["planned_over"].mask(unplanned, out["over"])
    out["on_count"] = out["planned_count"].mask(unplanned, out["count"])
    out = out.join(_thread(diary, out), on="piece")
    out = out.join(_times(diary, out))
    kit = out["what"] == "kit"
    out["fabric"] = out["fabric"].fillna("").mask(kit, IN_THE_KIT)
    out["skeins_to_buy"] = out["skeins_to_buy"].mask(kit, 0.0)
    out["fabric_free"] = out["fabric"] != ""
    out["ready"] = out["fabric_free"] & (out["enough"].fillna(value=False) | kit)
    out["hidden"] = out["hidden"].fillna("")
    out["missing"] = [_missing(row, in_kit) for row, in_kit in zip(each_record(out), kit, strict=True)]
    lacks = (out["fabric"] == "") * 1000.0 + out["skeins_to_buy"].fillna(500.0)
    out = out.assign(_ready=~out["ready"], _lacks=lacks).sort_values(["_ready", "_lacks", "hours"], kind="stable")
    return out[CHARTS].reset_index(drop=True)


def totals(diary: Diary) -> Totals:
    """What is in the drawer, as `Totals`."""
    rows = charts(diary)
    day = diary.as_of
    recent = diary.sessions[diary.sessions["date"] > day - pd.Timedelta(days=365)]
    a_year = float(recent["stitches"].sum())
    stitches = float(rows["stitches"].sum())
    years = stitches / a_year if a_year > 0 else np.inf if stitches else 0.0
    return Totals(
        charts=len(rows),
        cuts=len(diary.fabrics),
        stitches=stitches,
        unknown=int((~(rows["stitches"] > 0)).sum()),
        hours=float(rows["hours"].sum(min_count=1)),
        a_year=a_year,
        years=years,
        cost=float(rows["cost"].sum()),
    )


def moves(diary: Diary) -> pd.DataFrame:
    """What came into the drawer and what went out of it, a row a month and kind of thing, the latest first.

    Columns: month (its first day), what ('chart', 'kit', 'fabric', 'thread' or 'tool'), came_in (bought), went_out
    (charts and kits that were started; other things are not followed), cost (NaN: none written down). Things
    without a date are not in it.
    """
    bought = diary.bought.dropna(subset=["date", "what"])
    kits = {names.key_of(name) for name in bought.loc[bought["what"] == "kit", "name"]}
    standing = diary.standing().dropna(subset=["began"])
    out = pd.DataFrame(
        {
            "date": standing["began"],
            "what": ["kit" if names.key_of(piece) in kits else "chart" for piece in standing["piece"]],
            "went_out": 1.0,
        }
    )
    both = pd.concat([bought[["date", "what", "cost"]].assign(came_in=1.0), out], ignore_index=True)
    both["month"] = pd.to_datetime(both["date"]).dt.to_period("M").dt.start_time
    sums = both.groupby(["month", "what"]).agg(
        came_in=("came_in", "sum"), went_out=("went_out", "sum"), cost=("cost", lambda cost: cost.sum(min_count=1))
    )
    return sums.reset_index().sort_values("month", ascending=False, kind="stable")[MOVES].reset_index(drop=True)


def _bought(diary: Diary) -> pd.DataFrame:
    """By piece: what (chart or kit), bought, waited_days and cost, from the first row of its name in `bought.csv`."""
    rows = diary.bought[diary.bought["what"].isin(["chart", "kit"])]
    by_key = {names.key_of(piece): piece for piece in diary.pieces["piece"]}
    rows = rows.assign(piece=pd.array([by_key.get(names.key_of(name), "") for name in rows["name"]], dtype="str"))
    rows = rows[rows["piece"] != ""].drop_duplicates("piece").set_index("piece")
    bought = pd.to_datetime(rows["date"])
    waited = (diary.as_of - bought).dt.days.astype(float)
    return pd.DataFrame({"what": rows["what"], "bought": bought, "waited_days": waited, "cost": rows["cost"]})


def _best(diary: Diary, rows: pd.DataFrame, margin_in: float) -> pd.DataFrame:
    """By piece: the cut that `pieces.csv` names for it, else the nearest that hides no colour, else the nearest."""
    found = fitting.all_fits(diary, margin_in)
    pins = rows.set_index("piece")["pinned"]
    found = found.assign(_pin=found["fabric"] != found["piece"].map(pins.to_dict()), _hides=found["hidden"] != "")
    found = found.sort_values(["_pin", "_hides"], kind="stable").drop_duplicates("piece").set_index("piece")
    return found[["fabric", "width_cm", "height_cm", "count", "over", "hidden"]]


def _thread(diary: Diary, rows: pd.DataFrame) -> pd.DataFrame:
    """By piece: colours, skeins_to_buy, and enough (all of its thread is on hand and free)."""
    book, left = ledger(diary), free(diary)
    on_hand, bought = left["free"].to_dict(), left["free_bought"].to_dict()
    out = {}
    planned = rows[["piece", "planned_count", "on_count", "planned_over"]].itertuples(index=False, name=None)
    for piece, own, count, over in planned:
        need = expected(book, piece, None if own > 0 else thread_on(diary.settings, count, over))
        if not need.known:
            out[piece] = [np.nan if need.codes == [""] else float(len(need.codes)), np.nan, False]
            continue
        short = need.skeins - np.array([bought.get(code, 0.0) for code in need.codes])
        enough = all(
            skeins <= on_hand.get(code, 0.0) + 1e-9 for code, skeins in zip(need.codes, need.skeins, strict=True)
        )
        out[piece] = [float(len(need.codes)), float(whole_skeins(short).sum()), enough]
    columns = ["colours", "skeins_to_buy", "enough"]
    found = pd.DataFrame.from_dict(out, orient="index", columns=columns).astype({"colours": float, "enough": bool})
    return found.set_axis(found.index.astype("str"), axis=0).astype({"skeins_to_buy": float})


def _times(diary: Diary, rows: pd.DataFrame) -> pd.DataFrame:
    """Hours, months and what a start puts off, by the rows' own index; NaN where the total or a pace is not known."""
    known = rows[rows["stitches"] > 0]
    asked = [(row.piece, row.stitches, row.on_count, row.planned_over, row.colours) for row in each_row(known)]
    found = begun.if_begun_each(diary, asked).set_index(known.index).astype({"hours": float})
    out = found[["hours", "hours_low", "hours_high"]].astype(float)
    ahead = coming(diary) if len(known) else None
    pieces, stitches = known["piece"].tolist(), known["stitches"].to_numpy(float)
    alone = found["months_alone"].to_numpy(float)
    for name in ("months", "months_low", "months_high"):
        # The share of the time that a piece in progress gets, by the stitcher's own pieces.
        share = np.minimum(alone / found[name].to_numpy(float), 1.0)
        out[name] = np.nan if ahead is None else ahead.first(pieces, stitches, share) / begun.DAYS_A_MONTH
    days = np.nan if ahead is None else ahead.first(pieces, stitches)
    return out.assign(months_first=days / begun.DAYS_A_MONTH, pushes_back_days=days)


def _missing(row: dict[str, Any], in_kit: bool) -> str:
    """What `pieces.csv` and `chart_colours.csv` do not say of a chart, as a list in words."""
    lacks = []
    if not (row["width"] > 0 and row["height"] > 0) and not in_kit:
        lacks.append("width and height")
    if not row["stitches"] > 0:
        lacks.append("total")
    if not row["on_count"] > 0 and not in_kit:
        lacks.append("count")
    if not row["colours"] > 0 and not in_kit:
        lacks.append("colours")
    return ", ".join(lacks)
