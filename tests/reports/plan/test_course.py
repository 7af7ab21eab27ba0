import pandas as pd
import pytest

from stitchlog.reports import plan
from stitchlog.reports.plan.capacity import judge, lay_out
from stitchlog.reports.plan.course import asked_on, course, days
from tests.reports.plan.diaries import steady, write


def fit_of(diary, start="2026-04-01", end="2026-04-10", as_of="2026-03-31"):
    return plan.capacity(diary, start, end, as_of, paths=100).goals


def course_of(diary, start="2026-04-01", end="2026-04-10", as_of="2026-03-31"):
    laid_out = lay_out(diary.at(as_of), start, end, paths=100)
    return course(diary.at(as_of), judge(laid_out), laid_out.days)


def make(tmp_path, events, pieces=()):
    return write(tmp_path, steady("2025-09-13", 200, 100), pieces, events)


def test_what_a_day_is_asked_for_counts_shared_stitches_once(tmp_path):
    events = [
        "Fox section,,2026-04-01,2026-04-10,300,Fox",
        "Fox too,,2026-04-01,2026-04-10,200,Fox",
        "Owl,,2026-04-01,2026-04-05,100,Owl",
        "Any,,2026-04-01,2026-04-02,40",
        "Own,,2026-04-02,2026-04-02,70,,,,no",
        "New,,2026-04-01,2026-04-10,,,,start",
    ]
    diary = make(tmp_path, events)
    fit = fit_of(diary)
    asked = [asked_on(fit, pd.Timestamp(f"2026-04-{d:02d}"))[0] for d in (1, 2, 5, 6)]
    assert asked == pytest.approx([30 + 20, 30 + 20 + 70, 30 + 20, 30])
    # What any piece may give asks for more only where the pieces that are named do not give as much.
    only = fit_of(make(tmp_path, ["Fox,,2026-04-01,2026-04-10,300,Fox", "Any,,2026-04-01,2026-04-02,140"]))
    assert asked_on(only, pd.Timestamp("2026-04-01"))[0] == pytest.approx(70)


def test_the_course_runs_from_the_first_day_through_past_and_future(tmp_path):
    diary = make(tmp_path, ["Any,,2026-03-25,2026-04-03,2000"])
    frame = course_of(diary, "2026-03-28", "2026-04-05")
    frame = frame.days
    assert len(frame) == 9
    past, coming = frame.iloc[:4], frame.iloc[4:]
    assert past["worked_so_far"].tolist() == [100, 200, 300, 400]
    assert past[["asked", "asked_so_far", "low", "usual", "high"]].isna().all(axis=None)
    assert coming["worked_so_far"].isna().all()
    # 700 of 2,000 are worked by 31 March, three days are left.
    assert coming["asked"].tolist() == pytest.approx([434] * 3 + [0, 0])
    assert coming["asked_so_far"].iloc[-1] == pytest.approx(400 + 3 * 434)
    assert (coming["low"] <= coming["usual"]).all() and (coming["usual"] <= coming["high"]).all()
    assert (coming["usual"] >= 400).all() and coming["usual"].is_monotonic_increasing
    assert frame["ends"].iloc[6] == "Any"


def test_days_that_ask_the_same_are_taken_together(tmp_path):
    diary = make(tmp_path, ["A,,2026-04-01,2026-04-04,400,Fox", "B,,2026-04-03,2026-04-08,60,Owl"])
    out = days(course_of(diary))
    assert out["days"].tolist() == ["1 Apr to 2 Apr", "3 Apr to 4 Apr", "5 Apr to 8 Apr", "9 Apr to 10 Apr"]
    assert out["asked"].tolist() == pytest.approx([100, 110, 10, 0])
    assert out["ends"].tolist() == ["", "A", "B", ""]


def test_a_period_wholly_past_has_no_spans(tmp_path):
    diary = make(tmp_path, [])
    frame = course_of(diary, "2026-03-01", "2026-03-05")
    assert days(frame).empty
    assert plan.say_course(frame) == "You worked 500 stitches from 1 to 5 March 2026."
