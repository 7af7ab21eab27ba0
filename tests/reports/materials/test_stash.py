"""The stash across pieces, the shopping list, and what a planned piece can use."""

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
    frame = materials.stash(basket).set_index("code")
    each = materials.thread(basket, ["Hare", "Fox"]).groupby("code")["to_come_skeins"].sum()
    assert frame["to_come_skeins"].to_dict() == pytest.approx(each.to_dict(), rel=1e-9)
    assert frame.loc["A", "pieces"] in ("Hare; Fox", "Fox; Hare")
    assert set(frame.index) == {"A", "B"}


def test_a_colour_that_would_do_for_each_alone_runs_short_together(basket):
    frame = materials.stash(basket)
    alone = materials.thread(basket, ["Hare", "Fox"])
    assert (alone.loc[alone["code"] == "A", "to_buy"] == 0).all()
    row = frame.set_index("code").loc["A"]
    assert row["to_buy"] == 1 and row["together"]
    assert "A oak would do for each piece alone and does not" in materials.say_stash(frame)


def test_the_shopping_list_is_whole_skeins_by_code(basket):
    listed = materials.to_buy(materials.stash(basket))
    assert list(listed) == ["code", "name", "hex", "skeins", "to_be_sure", "pieces"]
    assert listed["code"].tolist() == ["A"] and listed["skeins"].tolist() == [1]
    assert listed["skeins"].dtype.kind == "i"


def test_for_one_piece_only_that_one_counts(basket):
    assert materials.pieces_asked(basket, "hare") == ["Hare"]
    assert materials.pieces_asked(basket) == ["Hare", "Fox"]
    frame = materials.stash(basket, pieces=["Hare"])
    assert frame["code"].tolist() == ["A"] and frame["to_buy"].tolist() == [0]
    assert materials.say_stash(frame) == "What is on hand will do for the 1 colour that Hare still takes."


def test_a_planned_piece_gets_what_the_others_leave(basket):
    frame = materials.usable_for_planned(basket, "Herd").set_index("code")
    assert frame.loc["A", "free"] == 0 and not frame.loc["A", "enough"]
    assert frame.loc["A", "instead"] == "C" and frame.loc["A", "instead_name"] == "nut"
    assert frame.loc["D", "free"] == 2 and frame.loc["D", "enough"] and frame.loc["D", "instead"] == ""
    assert "C nut comes near A oak" in materials.say_usable(frame.reset_index(), "Herd")


def test_a_planned_piece_of_which_no_colour_is_known_reads_well(tmp_path):
    diary = diary_of(
        tmp_path, pieces=PIECES + "Herd,800,,,14,1,2,\n", threads="code,name,hex,skeins\nA,oak,#7a5435,1\n"
    )
    assert materials.say_usable(materials.usable_for_planned(diary, "Herd"), "Herd").startswith(
        "Herd does not say which colours it takes"
    )


def test_no_planned_piece_reads_well(basket):
    assert materials.usable_for_planned(basket, None).empty
    assert materials.say_usable(materials.usable_for_planned(basket, None), None).startswith("No piece is planned")
    assert materials.say_usable(materials.usable_for_planned(basket, "Old"), "Old") == "Old takes no more thread."


def test_a_finished_piece_wants_nothing(basket):
    frame = materials.stash(basket, pieces=["Old"])
    assert frame.empty and materials.say_stash(frame).startswith("Nothing is still to come of Old")
    assert materials.to_buy(frame).empty


def test_pieces_of_which_too_little_is_known_are_left_out_and_named(tmp_path):
    rows = "piece,date,stitches,colours\nHare,2026-10-01,50,A:50\nKite,2026-10-01,50,A:50\n"
    diary = diary_of(tmp_path, diary=rows, pieces="piece,total,count\nHare,900,14\nKite,900,\n")
    frame = materials.stash(diary)
    assert frame.attrs == {"left_out": ["Kite"], "pieces": ["Hare"]}
    assert materials.say_stash(frame).endswith("Not reckoned, as colours, cloth or total are not known: Kite.")


def test_an_empty_diary_reads_well(tmp_path):
    diary = diary_of(tmp_path)
    frame = materials.stash(diary)
    assert frame.empty and materials.to_buy(frame).empty
    assert materials.say_stash(frame).startswith("No piece is on the go")
    assert materials.thread(diary, []).empty
    assert materials.say_thread(materials.thread(diary, [])).startswith("No piece is on the go")
