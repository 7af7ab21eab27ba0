"""Which cut can hold which chart: by hand, in inches and centimetres."""

import pytest

from stitchlog import stash
from stitchlog.errors import StitchlogError
from tests.reports.stash.folder import drawer_of


def test_a_chart_fits_where_its_design_and_margins_do(tmp_path):
    # 140 x 70 stitches on 14 count are 10 x 5 inches; with 3 inches on each side 16 x 11, in cm 40.64 x 27.94.
    fabrics = "Just,14,Aida,#ffffff,40.7,28\nShort,14,Aida,#ffffff,40.5,28\nTurned,14,Aida,#ffffff,28,41\n"
    found = stash.fits(drawer_of(tmp_path, "Hare,5000,140,70,14,1,2,,\n", fabrics), "hare")
    assert list(found) == ["fabric", "count", "over", "width_cm", "height_cm", "turned", "spare_cm", "hidden"]
    assert found["fabric"].tolist() == ["Just", "Turned"] and found["turned"].tolist() == [False, True]
    assert found["width_cm"].tolist() == pytest.approx([25.4, 25.4])
    assert found["height_cm"].tolist() == pytest.approx([12.7, 12.7])
    assert found["spare_cm"].tolist() == pytest.approx([0.06, 0.06], abs=0.001)


def test_evenweave_is_worked_over_one_or_two_and_aida_over_one(tmp_path):
    fabrics = "Linen,28,linen,,90,90\nAida,14,14 ct AIDA,,90,90\nOdd,25,evenweave,,90,90\n"
    found = stash.fits(drawer_of(tmp_path, "Hare,5000,100,50,14,1,2,,\n", fabrics), "Hare")
    ways = found[["fabric", "count", "over"]].to_numpy().tolist()
    # The planned 14 to the inch first, on the planned fabric before another; 25 over two keeps its half stitch.
    assert ways == [["Aida", 14, 1], ["Linen", 28, 2], ["Odd", 25, 2], ["Odd", 25, 1], ["Linen", 28, 1]]
    assert found["width_cm"].tolist()[2] == pytest.approx(100 / 12.5 * 2.54)


def test_the_margin_is_the_one_that_is_asked_for(tmp_path):
    diary = drawer_of(tmp_path, "Hare,5000,140,70,14,1,2,,\n", "Small,14,Aida,,31,18\n")
    assert stash.fits(diary, "Hare").empty
    assert stash.fits(diary, "Hare", margin_in=1)["spare_cm"].tolist() == pytest.approx([18 - 12.7 - 5.08])
    with pytest.raises(StitchlogError, match="margin"):
        stash.fits(diary, "Hare", margin_in=-1)


def test_colours_that_hardly_show_are_named(tmp_path):
    diary = drawer_of(
        tmp_path,
        "Hare,5000,100,50,14,1,2,,\n",
        "Cream,14,Aida,#fbf8ee,50,50\nNight,14,Aida,#22263a,50,50\n",
        threads="code,name,hex,skeins\nW,white,#fbfaf5,1\nN,night,#202438,1\nR,red,#b02020,1\n",
        chart_colours="piece,code,stitches\nHare,W,100\nHare,N,100\nHare,R,100\n",
    )
    hidden = stash.fits(diary, "Hare").set_index("fabric")["hidden"]
    assert hidden.to_dict() == {"Cream": "W", "Night": "N"}


def test_without_sides_or_cuts_there_is_nothing(tmp_path):
    diary = drawer_of(tmp_path, "Hare,5000,,,14,1,2,,\n", "Cream,14,Aida,,50,50\nBare,,linen,,,\n")
    assert stash.fits(diary, "Hare").empty
    assert stash.charts(diary).loc[0, "missing"] == "width and height, colours"
    assert stash.fits(drawer_of(tmp_path / "none", "Hare,5000,9,9,14,1,2,,\n"), "Hare").empty


def test_where_no_cut_does_it_says_what_would(tmp_path):
    # 16 x 11 inches are wanted. The cut of 36 x 26 cm leaves 20.76 x 10.76 cm inside its margins: 140 stitches in
    # 20.76 cm are 17.1 to the inch, so 18 count would do.
    diary = drawer_of(tmp_path, "Hare,5000,140,70,14,1,2,,\n", "Cream,14,Aida,,36,26\nScrap,14,Aida,,10,10\n")
    row = stash.to_get(diary).iloc[0]
    assert (row["count"], row["over"]) == (14, 1)
    assert (row["cut_width_cm"], row["cut_height_cm"]) == pytest.approx((40.64, 27.94))
    assert (row["would_fit_on"], row["at_count"], row["at_over"]) == ("Cream", 18, 1)
