"""Which cut of fabric can hold which chart, how large it comes out there, and what to buy where none can."""

from __future__ import annotations

import math

import numpy as np
import pandas as pd

from stitchlog.diary.diary import Diary
from stitchlog.diary.frames import each_row
from stitchlog.errors import StitchlogError
from stitchlog.model.fabric import OVER_ONE, OVER_TWO, size
from stitchlog.model.thread_use import CM_PER_INCH
from stitchlog.reports.stash import drawer

COLUMNS = ["fabric", "count", "over", "width_cm", "height_cm", "turned", "spare_cm", "hidden"]
TO_GET = ["piece", "count", "over", "cut_width_cm", "cut_height_cm", "would_fit_on", "at_count", "at_over"]
# Where no fabric is planned, from this count up a stitch usually goes over two threads: common practice, no source.
USUALLY_OVER_TWO = 25.0
# A cut is measured to the millimetre at best.
_EPS = 0.05


def fits(diary: Diary, piece: str, margin_in: float = 3.0) -> pd.DataFrame:
    """Every cut that can hold the chart of `piece`, the one that comes nearest to its planned size first.

    Columns: fabric (the cut's name), count, over (1 or 2 threads; Aida over 1 only), width_cm and height_cm (of the
    stitched part), turned (it fits only with the cut turned by a right angle), spare_cm (left over on the tighter side
    beyond the design and `margin_in` inches on each side), hidden (codes of its colours that hardly show there, with
    `; ` between: CIEDE2000 below 5; '' where none).
    Nearest is by stitches to the inch; then come the planned fabric, fewer hidden colours, and less left over. Where
    the piece has no planned count, what is usual for the fabric goes first. Empty where the chart's width or height is
    not known. A margin of 3 inches is common practice, no source.
    """
    name = diary.piece(piece)
    rows = diary.pieces[diary.pieces["piece"] == name][["piece", "width", "height", "count", "over"]]
    return _ordered(diary, possible(rows, drawer.cuts(diary), margin_in))[COLUMNS]


def fits_asked(diary: Diary, piece: str | None, margin_in: float = 3.0) -> pd.DataFrame:
    """`fits` of the chart that is asked about; empty where none is."""
    return fits(diary, piece, margin_in) if piece else pd.DataFrame(columns=COLUMNS)


def all_fits(diary: Diary, margin_in: float = 3.0) -> pd.DataFrame:
    """`fits` of every chart that waits, one below the other, with the columns `piece` and `away` before it.

    away: how far its size is from the planned one (the log of their ratio; NaN where none is planned).
    """
    key = ("all fits", margin_in)
    return diary.once(key, lambda: _ordered(diary, possible(drawer.waiting(diary), drawer.cuts(diary), margin_in)))


def possible(charts: pd.DataFrame, cuts: pd.DataFrame, margin_in: float) -> pd.DataFrame:
    """A row for each chart, cut and way of working (over one, over two) that fit, in the order of charts and cuts.

    Columns: piece, fabric, count, over, width_cm, height_cm, turned, spare_cm, away, usual (the fabric is usually
    worked so), other (another fabric than planned), need_width_cm and need_height_cm (margins included), cut_width_cm,
    cut_height_cm, colour. Raises StitchlogError where the margin is below 0.
    """
    if not margin_in >= 0:
        raise StitchlogError(f"a margin of {margin_in} inches cannot be; it must be 0 or more")
    ways = pd.concat([cuts.assign(over=1.0), cuts[~cuts["aida"]].assign(over=2.0)]).sort_index(kind="stable")
    per_inch = (ways["count"] / ways["over"]).to_numpy(float)
    margin = 2 * margin_in * CM_PER_INCH
    wide = charts["width"].to_numpy(float)[:, None] * CM_PER_INCH / per_inch
    high = charts["height"].to_numpy(float)[:, None] * CM_PER_INCH / per_inch
    across, down = ways["width_cm"].to_numpy(float) + _EPS, ways["height_cm"].to_numpy(float) + _EPS
    straight = (wide + margin <= across) & (high + margin <= down)
    turned = (wide + margin <= down) & (high + margin <= across)
    chart, way = np.nonzero((straight | turned) & (wide > 0) & (high > 0))
    out = ways.iloc[way].rename(columns={"width_cm": "cut_width_cm", "height_cm": "cut_height_cm"})
    out = out.reset_index(drop=True).assign(
        piece=charts["piece"].to_numpy()[chart],
        width_cm=wide[chart, way],
        height_cm=high[chart, way],
        turned=~straight[chart, way],
    )
    out["need_width_cm"], out["need_height_cm"] = out["width_cm"] + margin, out["height_cm"] + margin
    on_width = out["need_width_cm"].where(~out["turned"], out["need_height_cm"])
    on_height = out["need_height_cm"].where(~out["turned"], out["need_width_cm"])
    spare = np.minimum(out["cut_width_cm"] - on_width, out["cut_height_cm"] - on_height)
    out["spare_cm"] = np.maximum(spare, 0.0)
    planned = (charts["count"] / charts["over"].fillna(1.0)).to_numpy(float)[chart]
    out["other"] = (out["count"] != charts["count"].to_numpy(float)[chart]) | (
        out["over"] != charts["over"].fillna(1.0).to_numpy(float)[chart]
    )
    out["away"] = np.abs(np.log(per_inch[way] / np.where(planned > 0, planned, np.nan))).round(9)
    out["usual"] = (out["over"] == 2.0) == ((out["count"] >= USUALLY_OVER_TWO) & ~out["aida"])
    return out


def to_get(diary: Diary, margin_in: float = 3.0) -> pd.DataFrame:
    """What fabric to buy for each chart that no cut can hold, and what else would help, in the order of the charts.

    Columns: piece, count, over (as planned, 14 over one where nothing is), cut_width_cm, cut_height_cm (to buy),
    would_fit_on (the cut on hand that asks for the smallest change of size; '' where none could), at_count, at_over
    (the nearest usual fabric of that cut's size on which the chart would fit). Charts whose size is not known are not
    listed.
    """
    charts, cuts = drawer.waiting(diary), drawer.cuts(diary)
    held = set(all_fits(diary, margin_in)["piece"]) | drawer.kits(diary)
    rows = []
    for row in each_row(charts[(charts["width"] > 0) & (charts["height"] > 0)]):
        if row.piece in held:
            continue
        count, over = (float(row.count), float(row.over) if row.over > 0 else 1.0) if row.count > 0 else (14.0, 1.0)
        cut = size((float(row.width), float(row.height)), count, over, margin_in).cut_cm
        rows.append([row.piece, count, over, *cut, *_nearest_count(row.width, row.height, cuts, margin_in)])
    return pd.DataFrame(rows, columns=TO_GET)


def _nearest_count(width: float, height: float, cuts: pd.DataFrame, margin_in: float) -> tuple[str, float, float]:
    """The cut that holds the chart at the fewest stitches to the inch, and the usual fabric from there up."""
    best: tuple[float, str] = (math.inf, "")
    margin = 2 * margin_in * CM_PER_INCH
    for name, across, down in cuts[["fabric", "width_cm", "height_cm"]].itertuples(index=False, name=None):
        for one, other in ((across, down), (down, across)):
            if one > margin and other > margin:
                needed = max(width / (one - margin), height / (other - margin)) * CM_PER_INCH
                best = min(best, (needed, name))
    usual = [(c, 1.0) for c in OVER_ONE] + [(c, 2.0) for c in OVER_TWO]
    enough = sorted((count / over, over, count) for count, over in usual if count / over >= best[0])
    return (best[1], enough[0][2], enough[0][1]) if enough else ("", math.nan, math.nan)


def _ordered(diary: Diary, rows: pd.DataFrame) -> pd.DataFrame:
    """Rows of `possible` with `hidden`, nearest first within each chart, charts in their order."""
    hidden = drawer.hidden(diary, rows)
    rows = rows.assign(
        hidden=hidden,
        _lost=hidden.str.count(";") + (hidden != ""),
        _unusual=~rows["usual"] & rows["away"].isna(),
        _chart=pd.factorize(rows["piece"])[0],
        _near=rows["away"].fillna(0.0),
        _area=rows["cut_width_cm"] * rows["cut_height_cm"] - rows["need_width_cm"] * rows["need_height_cm"],
    )
    rows = rows.sort_values(["_chart", "_unusual", "_near", "other", "_lost", "_area"], kind="stable")
    rest = [c for c in rows if c not in COLUMNS and c != "piece" and not str(c).startswith("_")]
    return rows[["piece", *COLUMNS, *rest]].reset_index(drop=True)
