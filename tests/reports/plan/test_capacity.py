import numpy as np
import pandas as pd
import pytest

from stitchlog.reports import plan
from stitchlog.reports.plan.capacity import judge, lay_out, what_helps
from stitchlog.reports.plan.course import course
from tests.reports.plan.diaries import steady, write


@pytest.fixture
def steadily(tmp_path):
    """A diary of 100 stitches on each of 200 days up to 31 March 2026."""

    def make(**tables):
        return write(tmp_path, steady("2025-09-13", 200, 100), **tables)

    return make


def ask(diary, start="2026-04-01", end="2026-04-30", as_of="2026-03-31", **more):
    return plan.capacity(diary, start, end, as_of, **({"paths": 400} | more))


def test_what_is_easy_is_sure_and_what_is_too_much_is_not(steadily):
    fit = ask(
        steadily(
            events=[
                "Easy,,2026-04-01,2026-04-30,600",
                "Too much,,2026-04-01,2026-04-05,5000",
                "Later,,2026-05-02,2026-05-09,1",
            ]
        )
    )
    chance = fit.goals.set_index("event")["chance"]
    assert set(chance.index) == {"Too much", "Easy"}
    assert chance["Easy"] > 0.95
    assert chance["Too much"] == 0
    assert fit.chance_all == 0
    assert fit.give_up == ["Too much"]
    assert fit.chance_rest > 0.95


def test_columns_begin_as_promised(steadily):
    fit = ask(steadily(events=["Easy,Part,2026-04-01,2026-04-30,600,Otter"]))
    assert list(fit.goals.columns[:5]) == ["event", "part", "piece", "target", "chance"]
    assert fit.goals.iloc[0][["event", "part", "piece", "target"]].tolist() == ["Easy", "Part", "Otter", 600]


def test_a_due_day_is_a_commitment(steadily):
    diary = steadily(pieces=["Otter,20300,14,1,2,,,2026-04-20", "Owl,5000,14,1,2,,,2026-06-20"])
    fit = ask(diary)
    row = fit.goals.iloc[0]
    assert len(fit.goals) == 1
    assert (row["event"], row["part"], row["piece"], row["owed"]) == ("due", "", "Otter", 300)
    assert row["chance"] > 0.95


def test_chances_are_joint_and_bounded_and_the_same_seed_gives_the_same(tmp_path):
    rng = np.random.default_rng(3)
    days = pd.date_range("2025-09-13", periods=200)
    sessions = [f"Otter,{d.date()},{rng.integers(20, 200)}" for d in days if rng.random() < 0.6]
    events = ["A,,2026-04-01,2026-04-10,450,Fox", "B,,2026-04-01,2026-04-14,500,Owl", "C,,2026-04-05,2026-04-20,700"]
    diary = write(tmp_path, sessions, events=events)
    fit = ask(diary)
    assert fit.chance_all <= fit.goals["chance"].min()
    assert (fit.goals["chance"] <= fit.goals["alone"]).all()
    assert fit.chance_all >= 1 - (1 - fit.goals["chance"]).sum() - 1e-9
    again = ask(diary)
    pd.testing.assert_frame_equal(fit.goals, again.goals)
    assert (fit.chance_all, fit.give_up) == (again.chance_all, again.give_up)
    assert fit.goals["chance"].tolist() != ask(diary, seed=1).goals["chance"].tolist()


def test_the_same_stitches_are_not_spent_twice_unless_shared(steadily):
    # 30 days bring 3,000: enough for each of two pieces, not for both.
    events = ["A,,2026-04-01,2026-04-30,1700,Fox", "B,,2026-04-01,2026-04-30,1700,Owl"]
    fit = ask(steadily(events=events))
    assert fit.goals["alone"].min() > 0.9
    assert fit.chance_all < 0.01
    assert len(fit.give_up) == 1
    both = ask(steadily(events=[row.replace("Owl", "Fox") for row in events]))
    assert both.chance_all > 0.9


def test_commitments_before_the_period_are_served_too(steadily):
    hungry = "Now,,2026-04-01,2026-04-30,2950,Owl"
    late = "Then,,2026-04-25,2026-05-05,800,Fox"
    alone = ask(steadily(events=[late]), start="2026-05-01", end="2026-05-31")
    beside = ask(steadily(events=[hungry, late]), start="2026-05-01", end="2026-05-31")
    assert alone.goals["chance"].iloc[0] > 0.7
    assert list(beside.goals["event"]) == ["Then"]
    assert beside.goals["chance"].iloc[0] < 0.2
    assert "Now" not in beside.give_up


def test_sections_carry_over_into_the_chance(steadily):
    events = ["Along,1,2026-03-01,2026-03-31,1000,Fox", "Along,2,2026-04-01,2026-04-10,100,Fox"]
    assert ask(steadily(events=events)).goals["chance"].iloc[0] < 0.05
    assert ask(steadily(events=events[1:])).goals["chance"].iloc[0] > 0.95


def test_a_period_wholly_past_says_what_came(steadily):
    events = ["Met,,2026-03-01,2026-03-10,1000", "Short,,2026-03-11,2026-03-12,300"]
    fit = ask(steadily(events=events), start="2026-03-01", end="2026-03-20")
    assert fit.goals["chance"].tolist() == [1, 0]
    assert plan.say_fit(fit) == "The time from 1 to 20 March 2026 is over: you met one of 2 goals; not met: Short."


def test_nothing_promised(steadily):
    fit = ask(steadily())
    assert fit.goals.empty and fit.chance_all == 1 and fit.give_up == []
    assert plan.say_fit(fit) == "You have no goals for April 2026: no event and no due day falls in it."


def test_what_cannot_be_told_is_not_guessed(steadily):
    events = [
        "Guess,,2026-04-01,2026-04-30,,Otter,,finish",
        "Open,,2026-04-01,2026-04-30",
        "Sure,,2026-04-01,2026-04-30,5",
    ]
    fit = ask(steadily(events=[*events, "Thread,,2026-04-01,2026-04-30,,Otter,,length"]))
    assert fit.goals["chance"].isna().tolist() == [True, True, False, True]
    assert fit.chance_all > 0.95
    said = plan.say_fit(ask(steadily(events=events)))
    assert "Open has no target" in said and "the total of Otter is in pieces.csv" in said


def test_a_finished_piece_asks_nothing_more(steadily):
    diary = steadily(
        pieces=["Otter,5000,14,1,2,,2026-03-20,2026-04-20"], events=["Along,2,2026-04-01,2026-04-10,900,Otter"]
    )
    fit = ask(diary)
    assert fit.goals["chance"].tolist() == [1, 1]
    assert fit.goals["status"].tolist() == ["piece finished", "piece finished"]


def test_more_than_a_good_day_is_called_out(steadily):
    diary = steadily(events=["Hard,,2026-04-01,2026-04-04,480", "Soft,,2026-04-01,2026-04-30,300"])
    fit = ask(diary)
    assert fit.good_day == 100
    assert fit.goals.set_index("event")["above_good_day"].to_dict() == {"Hard": True, "Soft": False}
    said = plan.say_cautions(ask(diary), course(diary, ask(diary), np.zeros((1, 30))))
    assert "Hard (120) alone needs more a day" in said
    assert "doctor or physiotherapist" in said and "breaks" in said
    easy = steadily(events=["Soft,,2026-04-01,2026-04-30,300"])
    assert plan.say_cautions(ask(easy), course(easy, ask(easy), np.zeros((1, 30)))) == ""


def test_halves_that_count_more_make_it_easier(tmp_path):
    rows = [f"{row},100" for row in steady("2025-09-13", 200, 50)]  # 50 full and 100 half: 100 a day, or 150
    events = ["Half,,2026-04-01,2026-04-10,1300,,{}"]
    assert ask(write(tmp_path, rows, events=[events[0].format("")])).goals["chance"].iloc[0] == 0
    assert ask(write(tmp_path, rows, events=[events[0].format("1")])).goals["chance"].iloc[0] > 0.8


def test_starts_need_days(steadily):
    events = ["New,1,2026-04-01,2026-04-07,,,,start", "New,2,2026-04-08,2026-04-09,4,,,start"]
    fit = ask(steadily(events=events))
    assert fit.goals["chance"].iloc[0] > 0.95
    assert fit.goals["chance"].iloc[1] == 0
    assert fit.goals["unit"].tolist() == ["pieces", "pieces"]


def test_more_time_never_hurts(tmp_path):
    days = [row + ",,60" for row in steady("2025-09-13", 200, 100)]
    diary = write(tmp_path, days, events=["Hard,,2026-04-01,2026-04-10,1100", "Far,,2026-04-01,2026-04-10,1300,Owl"])
    helps = what_helps(lay_out(diary.at("2026-03-31"), "2026-04-01", "2026-04-30", paths=300))
    more = helps[helps["without"] == ""]
    assert more["minutes"].tolist() == [0, 15, 30, 60]
    assert more["stitches"].tolist() == pytest.approx([0, 25, 50, 100])
    assert more["chance"].is_monotonic_increasing and more["chance"].iloc[-1] > 0.9
    untimed = write(tmp_path, steady("2026-01-01", 9, 5), events=["Hard,,2026-04-01,2026-04-10,1100"])
    assert what_helps(lay_out(untimed, "2026-04-01", "2026-04-30"))["minutes"].tolist() == [0]


def test_goals_of_one_name_are_told_apart(steadily):
    """Two events of one name, one hopeless and one safe: the hopeless one is named, and no other."""
    rows = ["Club,,2026-04-01,2026-04-10,9000", "Club,,2026-04-11,2026-04-30,300"]
    fit = ask(steadily(events=rows))
    assert fit.goals["label"].is_unique
    assert fit.give_up == ["Club, to 10 Apr 2026"]
    assert "drop Club, to 10 Apr 2026." in plan.say_dropping(fit)
    same = ask(steadily(events=[rows[0], rows[0]]))
    assert same.goals["label"].tolist() == ["Club, to 10 Apr 2026 (1)", "Club, to 10 Apr 2026 (2)"]


def test_the_dearest_is_the_one_without_which_the_rest_has_the_best_chance(steadily):
    # 30 days bring about 3,000, which is enough for one of the two that are dear, and for all that is small.
    events = ["Dear,1,2026-04-01,2026-04-15,1200,Owl", "Dear,2,2026-04-16,2026-04-30,1200,Owl"]
    events += ["Small,,2026-04-01,2026-04-30,300,Hare", "Other,,2026-04-01,2026-04-30,700,Fox"]
    plan_ahead = lay_out(steadily(events=events).at("2026-03-31"), "2026-04-01", "2026-04-30", paths=300)
    helps = what_helps(plan_ahead).set_index("without")["chance"]
    assert helps.index.tolist()[:2] == ["", "Dear"] and set(helps.index) == {"", "Dear", "Small", "Other"}
    assert helps[""] < 0.05 < 0.9 < helps["Dear"]
    rest = ask(steadily(events=events[2:]), paths=300)
    assert helps["Dear"] == rest.chance_all
    assert helps[""] == judge(plan_ahead).chance_all


def test_what_is_over_and_missed_is_said_and_does_not_sink_the_rest(steadily):
    events = ["Ladder,1,2026-03-20,2026-03-25,5000", "Ladder,2,2026-03-26,2026-04-05,900"]
    fit = ask(steadily(events=events), "2026-03-20", "2026-04-10")
    assert fit.goals["chance"].iloc[0] == 0 and fit.chance_all == fit.goals["chance"].iloc[1] > 0.8
    said = plan.say_fit(fit)
    assert "meeting the one goal" in said and said.endswith("Over and not met: Ladder: 1.")


def test_an_empty_diary_and_one_that_begins_later(tmp_path):
    diary = write(tmp_path, [], events=["A,,2026-04-01,2026-04-30,10"])
    fit = ask(diary)
    assert fit.goals["chance"].tolist() == [0]
    assert np.isnan(fit.good_day)
    assert not lay_out(diary.at("2026-03-31"), "2026-04-01", "2026-04-30", paths=5).days.any()
    late = write(tmp_path, steady("2026-06-01", 30, 50), events=["A,,2026-04-01,2026-04-30,10"])
    assert ask(late).goals["chance"].tolist() == [0]


def test_a_good_day_is_one_that_nine_days_in_ten_do_not_pass(tmp_path):
    days = pd.date_range("2026-01-01", periods=11)
    diary = write(tmp_path, [f"Otter,{d.date()},{10 * i}" for i, d in enumerate(days)])
    # The day of 0 stitches is no stitching day: the 90th percentile of 10, 20, ..., 100.
    good = [ask(diary, as_of=day).good_day for day in ("2026-01-11", "2026-01-03", "2025-12-31")]
    assert good[:2] == pytest.approx([91, 19])
    assert np.isnan(good[2])


def test_only_the_last_year_makes_a_good_day(tmp_path):
    diary = write(tmp_path, steady("2024-01-01", 60, 500) + steady("2025-12-01", 20, 50))
    assert ask(diary, as_of="2025-12-20").good_day == 50
    assert ask(diary, as_of="2024-06-01").good_day == 500
