"""Thread across pieces, the shopping list, and what a planned piece can use."""

import numpy as np
import pytest

from stitchlog.reports import materials
from tests.reports.materials.folder import PIECES, diary_of


@pytest.fixture
def basket(tmp_path):
    """Two pieces on the go that share a colour, one planned, one finished."""
    rows = [f"{p},2026-10-{d:02d},84,{c}" for d in range(1, 9) for p, c in (("Hare", "A:84"), ("Fox", "A:42; B:42"))]
    return diary_of(
        tmp_path,
        diary="piece,date,stitches,colours\n" + "\n".join([*rows, "Old,2026-10-09,100,A:100"]),
        pieces=PIECES + "Hare,2400,,,14,1,2,\nFox,3600,,,14,1,2,\nHerd,800,,,14,1,2,\nOld,100,,,14,1,2,\n",
        threads="code,name,hex,skeins\nA,oak,#7a5435,1\nB,sea,#2e8fb8,3\nC,nut,#7c5637,1\nD,snow,#ffffff,2\n",
        chart_colours="piece,code,stitches\nHerd,A,400\nHerd,D,400\n",
    )


def test_needs_add_up_over_the_pieces(basket):
    frame = materials.needed(basket).colours.set_index("code")
    each = materials.thread(basket, ["Hare", "Fox"]).groupby("code")["needed_skeins"].sum()
    assert frame["needed_skeins"].to_dict() == pytest.approx(each.to_dict(), rel=1e-9)
    assert frame.loc["A", "pieces"] in ("Hare; Fox", "Fox; Hare")
    assert set(frame.index) == {"A", "B"}


def test_a_colour_that_would_do_for_each_alone_runs_short_together(basket):
    needed = materials.needed(basket)
    alone = materials.thread(basket, ["Hare", "Fox"])
    assert (alone.loc[alone["code"] == "A", "to_buy"] == 0).all()
    row = needed.colours.set_index("code").loc["A"]
    assert row["to_buy"] == 1 and row["together"]
    assert "A oak is enough for any one piece, but not" in materials.say_needed(needed)


def test_the_shopping_list_is_whole_skeins_by_code(basket):
    listed = materials.to_buy(materials.needed(basket))
    assert list(listed) == ["code", "name", "hex", "skeins", "to_be_safe", "pieces"]
    assert listed["code"].tolist() == ["A"] and listed["skeins"].tolist() == [1]
    assert listed["skeins"].dtype.kind == "i"


def test_for_one_piece_only_that_one_counts(basket):
    assert materials.pieces_asked(basket, "hare") == ["Hare"]
    assert materials.pieces_asked(basket) == ["Hare", "Fox"]
    needed = materials.needed(basket, ["Hare"])
    frame = needed.colours
    assert frame["code"].tolist() == ["A"] and frame["to_buy"].tolist() == [0]
    assert materials.say_needed(needed) == "Hare still needs 1 colour. What you have is enough."


def test_a_planned_piece_gets_what_the_others_leave(basket):
    frame = materials.usable_for_planned(basket, "Herd").set_index("code")
    assert frame.loc["A", "free"] == 0 and not frame.loc["A", "enough"]
    assert frame.loc["A", "instead"] == "C" and frame.loc["A", "instead_name"] == "nut"
    assert frame.loc["D", "free"] == 2 and frame.loc["D", "enough"] and frame.loc["D", "instead"] == ""
    assert "C nut is close to A oak" in materials.say_usable(frame.reset_index(), "Herd")


def test_a_planned_piece_of_which_no_colour_is_known_reads_well(tmp_path):
    diary = diary_of(
        tmp_path, pieces=PIECES + "Herd,800,,,14,1,2,\n", threads="code,name,hex,skeins\nA,oak,#7a5435,1\n"
    )
    assert materials.say_usable(materials.usable_for_planned(diary, "Herd"), "Herd").startswith(
        "Herd does not say its colours"
    )


def test_no_planned_piece_reads_well(basket):
    assert materials.usable_for_planned(basket, None).empty
    assert materials.say_usable(materials.usable_for_planned(basket, None), None).startswith("No piece is planned")
    assert materials.say_usable(materials.usable_for_planned(basket, "Old"), "Old") == "Old needs no more thread."


def test_a_finished_piece_wants_nothing(basket):
    needed = materials.needed(basket, ["Old"])
    assert needed.colours.empty and materials.say_needed(needed) == "Old needs no more thread."
    assert materials.to_buy(needed).empty


def test_pieces_of_which_too_little_is_known_are_left_out_and_named(tmp_path):
    rows = "piece,date,stitches,colours\nHare,2026-10-01,50,A:50\nKite,2026-10-01,50,A:50\n"
    diary = diary_of(tmp_path, diary=rows, pieces="piece,total,count\nHare,900,14\nKite,900,\n")
    needed = materials.needed(diary)
    assert (needed.left_out, needed.pieces) == (("Kite",), ("Hare",))
    assert materials.say_needed(needed).endswith("Kite: not worked out, as colours, fabric or total are not known.")


def test_an_empty_diary_reads_well(tmp_path):
    diary = diary_of(tmp_path)
    needed = materials.needed(diary)
    assert needed.colours.empty and materials.to_buy(needed).empty
    assert materials.say_needed(needed).startswith("No piece is in progress")
    assert materials.thread(diary, []).empty
    assert materials.say_thread(materials.thread(diary, [])).startswith("No piece is in progress")


def test_the_sentence_the_list_and_the_chart_speak_of_the_same_colours(tmp_path):
    # Some colours run short, some may, and one is enough.
    rng = np.random.default_rng(4)
    rows = []
    for day in range(1, 25):
        a = int(rng.integers(5, 95))
        rows += [f"Hare,2026-10-{day:02d},100,A:{a}; B:{100 - a}", f"Fox,2026-10-{day:02d},20,C:10; D:10"]
    diary = diary_of(
        tmp_path,
        diary="piece,date,stitches,colours\n" + "\n".join(rows),
        pieces=PIECES + "Hare,6400,,,14,1,2,\nFox,1200,,,14,1,2,\n",
        threads="code,name,hex,skeins\nA,oak,#7a5435,1.2\nB,sea,#2e8fb8,0.2\nC,nut,#7c5637,9\nD,snow,#ffffff,0\n",
    )
    needed = materials.needed(diary)
    listed = materials.to_buy(needed)
    short, unsure = (needed.colours["to_buy"] > 0).sum(), (listed["skeins"] == 0).sum()
    assert unsure > 0 and len(listed) == short + unsure < len(needed.colours)
    said = materials.say_needed(needed)
    assert f"and {short} run short" in said and f"{unsure} more may run short" in said
    drawn = materials.charts.provision(needed).to_dict()
    assert {len(rows) for rows in drawn["datasets"].values()} == {len(listed)}


def test_a_planned_piece_buys_no_skein_that_the_list_already_buys(tmp_path):
    rows = [f"Hare,2026-10-{d:02d},84,A:84" for d in range(1, 9)]
    diary = diary_of(
        tmp_path,
        diary="piece,date,stitches,colours\n" + "\n".join(rows),
        pieces=PIECES + "Hare,2400,,,14,1,2,\nHerd,200,,,14,1,2,\n",
        threads="code,name,hex,skeins\nA,oak,#7a5435,0.1\n",
        chart_colours="piece,code,stitches\nHerd,A,200\n",
    )
    needed = materials.needed(diary)
    row = materials.usable_for_planned(diary, "Herd").iloc[0]
    assert materials.to_buy(needed)["skeins"].tolist() == [1]
    assert not row["enough"] and row["to_buy"] == 0
    assert "buy nothing on top of the list" in materials.say_usable(row.to_frame().T, "Herd", needed)
    # Asked about alone, its list and its sentence name the same skein.
    alone = materials.needed(diary, ["Herd"])
    assert "the list above is for Herd alone" in materials.say_usable(row.to_frame().T, "Herd", alone)
