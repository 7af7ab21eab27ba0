import pytest

from stitchlog import open_diary
from stitchlog.reports import review


def test_starts_and_finishes_are_told_with_a_session_or_without(diary):
    found = review.changes(diary, "2025-12-01", "2026-01-31")
    told = [(str(d.date()), p, c) for d, p, c in zip(found["date"], found["piece"], found["change"], strict=True)]
    assert told == [("2025-12-28", "Small Drum", "started"), ("2026-01-09", "Small Drum", "finished")]


def test_a_finish_is_told_once(diary):
    """Small Drum has its last stitch and its written finish on 9 January."""
    before = review.changes(diary, "2026-01-01", "2026-01-09")
    after = review.changes(diary, "2026-01-10", "2026-12-31")
    assert before["change"].tolist() == ["finished"]
    assert after.empty


def test_a_count_that_reaches_the_total_is_a_finish(tmp_path):
    (tmp_path / "pieces.csv").write_text("piece,total\nMoss,100\n", "utf-8")
    rows = "Moss,2026-10-01,60\nMoss,2026-10-20,40\nMoss,2026-11-02,0\n"
    (tmp_path / "diary.csv").write_text(f"piece,date,stitches\n{rows}", "utf-8")
    diary = open_diary(tmp_path)
    october = review.pieces(diary, "2026-10-01", "2026-10-31").iloc[0]
    november = review.pieces(diary, "2026-11-01", "2026-11-30").iloc[0]
    assert str(october["finished"].date()) == "2026-10-20"
    assert november["finished"] is not october["finished"]
    assert november.isna()["finished"]


def test_the_flow_adds_up_month_by_month(diary):
    flow = review.flow(diary, "2026-01-01", "2026-01-31")
    assert [str(m.date())[:7] for m in flow["month"]] == ["2025-10", "2025-11", "2025-12", "2026-01"]
    for row in flow.to_dict("records"):
        month = review.period(row["month"])
        end = review.period(row["month"], None, month.end).end
        changed = review.changes(diary, row["month"], end)["change"].value_counts()
        assert row["starts"] == changed.get("started", 0)
        assert row["finishes"] == changed.get("finished", 0)
        assert row["on_the_go"] == (diary.standing(end)["status"] == "on the go").sum()


def test_planned_pieces_that_were_not_touched(diary):
    found = review.untouched(diary, "2026-01-01", "2026-01-09").set_index("piece")
    assert "part of Boat week" in found.loc["Paper Boat", "planned"]
    assert "Night Bus" not in found.index  # set aside before the period
    assert set(review.pieces(diary, "2026-01-01", "2026-01-09")["piece"]).isdisjoint(found.index)
    days = ("2026-01-01", "2026-01-09")
    said = review.say_untouched(review.untouched(diary, *days), review.pieces(diary, *days))
    assert said.startswith("Planned, but you didn't get to: Paper Boat.")


def test_a_wanted_day_in_the_period_makes_a_plan(diary):
    found = review.untouched(diary, "2026-01-11", "2026-01-31").set_index("piece")
    assert "due on 20 January" in found.loc["Paper Boat", "planned"]


@pytest.mark.parametrize(
    ("end", "words"),
    [("2026-01-09", "one start and one finish, and 3 works"), ("2025-12-28", "one start and no finishes, and 4 works")],
)
def test_what_is_said_of_starts_and_finishes(diary, end, words):
    span = review.period("2025-12-25", end)
    said = review.say_flow(review.flow(diary, span.start, span.end), review.changes(diary, span.start, span.end), span)
    assert words in said
