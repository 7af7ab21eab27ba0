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
from stitchlog.reports.stash import drawer, fitting

COLUMNS = ["piece", "fabric", "count", "over", "width_cm", "height_cm", "pinned", "x_cm", "y_cm", "need_width_cm"]
COLUMNS += ["need_height_cm", "cut_width_cm", "cut_height_cm", "colour", "hidden"]
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
    cut, margins included), cut_width_cm, cut_height_cm, colour (of the fabric), hidden (colours that hardly show).
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
    rows = fitting.all_fits(diary, margin_in)
    pins = charts.loc[charts["pinned"] != "", ["piece", "pinned"]].set_index("piece")["pinned"]
    pinned = rows["fabric"] == rows["piece"].map(pins.to_dict())
    near = (rows["away"] < math.log(NEAR)) | (rows["away"].isna() & rows["usual"])
    near &= (rows["hidden"] == "") & ~rows["piece"].isin(pins.index)
    # Of each chart and cut the way of working that comes first.
    offers = rows.assign(pinned=pinned)[near | pinned].drop_duplicates(["piece", "fabric"])
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

    offers: a row a chart and cut; columns piece, fabric, need_width_cm, need_height_cm, cut_width_cm, cut_height_cm,
    pinned. Of the most charts served the least area of the used cuts is left over.
    """
    if offers.empty:
        return [], True
    ways = _ways(offers)
    if len(ways) > MOST_WAYS:
        return _two_rounds(offers), False
    pieces = pd.factorize(offers["piece"])[0]
    fabrics = pd.factorize(offers["fabric"])[0] + pieces.max() + 1
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
        integrality=np.ones(len(ways)),
        bounds=Bounds(0.0, 1.0),
        options={"mip_rel_gap": 0.0},
    )
    return [way for way, taken in zip(ways, found.x, strict=True) if taken > 0.5], True


def _ways(offers: pd.DataFrame) -> list[tuple[int, ...]]:
    """Every set of one or two rows of `offers` that one cut can hold; more than MOST_WAYS are not all listed."""
    ways: list[tuple[int, ...]] = [(row,) for row in range(len(offers))]
    for rows in offers.groupby("fabric", sort=False).indices.values():
        if len(ways) > MOST_WAYS:
            break
        along = _lengths(offers.iloc[rows])
        one, other = np.triu_indices(len(rows), 1)
        sides = offers.iloc[rows[0]][["cut_width_cm", "cut_height_cm"]].to_numpy(float) + _EPS
        both = ((along[one] + along[other]) <= sides).any(axis=1)
        ways += list(zip(rows[one[both]].tolist(), rows[other[both]].tolist(), strict=True))
    return ways


def _lengths(rows: pd.DataFrame) -> np.ndarray:
    """What each chart takes of the cut's width, and of its height, where the other side holds it (inf: it does not)."""
    need = rows[["need_width_cm", "need_height_cm"]].to_numpy(float)
    cut = rows[["cut_width_cm", "cut_height_cm"]].to_numpy(float) + _EPS
    out = np.full(need.shape, np.inf)
    for turned in (need, need[:, ::-1]):
        holds = (turned <= cut).all(axis=1, keepdims=True)
        out = np.where(holds, np.minimum(out, turned), out)
    return out


def _all_cuts(offers: pd.DataFrame) -> float:
    cuts = offers.drop_duplicates("fabric")
    return float((cuts["cut_width_cm"] * cuts["cut_height_cm"]).sum())


def _two_rounds(offers: pd.DataFrame) -> list[tuple[int, ...]]:
    """A good sharing where there are too many ways: each cut to one chart, then what is left of them to the others."""
    chosen: dict[str, tuple[int, ...]] = {}
    for row in offers.index[offers["pinned"]]:
        name = offers.loc[row, "fabric"]
        chosen[name] = (*chosen.get(name, ()), int(row))
    for room in (1, 2):
        served = {offers.loc[row, "piece"] for way in chosen.values() for row in way}
        rest = offers[~offers["piece"].isin(served)]
        if room == 1:
            rest = rest[~rest["fabric"].isin(chosen)]
        else:
            rest = rest[[_joins(offers, chosen.get(name, ()), row) for row, name in rest["fabric"].items()]]
        if rest.empty:
            continue
        piece, pieces = pd.factorize(rest["piece"])
        fabric, fabrics = pd.factorize(rest["fabric"])
        gain = np.zeros((len(pieces), len(fabrics)))
        used = rest["need_width_cm"] * rest["need_height_cm"]
        gain[piece, fabric] = 1.0 + used / max(_all_cuts(offers), 1.0)
        if room == 1:
            gain[piece, fabric] -= rest["cut_width_cm"] * rest["cut_height_cm"] / max(_all_cuts(offers), 1.0)
        rows = pd.Series(rest.index, index=pd.MultiIndex.from_arrays([piece, fabric]))
        for place in zip(*linear_sum_assignment(gain, maximize=True), strict=True):
            if place in rows.index:
                name = fabrics[place[1]]
                chosen[name] = (*chosen.get(name, ()), int(rows[place]))
    return list(chosen.values())


def _joins(offers: pd.DataFrame, way: tuple[int, ...], row: int) -> bool:
    """Whether the cut that `way` uses can hold one chart more."""
    return len(way) < 2 and (not way or len(_ways(offers.loc[[*way, row]].reset_index(drop=True))) == 3)


def _pins_that_go_together(offers: pd.DataFrame) -> tuple[pd.DataFrame, set[str]]:
    """Offers without the pins for which their cut has no room beside the first ones, and those charts."""
    late: list[int] = []
    for rows in offers[offers["pinned"]].groupby("fabric", sort=False).indices.values():
        pins = offers.index[offers["pinned"]][rows]
        kept: tuple[int, ...] = ()
        for row in pins:
            if _joins(offers, kept, row):
                kept = (*kept, row)
            else:
                late.append(row)
    return offers.drop(index=late).reset_index(drop=True), set(offers.loc[late, "piece"])


def _placed(rows: pd.DataFrame) -> list[list[object]]:
    """The charts of one cut with their places on it, side by side along its width or its height."""
    along = _lengths(rows)
    cut = rows[["cut_width_cm", "cut_height_cm"]].iloc[0].to_numpy(float)
    side = int(np.argmin(along.sum(axis=0) - cut))
    out, at = [], 0.0
    for row, length in zip(rows.to_dict("records"), along[:, side], strict=True):
        need = [row["need_width_cm"], row["need_height_cm"]]
        design = [row["width_cm"], row["height_cm"]]
        if not math.isclose(need[side], length):
            need, design = need[::-1], design[::-1]
        where = (at, 0.0) if side == 0 else (0.0, at)
        at += length
        about = [row[c] for c in ("piece", "fabric", "count", "over")]
        out.append([*about, *design, row["pinned"], *where, *need, *cut, row["colour"], row["hidden"]])
    return out
