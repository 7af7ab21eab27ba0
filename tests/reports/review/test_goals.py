"""What came of each goal, by hand."""

import pandas as pd
import pytest

from stitchlog import StitchlogError, open_diary, review
from stitchlog.model import goals as model

PIECES = """piece,total,started,finished,due
Fox,1000,,,2026-10-20
Owl,500,,,
Hare,200,2026-10-05,,
Done,100,,,
"""
DIARY = """piece,date,stitches
Fox,2026-09-10,100
Fox,2026-10-02,150
Owl,2026-10-04,90
Hare,2026-10-05,20
Done,2026-10-06,100
Fox,2026-11-03,200
"""
GOALS = """month,goal,piece,kind,amount,outcome
2026-10,Fox a bit,Fox,stitches,150,
2026-10,Everything,,stitches,400,
2026-10,Three times the owl,Owl,sessions,3,
2026-10,Owl to 18,Owl,percent,18,
2026-10,Begin the hare,Hare,start,,
2026-10,Two finishes,,finish,2,
2026-10,Finish the owl,Owl,finish,,
2026-10,Nothing of Moth,Moth,stitches,10,
2026-10,Moth dropped,Moth,finish,,dropped
2026-10,Tidy,,,,partly
2026-10,Forgotten,,,,
"""
EVENTS = """event,part,starts,ends,target,piece
Sal,One,2026-10-01,2026-10-31,120,Done
Ladder,1,2026-10-01,2026-10-10,50,
Ladder,2,2026-10-11,2026-10-20,50,
"""


@pytest.fixture
def diary(tmp_path):
    for name, text in (("pieces", PIECES), ("diary", DIARY), ("goals", GOALS), ("events", EVENTS)):
        (tmp_path / f"{name}.csv").write_text(text, "utf-8")
    return open_diary(tmp_path)


def test_each_goal_is_counted_and_judged(diary):
    found = review.goals(diary, "2026-10").set_index("goal")
    expected = {
        "Fox a bit": (150, "met"),
        "Everything": (360, "partly"),
        "Three times the owl": (1, "partly"),
        "Owl to 18": (18, "met"),
        "Begin the hare": (1, "met"),
        "Two finishes": (1, "partly"),
        "Finish the owl": (0, "partly"),
        "Nothing of Moth": (0, "not"),
        "Moth dropped": (0, "dropped"),
        "Sal": (120, "met"),  # its piece is finished, so that nothing is owed
        "Ladder": (1, "partly"),
    }
    assert {
        g: (r, o) for g, r, o in zip(found.index, found["reached"], found["outcome"], strict=True) if g in expected
    } == (expected)
    assert found.loc["Tidy", "outcome"] == "partly" and pd.isna(found.loc["Tidy", "reached"])
    assert found.loc["Forgotten", "outcome"] == "open"
    # The fox has goals of its own: its due day is not told a second time.
    assert "Fox" not in found.index


def test_a_month_that_is_running_leaves_goals_open(diary):
    found = review.goals(diary.at("2026-10-04"), "2026-10").set_index("goal")["outcome"]
    assert found[["Fox a bit", "Everything", "Finish the owl", "Moth dropped"]].tolist() == [
        "met",
        "open",
        "open",
        "dropped",
    ]


def test_a_later_day_changes_nothing_of_a_month_that_is_over(diary):
    pd.testing.assert_frame_equal(review.goals(diary, "2026-10"), review.goals(diary.at("2026-10-31"), "2026-10"))


def test_chances_grow_with_what_is_asked_less(diary):
    then = diary.at("2026-10-31")
    asked = [model.chance(then, "stitches", "Fox", amount, "2026-11-01", "2026-11-30") for amount in (1, 100, 5000)]
    assert 1 >= asked[0] >= asked[1] >= asked[2] >= 0
    assert asked[0] > asked[2]
    offered = model.offers(then)
    assert offered["chance"].between(1 / 3, 1).all()
    assert not offered.duplicated(["piece", "kind", "amount"]).any()


@pytest.mark.parametrize("month", ["next", "2026-13", None])
def test_what_is_no_month_is_refused(diary, month):
    with pytest.raises(StitchlogError, match="write it as in 2026-10"):
        review.goals(diary, month)
