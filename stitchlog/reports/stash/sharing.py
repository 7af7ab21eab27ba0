"""Who gets which cut: the most charts served, then the least fabric left over, solved exactly."""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass

import numpy as np
import pandas as pd
from scipy.optimize import Bounds, LinearConstraint, linear_sum_assignment, milp
from scipy.sparse import csr_array

from stitchlog.diary.diary import Diary
from stitchlog.diary.frames import each_record
from stitchlog.reports.stash import drawer, fitting

COLUMNS = ["piece", "fabric", "count", "over", "width_cm", "height_cm", "pinned", "x_cm", "y_cm", "need_width_cm"]
COLUMNS += ["need_height_cm", "cut_width_cm", "cut_height_cm", "colour", "hidden", "cut"]
# A chart is given a cut only where its size there is within this ratio of the planned one: our own choice, no source.
NEAR = 1.3
# With more ways to share than this the best is not searched for among all of them.
MOST_WAYS = 4000
_EPS = 0.05


@dataclass(frozen=True)
class Sharing:
    """Who gets which cut.

    cuts: a row a chart that gets one. Columns: piece, fabric, count, over, width_cm, height_cm (of the design as it
    lies on the cut), pinned (chosen in `pieces.csv`), x_cm, y_cm, need_width_cm, need_height_cm (where it lies on the
    cut, margins included), cut_width_cm, cut_height_cm, colour (of the fabric), hidden (colours that hardly show),
    cut (its number).
    without: charts of a known size that get none. too_small: charts pinned to a cut that does not hold them.
    best: no other sharing serves more charts, or as many with less fabric left over.
    """

    cuts: pd.DataFrame
    without: tuple[str, ...]
    too_small: tuple[str, ...]
    best: bool


def share_out(diary: Diary, margin_in: float = 3.0) -> Sharing:
    """Who gets which cut, as `Sharing`: all charts that wait at once, each cut used once or cut in two.

    A cut is cut in two where both charts fit side by side. A chart is offered the cuts that hold it near its planned
    size (where none is planned: worked as is usual for the fabric) and hide none of its colours. What `pieces.csv`
    names in `fabric` is kept.
    """
    return diary.once(("sharing", margin_in), lambda: _share_out(diary, margin_in))


def _share_out(diary: Diary, margin_in: float) -> Sharing:
    charts = drawer.waiting(diary)
    charts = charts[~charts["piece"].isin(drawer.kits(diary))]
    rows = fitting.all_fits(diary, margin_in)
    rows = rows[rows["piece"].isin(charts["piece"])]
    pins = charts.loc[charts["pinned"] != "", ["piece", "pinned"]].set_index("piece")["pinned"]
    pinned = rows["fabric"] == rows["piece"].map(pins.to_dict())
    near = (rows["away"] < math.log(NEAR)) | (rows["away"].isna() & rows["usual"])
    near &= (rows["hidden"] == "") & ~rows["piece"].isin(pins.index)
    # Of each chart and cut the way of working that comes first.
    offers = rows.assign(pinned=pinned)[near | pinned].drop_duplicates(["piece", "cut"])
    offers, too_many = _pins_that_go_together(offers.reset_index(drop=True))
    chosen, best = choose(offers)
    got = offers.iloc[list(itertools.chain.from_iterable(chosen))]
    sized = charts.loc[(charts["width"] > 0) & (charts["height"] > 0), "piece"]
    held = set(rows.loc[pinned, "piece"]) - too_many
    placed = [place for cut in chosen for place in _placed(offers.iloc[list(cut)])]
    out = pd.DataFrame(placed, columns=COLUMNS)
    without = tuple(piece for piece in sized if piece not in set(got["piece"]))
    return Sharing(out, without, tuple(p for p in sized if p in pins.index and p not in held), best)


def choose(offers: pd.DataFrame) -> tuple[list[tuple[int, ...]], bool]:
    """The cuts that are used, each as the rows of `offers` that share it, and whether that is the best there is.

    offers: a row a chart and cut; columns piece, cut, need_width_cm, need_height_cm, cut_width_cm, cut_height_cm,
    pinned. Of the most charts served the least area of the used cuts is left over.
    """
    if offers.empty:
        return [], True
    ways = _ways(offers) if len(offers) <= MOST_WAYS else []
    if not 0 < len(ways) <= MOST_WAYS:
        return _two_rounds(offers), False
    pieces = pd.factorize(offers["piece"])[0]
    fabrics = pd.factorize(offers["cut"])[0] + pieces.max() + 1
    cells = [(row, place) for place, way in enumerate(ways) for row in {*pieces[list(way)], fabrics[way[0]]}]
    matrix = csr_array((np.ones(len(cells)), np.transpose(cells)), shape=(fabrics.max() + 1, len(ways)))
    served = np.array([len(way) for way in ways], dtype=float)
    used = (offers["need_width_cm"] * offers["need_height_cm"]).to_numpy(float)
    whole = (offers["cut_width_cm"] * offers["cut_height_cm"]).to_numpy(float)
    wasted = np.array([whole[way[0]] - sum(used[row] for row in way) for way in ways])
    # All that could be wasted counts less than one chart, and a pinned chart more than all the others.
    least = -served + 0.9 * wasted / max(_all_cuts(offers), 1.0)
    pinned = offers["pinned"].to_numpy(bool)
    least -= np.array([sum(pinned[row] for row in way) for way in ways]) * (len(set(pieces)) + 1.0)
    found = milp(
        least,
        constraints=LinearConstraint(matrix, ub=1.0),
        integrality=np.ones(len(ways), dtype=int),
        bounds=Bounds(0.0, 1.0),
        options={"mip_rel_gap": 0.0},
    )
    taken = np.zeros(len(ways)) if found.x is None else found.x
    return [way for way, share in zip(ways, taken.tolist(), strict=True) if share > 0.5], True


def _ways(offers: pd.DataFrame) -> list[tuple[int, ...]]:
    """Every set of one or two rows of `offers` that one cut can hold; more than MOST_WAYS are not all listed."""
    ways: list[tuple[int, ...]] = [(row,) for row in range(len(offers))]
    along, sides = _lengths(offers), _sides(offers)
    for places in offers.groupby("cut", sort=False).indices.values():
        rows = np.asarray(places)
        if len(ways) > MOST_WAYS:
            break
        one, other = np.triu_indices(len(rows), 1)
        both = _both_fit(along, sides, rows[one], rows[other])
        ways += list(zip(rows[one[both]].tolist(), rows[other[both]].tolist(), strict=True))
    return ways


def _lengths(rows: pd.DataFrame) -> np.ndarray:
    """What each chart takes of the cut's width, and of its height, where the other side holds it (inf: it does not)."""
    need = rows[["need_width_cm", "need_height_cm"]].to_numpy(float)
    cut = _sides(rows)
    out = np.full(need.shape, np.inf)
    for turned in (need, need[:, ::-1]):
        holds = (turned <= cut).all(axis=1, keepdims=True)
        out = np.where(holds, np.minimum(out, turned), out)
    return out


def _sides(rows: pd.DataFrame) -> np.ndarray:
    """Width and height of the cut of each row."""
    sides: np.ndarray = rows[["cut_width_cm", "cut_height_cm"]].to_numpy(float) + _EPS
    return sides


def _both_fit(along: np.ndarray, sides: np.ndarray, one: np.ndarray, other: np.ndarray) -> np.ndarray:
    """Whether two rows of the same cut fit on it side by side, or one below the other, for each pair."""
    fit: np.ndarray = ((along[one] + along[other]) <= sides[one]).any(axis=1)
    return fit


def _all_cuts(offers: pd.DataFrame) -> float:
    cuts = offers.drop_duplicates("cut")
    return float((cuts["cut_width_cm"] * cuts["cut_height_cm"]).sum())


def _two_rounds(offers: pd.DataFrame) -> list[tuple[int, ...]]:
    """A good sharing where there are too many ways: each cut to one chart, then what is left of them to the others."""
    along, sides = _lengths(offers), _sides(offers)
    whole = _all_cuts(offers)
    pieces, fabrics = pd.factorize(offers["piece"])[0], pd.factorize(offers["cut"])[0]
    gain = 1.0 + (offers["need_width_cm"] * offers["need_height_cm"]).to_numpy(float) / whole
    cost = (offers["cut_width_cm"] * offers["cut_height_cm"]).to_numpy(float) / whole
    chosen: dict[int, list[int]] = {}
    served: set[int] = set()
    for row in np.flatnonzero(offers["pinned"]):
        chosen.setdefault(int(fabrics[row]), []).append(int(row))
        served.add(int(pieces[row]))
    for second in (False, True):
        first = np.array([chosen.get(fabric, [-1])[0] for fabric in fabrics.tolist()])
        full = np.array([len(chosen.get(fabric, [])) > 1 for fabric in fabrics.tolist()])
        joins = (first >= 0) & ~full & _both_fit(along, sides, np.arange(len(offers)), first)
        rows = np.flatnonzero((joins if second else first < 0) & ~np.isin(pieces, list(served)))
        table = np.zeros((pieces.max() + 1, fabrics.max() + 1))
        table[pieces[rows], fabrics[rows]] = gain[rows] if second else gain[rows] - cost[rows]
        places = {(pieces[row], fabrics[row]): int(row) for row in rows}
        for place in zip(*linear_sum_assignment(table, maximize=True), strict=True):
            if place in places:
                chosen.setdefault(int(place[1]), []).append(places[place])
                served.add(int(place[0]))
    return [tuple(rows) for rows in chosen.values()]


def _pins_that_go_together(offers: pd.DataFrame) -> tuple[pd.DataFrame, set[str]]:
    """Offers without the pins for which their cut has no room beside the first ones, and those charts."""
    late: list[int] = []
    pins = offers[offers["pinned"]]
    for _, rows in pins.groupby("cut", sort=False):
        kept = rows.index[:1].tolist()
        for row in rows.index[1:]:
            if len(kept) < 2 and len(_ways(rows.loc[[*kept, row]].reset_index(drop=True))) == 3:
                kept.append(row)
            else:
                late.append(row)
    return offers.drop(index=late).reset_index(drop=True), set(offers.loc[late, "piece"])


def _placed(rows: pd.DataFrame) -> list[list[object]]:
    """The charts of one cut with their places on it, side by side along its width or its height."""
    along = _lengths(rows)
    cut = rows[["cut_width_cm", "cut_height_cm"]].iloc[0].to_numpy(float)
    side = int(np.argmin(along.sum(axis=0) - cut))
    out, at = [], 0.0
    for row, length in zip(each_record(rows), along[:, side], strict=True):
        need = [row["need_width_cm"], row["need_height_cm"]]
        design = [row["width_cm"], row["height_cm"]]
        if not math.isclose(need[side], length):
            need, design = need[::-1], design[::-1]
        where = (at, 0.0) if side == 0 else (0.0, at)
        at += length
        about = [row[c] for c in ("piece", "fabric", "count", "over")]
        out.append([*about, *design, row["pinned"], *where, *need, *cut, row["colour"], row["hidden"], row["cut"]])
    return out
