"""Whether colours show on their fabric, and which are easy to mix up."""

import math

import pytest

from stitchlog.reports import materials
from tests.reports.materials.folder import PIECES, diary_of

CHART = "piece,code,stitches\n" + "".join(f"Moth,{c},100\n" for c in ("K", "N", "S", "Y", "Z"))
THREADS = (
    "code,name,hex,skeins\nK,soot,#15161a,1\nN,ink,#202438,1\nS,salt,#ffffff,1\nY,butter,#f7e8b0,1\nZ,cream,#f9e9b4,1\n"
)


@pytest.fixture
def moth(tmp_path):
    return diary_of(tmp_path, pieces=PIECES + "Moth,500,,,18,1,1,#22263A\n", threads=THREADS, chart_colours=CHART)


def test_the_worst_comes_first_and_says_so(moth):
    frame = materials.visibility(moth, "Moth")
    assert list(frame)[:5] == ["code", "hex", "fabric_hex", "delta_e", "contrast"]
    assert frame["code"].tolist()[0] == "N" and frame["says"].tolist()[0] == "will hardly show"
    assert frame["delta_e"].is_monotonic_increasing
    assert set(frame["fabric_hex"].str.lower()) == {"#22263a"}
    assert "N ink will hardly show" in materials.say_visibility(frame)


def test_a_colour_as_light_as_its_fabric_shows_by_its_hue_alone(tmp_path):
    diary = diary_of(
        tmp_path,
        pieces=PIECES + "Moth,500,,,18,1,1,#b07070\n",
        threads="code,name,hex\nG,moss,#5c8f4a\n",
        chart_colours="piece,code,stitches\nMoth,G,500\n",
    )
    row = materials.visibility(diary, "Moth").iloc[0]
    assert row["contrast"] < 1.3 and row["says"].endswith("by its hue alone")


def test_near_pairs_are_found(moth):
    frame = materials.similar(moth, ["Moth"], limit=2)
    assert frame.loc[0, ["code", "other_code"]].tolist() == ["Y", "Z"]
    assert frame["delta_e"].is_monotonic_increasing and len(frame) == 2
    assert "Y butter and Z cream" in materials.say_similar(frame)


def test_a_pair_that_meets_in_two_pieces_is_listed_once(tmp_path):
    pieces = PIECES + "Moth,500,,,18,1,1,#22263A\nFox,500,,,18,1,1,#ffffff\n"
    diary = diary_of(tmp_path, pieces=pieces, threads=THREADS, chart_colours=CHART + CHART[20:].replace("Moth", "Fox"))
    frame = materials.similar(diary, ["Moth", "Fox"])
    assert not frame.duplicated(["code", "other_code"]).any()
    assert frame.loc[0, "piece"] == "Moth; Fox"


def test_missing_colours_are_said_and_come_last(tmp_path):
    diary = diary_of(
        tmp_path,
        diary="piece,date,stitches,colours\nMoth,2026-10-01,50,Q:20; S:30\n",
        pieces=PIECES + "Moth,500,,,18,1,1,#22263A\nBare,100,,,14,1,2,\n",
        threads=THREADS,
        chart_colours="piece,code,stitches\nBare,S,100\n",
    )
    frame = materials.visibility(diary, "Moth")
    assert frame["code"].tolist() == ["S", "Q"] and math.isnan(frame["delta_e"].tolist()[1])
    assert "1 colour could not be judged" in materials.say_visibility(frame)
    bare = materials.visibility(diary, "Bare")
    assert "no fabric has a colour" in materials.say_visibility(bare)
    assert materials.say_visibility(materials.visibility(diary, [])).startswith("No colours")


def test_charts_say_what_they_show_and_hold_their_marks(moth):
    frame = materials.visibility(moth, "Moth")
    spec = materials.charts.swatches(frame).to_dict()
    assert "N ink will hardly show" in spec["description"]
    assert spec["layer"][1]["mark"]["shape"].startswith("M-1,-1L1,1")
    needed = materials.needed(moth, ["Moth"])
    drawn = materials.charts.provision(needed).to_dict()
    assert [layer["mark"]["type"] for layer in drawn["layer"]] == ["bar", "rule", "tick"]
    sizes = materials.charts.sizes(materials.size_table(moth, materials.design(moth, "Moth"))).to_dict()
    assert sizes["description"].startswith("Sizes by fabric. From")


def test_there_are_no_charts_of_nothing(tmp_path):
    diary = diary_of(tmp_path)
    assert materials.charts.provision(materials.needed(diary)) is None
    assert materials.charts.swatches(materials.visibility(diary, [])) is None
    assert materials.charts.sizes(materials.size_table(diary, materials.design(diary))) is None
