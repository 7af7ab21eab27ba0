import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stitchlog import open_diary
from stitchlog.reports import review
from stitchlog.reports.review.days import longest


def _diary(folder, days: list[str], week_start: str = "monday"):
    rows = "".join(f"Moss,{day},10\n" for day in days)
    (folder / "diary.csv").write_text(f"piece,date,stitches\n{rows}", "utf-8")
    (folder / "stitchlog.toml").write_text(f'week_start = "{week_start}"\n', "utf-8")
    return open_diary(folder)


def test_runs_and_rests(tmp_path):
    diary = _diary(tmp_path, ["2026-10-02", "2026-10-03", "2026-10-04", "2026-10-09", "2026-10-10"])
    assert review.say_streaks(review.calendar(diary, "2026-10-01", "2026-10-12")) == (
        "Longest streak: 3 days, 2 to 4 October 2026. Longest break: 4 days, 5 to 8 October 2026."
    )
    assert review.say_streaks(review.calendar(diary, "2026-10-01", "2026-10-02")) == ""
    assert review.say_streaks(review.calendar(diary, "2026-10-04", "2026-10-05")) == (
        "No two stitching days followed each other. You never missed two days running."
    )


@given(st.lists(st.booleans(), min_size=1, max_size=60))
def test_runs_agree_with_an_obvious_loop(pattern):
    days = pd.Series(pattern, index=pd.date_range("2026-01-01", periods=len(pattern)))
    best = run = 0
    for yes in pattern:
        run = run + 1 if yes else 0
        best = max(best, run)
    found = longest(days)
    assert len(found) == best
    if best:
        assert days[found].all()
        assert (found[-1] - found[0]).days + 1 == best


@pytest.mark.parametrize(("week_start", "weekday", "week"), [("monday", 6, "2026-09-28"), ("sunday", 0, "2026-10-04")])
def test_weeks_begin_where_the_settings_say(tmp_path, week_start, weekday, week):
    row = review.calendar(_diary(tmp_path, ["2026-10-04"], week_start), "2026-10-04", "2026-10-04").iloc[0]
    assert (row["weekday"], str(row["week"].date())) == (weekday, week)


def test_the_best_day_is_one_day(tmp_path):
    days = review.calendar(_diary(tmp_path, ["2026-10-02", "2026-10-04"]), "2026-10-01", "2026-10-05")
    assert days.loc[days["best"], "day"].tolist() == [2]


def test_the_period_before_is_drawn_only_where_the_diary_has_it(tmp_path):
    diary = _diary(tmp_path, ["2026-10-02"])
    october = review.running(diary, "2026-10-01", "2026-10-31")
    november = review.running(diary, "2026-11-01", "2026-11-30")
    assert set(october["which"]) == {"this"}
    assert set(november["which"]) == {"this", "before"}
    assert november.groupby("which")["total"].last().to_dict() == {"this": 0.0, "before": 10.0}


def test_what_is_said_of_a_period_with_sessions(diary):
    said = review.say_compared(review.compared(diary, "2025-12-20", "2026-01-10"))
    assert said.startswith("From 20 December 2025 to 10 January 2026: ")
    assert "9 sessions on 8 of 22 days" in said
    assert "1 session are estimated from minutes" in said
    assert "does not reach back to 20 December 2024 to 10 January 2025" in said


def test_a_whole_year_is_held_against_the_one_before_once(diary):
    said = review.say_compared(review.compared(diary, "2026-01-01", "2026-12-31"))
    assert said.count("2025 came to") == 1


def test_an_empty_period_reads_well(diary):
    days = ("2026-02-01", "2026-02-28")
    assert review.say_compared(review.compared(diary, *days)).startswith(
        "No session is written down for February 2026."
    )
    assert review.say_calendar(review.calendar(diary, *days)) == "No day of this period has a session."
    assert review.say_running(review.running(diary, *days)).startswith("February 2026 came to 0 stitches")
    assert review.say_streaks(review.calendar(diary, *days)) == ""


def test_a_diary_without_a_session_reads_well(empty):
    recap = review.recap(empty, None, None)
    assert review.say_compared(recap.compared).startswith("The diary has no session yet.")
    assert recap.story.empty and recap.calendar.empty and recap.flow.empty


def test_days_before_the_diary_and_days_to_come_are_no_break(tmp_path):
    diary = _diary(tmp_path, ["2026-10-10", "2026-10-11", "2026-10-14"]).at("2026-10-15")
    said = review.say_streaks(review.calendar(diary, "2026-10-01", "2026-10-31"))
    assert said == "Longest streak: 2 days, 10 to 11 October 2026. Longest break: 2 days, 12 to 13 October 2026."


def test_a_month_to_come_is_said_to_be_one(tmp_path):
    recap = review.recap(_diary(tmp_path, ["2026-10-10"]).at("2026-10-15"), "2026-12-01", "2026-12-31")
    assert review.say_compared(recap.compared) == "December 2026 has not begun yet."
    assert recap.untouched.empty and recap.running.empty
    assert [review.say_calendar(recap.calendar), review.say_streaks(recap.calendar)] == ["", ""]
    assert review.say_flow(recap.flow, recap.changes, recap.period) == ""
    assert "hasn't begun yet" in review.write_notes(recap)
