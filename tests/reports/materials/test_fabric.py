"""Sizes, the table of usual fabrics, and what they say."""

import math
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stitchlog.errors import StitchlogError
from stitchlog.reports import materials
from tests.reports.materials.folder import PIECES, diary_of

TIMED = "piece,date,stitches,minutes\n" + "\n".join(f"Old,2026-09-{day:02d},100,60" for day in range(1, 21))


def test_a_size_reads_by_attribute_and_by_name():
    size = materials.size((80, 220), 32, over=2)
    assert dict(size) == {name: getattr(size, name) for name in ("design_in", "design_cm", "cut_in", "cut_cm")}
    with pytest.raises(KeyError):
        size["wide"]


def test_one_side_gives_numbers_and_two_give_pairs():
    assert materials.size(140, 14).cut_in == 16.0
    assert materials.size((140, 70), 14).cut_in == (16.0, 11.0)


@given(st.integers(1, 2000), st.integers(5, 60), st.sampled_from([1, 2]), st.integers(0, 12))
def test_sizes_follow_exact_fractions(stitches, count, over, quarters):
    size = materials.size(stitches, count, over, margin_in=quarters / 4)
    exact = Fraction(stitches * over, count)
    assert size.design_in == pytest.approx(float(exact), abs=1e-8)
    assert size.cut_in == pytest.approx(float(exact + 2 * Fraction(quarters, 4)), abs=1e-8)
    assert size.cut_cm == pytest.approx(2.54 * float(exact + 2 * Fraction(quarters, 4)), abs=1e-7)


@pytest.mark.parametrize(
    "ask", [{"count": 0}, {"count": -14}, {"count": 14, "over": 3}, {"count": 14, "margin_in": -1}, {"count": math.nan}]
)
def test_what_cannot_be_is_said_in_one_line(ask):
    with pytest.raises(StitchlogError) as said:
        materials.size(140, **ask)
    assert "\n" not in str(said.value)


def test_the_table_has_every_usual_count_and_the_planned_one(tmp_path):
    diary = diary_of(tmp_path, pieces=PIECES + "Herd,8840,130,100,30,2,2,#ffffff\n")
    frame = materials.size_table(diary, materials.design(diary, "Herd"))
    assert {(14, 1), (16, 1), (18, 1), (22, 1), (25, 1), (28, 2), (32, 2), (36, 2), (40, 2), (30, 2)} <= set(
        zip(frame["count"], frame["over"], strict=True)
    )
    assert frame["width_cm"].is_monotonic_decreasing
    assert frame.loc[frame["own"], "fabric"].tolist() == ["30 count over two"]
    assert frame["hours"].isna().all()


def test_hours_come_from_this_stitchers_own_pace(tmp_path):
    diary = diary_of(tmp_path, diary=TIMED, pieces=PIECES + "Herd,5000,100,50,14,1,2,\nOld,9000,100,90,14,1,2,\n")
    frame = materials.size_table(diary, materials.design(diary, "Herd"))
    row = frame[(frame["count"] == 14) & (frame["over"] == 1)].iloc[0]
    assert row["hours"] == pytest.approx(50, rel=0.05)


def test_without_a_piece_the_next_that_is_not_begun_is_asked_about(tmp_path):
    pieces = PIECES + "Old,9000,100,90,14,1,2,\nHerd,5000,100,50,14,1,2,\n"
    diary = diary_of(tmp_path, diary=TIMED, pieces=pieces)
    assert materials.design(diary).name == "Herd"
    assert materials.design(diary, stitches=900).name == ""
    assert materials.design(diary, "old", width=200).stitches == 200 * 90


def test_a_design_of_which_only_the_stitches_are_known_is_sized_as_a_square(tmp_path):
    asked = materials.design(diary_of(tmp_path), stitches=900, count=14)
    assert (asked.width, asked.height, asked.as_square) == (30, 30, True)
    assert "if it is a square" in materials.say_size(asked)


def test_a_design_of_which_nothing_is_known_reads_well(tmp_path):
    diary = diary_of(tmp_path)
    asked = materials.design(diary)
    assert "is not known" in materials.say_size(asked)
    assert materials.size_table(diary, asked).empty
    assert materials.say_size_table(materials.size_table(diary, asked)).startswith("Without")
    assert "not known" in materials.say_strands(asked)


def test_the_sentence_says_what_the_function_says(tmp_path):
    diary = diary_of(tmp_path, pieces=PIECES + "Herd,8800,80,220,32,2,2,\n")
    said = materials.say_size(materials.design(diary, "Herd"))
    assert "32 count over two" in said and "(5.00 × 13.75 in)" in said and "(11.00 × 19.75 in)" in said


def test_strands_that_differ_from_the_usual_are_named(tmp_path):
    diary = diary_of(tmp_path, pieces=PIECES + "Herd,8800,80,220,14,1,3,\nKite,100,10,10,14,1,2,\n")
    assert "You stitch it with 3 strands" in materials.say_strands(materials.design(diary, "Herd"))
    assert "You stitch" not in materials.say_strands(materials.design(diary, "Kite"))


def test_strands_of_a_piece_are_the_same_everywhere(tmp_path):
    diary = diary_of(tmp_path, pieces=PIECES + "Herd,8800,80,220,14,1,1,\n")
    asked = materials.design(diary, "Herd")
    frame = materials.size_table(diary, asked)
    assert asked.strands == 1 and frame.loc[frame["own"], "strands"].tolist() == [1]


def test_colours_of_a_later_day_do_not_count(tmp_path):
    rows = "piece,date,stitches,colours\nHerd,2026-10-01,50,A:50\nHerd,2026-10-09,50,B:50\n"
    diary = diary_of(tmp_path, diary=rows, pieces=PIECES + "Herd,900,30,30,14,1,2,\n")
    assert materials.design(diary, "Herd").colours == 2
    assert materials.design(diary.at("2026-10-05"), "Herd").colours == 1
