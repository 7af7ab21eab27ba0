"""What a piece that is not begun would take."""

import numpy as np
import pandas as pd
import pytest

from stitchlog import StitchlogError, open_diary
from stitchlog.reports import pace
from tests.reports.pace.simulated import Effects, World, diary_of, simulate, simulate_effects


def test_hours_are_stitches_over_pace_and_the_window_turns_round():
    diary, _ = simulate(World(), np.random.default_rng(1))
    row = pace.if_begun(diary, 9000).iloc[0]
    assert row["hours"] == pytest.approx(9000 / row["per_hour"])
    assert row["hours_low"] == pytest.approx(9000 / row["per_hour_high"])
    assert row["hours_high"] == pytest.approx(9000 / row["per_hour_low"])
    assert row["months_low"] < row["months"] < row["months_high"]
    twice = pace.if_begun(diary, 18000).iloc[0]
    assert twice["hours"] == pytest.approx(2 * row["hours"])
    assert twice["months"] == pytest.approx(2 * row["months"])


def test_nine_windows_in_ten_hold_the_next_piece():
    rng = np.random.default_rng(6)
    held = []
    for _ in range(120):
        world = World(counts=(5,) * 9)
        diary, _ = simulate(world, rng)
        hours = 5000 / (world.overall * np.exp(rng.normal(0, world.between)))
        row = pace.if_begun(diary, 5000).iloc[0]
        held.append(row["hours_low"] <= hours <= row["hours_high"])
    assert 0.83 < np.mean(held) < 0.97


def test_months_follow_from_the_time_that_pieces_get():
    """One piece, an hour at 100 stitches every day of 100 days: 3,000 stitches are 30 days."""
    rows = pd.DataFrame(
        {"piece": "Moss", "date": pd.date_range("2026-01-01", periods=100), "stitches": 100, "minutes": 60}
    )
    row = pace.if_begun(diary_of(rows), 3000).iloc[0]
    assert row["hours"] == pytest.approx(30)
    assert row["months"] == pytest.approx(30 / 30.4375, rel=1e-6)
    assert row["months_alone"] == pytest.approx(30 / 30.4375, rel=1e-6)


def test_cloth_and_colours_move_the_estimate():
    true = Effects(count=-0.03, over=0.35, colours=-0.05)
    diary = simulate_effects(true, np.random.default_rng(8), pieces=24, sessions=900)
    fine = pace.if_begun(diary, 5000, count=36, over=1).iloc[0]
    coarse = pace.if_begun(diary, 5000, count=14, over=1).iloc[0]
    assert fine["hours"] / coarse["hours"] == pytest.approx(np.exp(0.03 * 22), rel=0.15)
    assert (
        pace.if_begun(diary, 5000, colours=30).iloc[0]["hours"] > pace.if_begun(diary, 5000, colours=1).iloc[0]["hours"]
    )


def test_without_a_pace_it_says_so():
    rows = pd.DataFrame({"piece": ["Moss"], "date": ["2026-01-01"], "stitches": [50]})
    frame = pace.if_begun(diary_of(rows), 1000, 14)
    assert np.isnan(frame.loc[0, "hours"])
    assert "no session in this diary is timed" in pace.say_if_begun(frame)


@pytest.mark.parametrize("stitches", [0, -5, float("nan")])
def test_no_stitches_is_an_error_in_one_line(stitches):
    with pytest.raises(StitchlogError, match="needs more than 0"):
        pace.if_begun(diary_of(pd.DataFrame({"piece": ["A"], "date": ["2026-01-01"], "stitches": [1]})), stitches)


def test_pieces_not_begun_are_those_of_the_diary(tmp_path):
    (tmp_path / "diary.csv").write_text("piece,date,stitches,minutes\nMoss,2026-01-01,100,60\n", "utf-8")
    (tmp_path / "pieces.csv").write_text(
        "piece,total,count,over,started\nMoss,500,14,1,\nBig,9000,28,2,\nSmall,300,14,1,\nBegun,800,14,1,2025-12-01\n"
        "No total,,14,1,\n",
        "utf-8",
    )
    found = pace.not_begun(open_diary(tmp_path))
    assert found["piece"].tolist() == ["Small", "Big"]
    assert found["hours"].tolist() == pytest.approx([3, 90])
    assert "most likely about 3 hours" in pace.say_if_begun(found)


@pytest.mark.parametrize(
    ("stitches", "year"), [(3000, "To be done within a year it needs 30 minutes a week."), (90000, "")]
)
def test_the_sentence_says_what_a_year_would_want_where_a_year_is_enough(stitches, year):
    """One piece, an hour at 100 stitches every day of 100 days: 900 hours are more than a year's 365."""
    rows = pd.DataFrame(
        {"piece": "Moss", "date": pd.date_range("2026-01-01", periods=100), "stitches": 100, "minutes": 60}
    )
    said = pace.say_if_begun(pace.if_begun(diary_of(rows), stitches))
    assert "With all of your time, 7 hours a week, it is about " in said
    assert ("within a year" in said) == bool(year) and year in said
