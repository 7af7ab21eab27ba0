"""Who gets which cut, against every possible sharing of small drawers."""

import itertools

import numpy as np
import pandas as pd
import pytest

from stitchlog import stash
from stitchlog.reports.stash import sharing
from tests.reports.stash.folder import drawer_of


def offers_of(seed: int) -> pd.DataFrame:
    """A small drawer at random: offers of up to five charts on up to three cuts."""
    rng = np.random.default_rng(seed)
    cuts = [(f"c{i}", *rng.integers(30, 90, 2)) for i in range(rng.integers(1, 4))]
    rows = []
    for chart in range(rng.integers(1, 6)):
        wide, high = rng.integers(15, 60, 2)
        for name, across, down in cuts:
            w, h = wide * rng.choice([1.0, 0.9]), high * 1.0
            if (w <= across and h <= down) or (h <= across and w <= down):
                rows.append([f"p{chart}", name, w, h, float(across), float(down), False])
    columns = ["piece", "cut", "need_width_cm", "need_height_cm", "cut_width_cm", "cut_height_cm", "pinned"]
    return pd.DataFrame(rows, columns=columns)


def by_hand(rows: list[tuple]) -> bool:
    """Whether one or two charts lie on a cut, each straight or turned, side by side or one below the other."""
    across, down = rows[0][4], rows[0][5]
    for turned in itertools.product((False, True), repeat=len(rows)):
        sides = [(h, w) if t else (w, h) for t, (_, _, w, h, *_) in zip(turned, rows, strict=True)]
        wide, high = [s[0] for s in sides], [s[1] for s in sides]
        if sum(wide) <= across + 0.05 and max(high) <= down + 0.05:
            return True
        if max(wide) <= across + 0.05 and sum(high) <= down + 0.05:
            return True
    return False


def best_by_hand(offers: pd.DataFrame) -> tuple[int, float]:
    """The most charts served, and the least left over of the cuts used, over every sharing there is."""
    rows = list(offers.itertuples(index=False, name=None))
    each = [[None, *[r for r in rows if r[0] == piece]] for piece in offers["piece"].unique()]
    best = (0, 0.0)
    for choice in itertools.product(*each):
        taken = [r for r in choice if r]
        by_cut = {name: [r for r in taken if r[1] == name] for name in {r[1] for r in taken}}
        if all(len(own) <= 2 and by_hand(own) for own in by_cut.values()):
            left = sum(own[0][4] * own[0][5] - sum(r[2] * r[3] for r in own) for own in by_cut.values())
            best = max(best, (len(taken), -left))
    return best[0], -best[1]


@pytest.mark.parametrize("seed", range(40))
def test_no_sharing_is_better(seed):
    offers = offers_of(seed)
    if offers.empty:
        return
    chosen, best = sharing.choose(offers)
    rows = list(offers.itertuples(index=False, name=None))
    assert best and all(by_hand([rows[i] for i in way]) for way in chosen)
    assert len({rows[i][0] for way in chosen for i in way}) == sum(map(len, chosen))
    left = sum(rows[way[0]][4] * rows[way[0]][5] - sum(rows[i][2] * rows[i][3] for i in way) for way in chosen)
    assert (sum(map(len, chosen)), left) == (best_by_hand(offers)[0], pytest.approx(best_by_hand(offers)[1], abs=1e-6))


def test_where_the_ways_are_too_many_the_sharing_is_still_a_possible_one(monkeypatch):
    monkeypatch.setattr(sharing, "MOST_WAYS", 5)
    served = possible = 0
    for seed in range(40):
        offers = offers_of(seed)
        if len(offers) > 5:
            chosen, best = sharing.choose(offers)
            rows = list(offers.itertuples(index=False, name=None))
            assert not best and all(by_hand([rows[i] for i in way]) for way in chosen)
            assert len({rows[i][0] for way in chosen for i in way}) == sum(map(len, chosen))
            served, possible = served + sum(map(len, chosen)), possible + best_by_hand(offers)[0]
    assert served >= 0.9 * possible > 0


def test_a_cut_is_cut_in_two_where_both_fit(tmp_path):
    # Each chart wants 20.24 cm square: 14 count, 28 stitches, 2 inches and the margins.
    charts = "Hare,700,28,28,14,1,2,,\nFox,700,28,28,14,1,2,,\nOwl,700,28,28,14,1,2,,\n"
    found = stash.share_out(drawer_of(tmp_path, charts, "Long,14,Aida,,41,21\nSquare,14,Aida,,21,21\n"))
    assert found.best and found.without == ()
    assert found.cuts["fabric"].value_counts().to_dict() == {"Long": 2, "Square": 1}
    places = found.cuts[found.cuts["fabric"] == "Long"].sort_values("x_cm")
    assert places["x_cm"].tolist() == pytest.approx([0.0, 20.32]) and places["y_cm"].tolist() == [0, 0]


def test_a_pinned_choice_is_kept(tmp_path):
    charts = "Hare,700,28,28,14,1,2,big  CREAM,\nFox,5000,140,70,14,1,2,,\n"
    fabrics = "Big cream,14,Aida,,41,30\nSmall,14,Aida,,21,21\n"
    kept = stash.share_out(drawer_of(tmp_path, charts, fabrics))
    assert kept.cuts[["piece", "fabric", "pinned"]].to_numpy().tolist() == [["Hare", "Big cream", True]]
    assert kept.without == ("Fox",)
    free = stash.share_out(drawer_of(tmp_path / "free", charts.replace("big  CREAM", ""), fabrics))
    assert dict(zip(free.cuts["piece"], free.cuts["fabric"], strict=True)) == {"Hare": "Small", "Fox": "Big cream"}


def test_a_pin_that_does_not_hold_its_chart_is_named(tmp_path):
    found = stash.share_out(drawer_of(tmp_path, "Fox,5000,140,70,14,1,2,Small,\n", "Small,14,Aida,,21,21\n"))
    assert found.cuts.empty and found.too_small == ("Fox",)


def test_a_chart_is_not_given_a_fabric_that_changes_its_size_much_or_hides_a_colour(tmp_path):
    diary = drawer_of(
        tmp_path,
        "Hare,700,28,28,14,1,2,,\n",
        "Fine,40,linen,,30,30\nWhite,14,Aida,#ffffff,30,30\n",
        threads="code,hex,skeins\nW,#fefefe,1\n",
        chart_colours="piece,code,stitches\nHare,W,700\n",
    )
    assert stash.share_out(diary).without == ("Hare",)
    assert not stash.fits(diary, "Hare").empty


def test_two_cuts_of_one_name_are_two_cuts(tmp_path):
    charts = "Hare,700,28,28,14,1,2,,\nFox,700,28,28,14,1,2,,\n"
    found = stash.share_out(drawer_of(tmp_path, charts, "Scrap,14,Aida,,21,21\nScrap,14,Aida,,21,21\n"))
    assert found.without == () and found.cuts["cut"].nunique() == 2
