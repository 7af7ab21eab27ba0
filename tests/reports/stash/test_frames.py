"""The charts that wait: thread after the works in progress, readiness, hours, waiting, totals and shades."""

import math

import pandas as pd
import pytest

from stitchlog import materials, stash
from tests.reports.stash.folder import TIMED, drawer_of

CUT = "Cream,14,Aida,#fbf8ee,50,50\n"
THREADS = "code,name,hex,skeins\nA,oak,#7a5435,1\nB,sea,#2e8fb8,0.2\n"


@pytest.fixture
def drawer(tmp_path):
    """A WIP that takes colour A, three charts: one that wants little of A, one that wants B, one that says little."""
    return drawer_of(
        tmp_path,
        "Fox,2400,60,40,14,1,2,,2026-09-20\nHare,300,20,15,14,1,2,,\nOwl,900,30,30,14,1,2,,\nKite,,,,,,,,\n",
        CUT,
        diary=TIMED + "Fox,2026-09-20,1000,600,A:1000\n",
        threads=THREADS,
        chart_colours="piece,code,stitches\nFox,A,2400\nHare,A,300\nOwl,B,900\n",
        bought="date,what,name,cost\n2026-08-21,chart,HARE,4\n2026-09-01,kit,Robin,12\n,fabric,Cream,5\n",
    )


def test_the_columns_begin_as_promised(drawer):
    columns = ["piece", "stitches", "hours", "hours_low", "hours_high", "fabric", "skeins_to_buy", "ready"]
    assert list(stash.charts(drawer))[:8] == columns


def test_charts_get_what_the_works_in_progress_leave(drawer):
    rows = stash.charts(drawer).set_index("piece")
    takes = materials.thread(drawer, ["Fox", "Hare", "Owl"]).set_index("piece")["needed_skeins"]
    assert takes["Fox"] + takes["Hare"] <= 1 and takes["Owl"] > 0.2
    assert rows.loc["Hare", "skeins_to_buy"] == 0 and rows.loc["Hare", "ready"]
    assert rows.loc["Owl", "skeins_to_buy"] == math.ceil(takes["Owl"] - 0.2) and not rows.loc["Owl", "ready"]
    assert rows.loc["Hare", "fabric"] == "Cream"


def test_thread_that_the_works_in_progress_need_is_not_free(tmp_path):
    diary = drawer_of(
        tmp_path,
        "Fox,9000,100,90,14,1,2,,2026-09-20\nHare,300,20,15,14,1,2,,\n",
        CUT,
        diary=TIMED + "Fox,2026-09-20,1000,600,A:1000\n",
        threads=THREADS,
        chart_colours="piece,code,stitches\nFox,A,9000\nHare,A,300\n",
    )
    row = stash.charts(diary).iloc[0]
    assert row["piece"] == "Hare" and not row["ready"]


def test_ready_ones_come_first_and_what_is_not_known_is_named(drawer):
    rows = stash.charts(drawer)
    assert rows["piece"].tolist() == ["Hare", "Owl", "Kite"]
    assert rows["missing"].tolist() == ["", "", "width and height, total, count, colours"]
    assert pd.isna(rows.loc[2, "hours"]) and pd.isna(rows.loc[2, "skeins_to_buy"]) and rows.loc[2, "fabric"] == ""


def test_hours_are_at_the_stitchers_own_pace(drawer):
    row = stash.charts(drawer).set_index("piece").loc["Owl"]
    assert row["hours"] == pytest.approx(9, rel=0.05) and row["hours_low"] < row["hours"] < row["hours_high"]


def test_how_long_it_waited_and_what_it_cost(drawer):
    row = stash.charts(drawer).set_index("piece").loc["Hare"]
    assert row["bought"] == pd.Timestamp("2026-08-21") and row["waited_days"] == 30 and row["cost"] == 4


def test_a_kit_has_all_it_needs(tmp_path):
    diary = drawer_of(
        tmp_path, "Robin,500,30,30,14,1,2,,\n", bought="date,what,name,from,cost\n2026-09-01,kit,Robin,a shop,12\n"
    )
    row = stash.charts(diary).iloc[0]
    assert row["ready"] and row["fabric"] == "in the kit" and row["skeins_to_buy"] == 0


def test_a_begun_piece_does_not_wait(drawer):
    assert "Fox" not in stash.charts(drawer)["piece"].tolist()
    assert "Fox" in stash.charts(drawer.at("2026-09-10"))["piece"].tolist()


def test_totals_and_moves_add_up(drawer):
    found = stash.totals(drawer)
    assert (found.charts, found.cuts, found.stitches, found.unknown) == (3, 1, 1200, 1)
    assert found.a_year == 3000 and found.years == pytest.approx(0.4) and found.cost == 4
    moves = stash.moves(drawer).set_index(["month", "what"])
    assert moves.loc[(pd.Timestamp("2026-08-01"), "chart"), "came_in"] == 1
    assert moves.loc[(pd.Timestamp("2026-09-01"), "kit"), "came_in"] == 1
    assert moves.loc[(pd.Timestamp("2026-09-01"), "chart"), "went_out"] == 2
    assert moves["came_in"].sum() == 2


def test_shades_that_look_the_same_are_grouped(tmp_path):
    # L*, a*, b* of greys differ in L* alone, so the straight distance is the difference of L* (by the definition of
    # CIELAB): #777777 and #7a7a7a are about 1.2 apart, #7a7a7a and #848484 about 3.9.
    diary = drawer_of(
        tmp_path,
        "",
        "One,14,Aida,#fbf8ee,50,50\nTwo,14,linen,#fbf8ed,50,50\nThree,14,linen,#111111,50,50\n",
        threads="code,name,hex,skeins\nA,a,#777777,1\nB,b,#7a7a7a,2\nC,c,#848484,1\nD,d,#777777,0\nE,e,,1\n",
    )
    found = stash.twice(diary)
    assert found["group"].tolist() == [1, 1, 2, 2]
    assert found["name"].tolist() == ["One", "Two", "a", "b"]
    assert found.loc[2, "apart"] == pytest.approx(1.2, abs=0.1)
    assert "A a and B b look the same" in stash.say_twice(found)


def test_an_empty_drawer_is_empty(tmp_path):
    diary = drawer_of(tmp_path)
    assert stash.charts(diary).empty and stash.twice(diary).empty and stash.to_get(diary).empty
    assert stash.share_out(diary).cuts.empty and stash.totals(diary).charts == 0
