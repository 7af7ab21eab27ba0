import numpy as np
import pandas as pd
import pytest

from stitchlog import StitchlogError
from stitchlog.reports import rotation
from stitchlog.reports.plan import stages
from tests.reports.plan.diaries import write


def test_a_target_in_progress(tmp_path):
    diary = write(
        tmp_path,
        diary=["Otter,2026-03-01,100", "Fox,2026-03-03,20", "Otter,2026-02-28,500", "Otter,2026-03-05,900"],
        events=["Spring,Part 1,2026-03-01,2026-03-10,300"],
    )
    row = stages(diary, "Spring", "2026-03-04").iloc[0]
    assert (row["worked"], row["owed"], row["days_left"]) == (120, 180, 6)
    assert row["per_day_needed"] == pytest.approx(180 / 6)
    assert row["status"] == "now"


def test_columns_begin_as_promised_and_an_event_is_found_whatever_its_capitals(tmp_path):
    diary = write(tmp_path, ["Otter,2026-03-01,100"], events=["Spring Sprint,Part 1,2026-03-01,2026-03-10,300"])
    out = stages(diary, "  spring  SPRINT ", "2026-03-04")
    wanted = ["part", "starts", "ends", "target", "worked", "owed", "per_day_needed"]
    assert [c for c in out.columns if c in wanted] == wanted
    assert len(out) == 1


def test_an_unknown_event_is_said_in_one_line_with_the_events_there_are(tmp_path):
    diary = write(tmp_path, ["Otter,2026-03-01,1"], events=["Spring,,2026-03-01,2026-03-10,300"])
    with pytest.raises(StitchlogError, match=r'no event "Autumn".*Spring') as err:
        stages(diary, "Autumn")
    assert "\n" not in str(err.value)


@pytest.mark.parametrize(("counts", "worth"), [("", 100 + 20), ("0.5", 100 + 20), ("1", 100 + 40), ("0", 100)])
def test_halves_count_as_the_event_says(tmp_path, counts, worth):
    diary = write(tmp_path, ["Otter,2026-03-01,100,40"], events=[f"Spring,,2026-03-01,2026-03-10,300,,{counts}"])
    assert stages(diary, "Spring", "2026-03-04")["worked"].iloc[0] == worth


SECTIONS = [
    "Along,1,2026-01-01,2026-01-31,100,Fox",
    "Along,2,2026-02-01,2026-02-28,100,Fox",
    "Along,3,2026-03-01,2026-03-31,100,Fox",
]


def test_what_a_section_leaves_undone_is_carried_into_the_next(tmp_path):
    diary = write(tmp_path, ["Fox,2026-01-10,60", "Fox,2026-02-03,10", "Otter,2026-02-03,999"], events=SECTIONS)
    out = stages(diary, "Along", "2026-02-08").set_index("part")
    assert list(out["owed"]) == [40, 90, 100]
    assert list(out["carried"]) == [0, 40, 0]
    assert out["per_day_needed"]["2"] == pytest.approx((90 + 40) / 20)
    assert out["per_day_needed"]["3"] == pytest.approx(100 / 31)
    assert np.isnan(out["per_day_needed"]["1"])
    assert list(out["status"]) == ["not met", "now", "to come"]


def test_a_late_joiner_has_all_earlier_sections_to_catch_up(tmp_path):
    diary = write(tmp_path, ["Otter,2026-01-10,60"], events=SECTIONS)
    out = stages(diary, "Along", "2026-03-01").set_index("part")
    assert out["carried"]["3"] == 200
    assert out["per_day_needed"]["3"] == pytest.approx(300 / 30)


def test_being_ahead_lightens_the_next_section(tmp_path):
    diary = write(tmp_path, ["Fox,2026-01-10,130"], events=SECTIONS)
    out = stages(diary, "Along", "2026-01-31").set_index("part")
    assert out["carried"]["2"] == -30
    assert out["per_day_needed"]["2"] == pytest.approx(70 / 28)
    assert out["carried"]["3"] == 0


def test_a_section_made_up_later_is_not_held_against_anybody(tmp_path):
    diary = write(tmp_path, ["Fox,2026-01-10,60", "Fox,2026-02-03,140"], events=SECTIONS)
    out = stages(diary, "Along", "2026-02-10").set_index("part")
    assert list(out["status"]) == ["made up", "met", "to come"]
    assert out["per_day_needed"]["1"] == 0


def test_a_stage_for_any_piece_carries_nothing(tmp_path):
    events = [row.replace(",Fox", ",") for row in SECTIONS]
    diary = write(tmp_path, ["Fox,2026-01-10,60"], events=events)
    assert (stages(diary, "Along", "2026-02-08")["carried"] == 0).all()


def test_windows_over_a_year_end(tmp_path):
    diary = write(
        tmp_path,
        ["Otter,2026-12-30,10", "Otter,2027-01-02,30"],
        events=["Turn,,2026-12-28,2027-01-03,100"],
    )
    row = stages(diary, "Turn", "2027-01-01").iloc[0]
    assert (row["worked"], row["owed"], row["days_left"], row["per_day_needed"]) == (10, 90, 2, 45)


def test_starts_are_counted_in_pieces(tmp_path):
    diary = write(
        tmp_path,
        ["Otter,2026-01-06,10", "Fox,2026-01-07,10", "Owl,2026-01-20,10", "Otter,2026-01-14,10"],
        pieces=["Hare,100,,,,2026-01-13"],
        events=[
            "New,1,2026-01-05,2026-01-11,,,,start",
            "New,2,2026-01-12,2026-01-18,,,,start",
            "New,3,2026-01-19,2026-01-25,2,,,start",
            "New,4,2026-01-19,2026-01-25,,Hare,,start",
        ],
    )
    out = stages(diary, "New", "2026-01-21")
    assert list(out["unit"].unique()) == ["pieces"]
    assert list(out["target"]) == [1, 1, 2, 1]
    assert list(out["worked"]) == [2, 1, 1, 0]
    assert list(out["owed"]) == [0, 0, 1, 1]


def test_a_finish_wants_what_was_left_when_its_window_opened(tmp_path):
    diary = write(
        tmp_path,
        ["Fox,2026-01-05,100", "Fox,2026-02-05,50"],
        pieces=["Fox,400"],
        events=["Shelf,,2026-02-01,2026-02-28,,Fox,,finish"],
    )
    row = stages(diary, "Shelf", "2026-02-18").iloc[0]
    assert (row["target"], row["worked"], row["owed"], row["per_day_needed"]) == (300, 50, 250, 25)


def test_lengths_are_counted_by_the_cloth(tmp_path):
    # 14 count, row-wise, 45 cm less two tails of 4 cm: 42 stitches a length (thread geometry of needle.py).
    diary = write(
        tmp_path,
        ["Fox,2026-02-01,42", "Fox,2026-02-02,105", "Fox,2026-02-03,21"],
        pieces=["Fox,400,14,1,2"],
        events=["Thread,,2026-02-01,2026-02-28,,Fox,,length"],
    )
    row = stages(diary, "Thread", "2026-02-03").iloc[0]
    assert row["target"] == 28
    assert row["worked"] == pytest.approx(4.0)
    assert row["owed"] == pytest.approx((400 - 168) / 42)  # never more than the piece still has


def test_an_event_with_no_target_a_finished_piece_and_one_of_unknown_size_read_well(tmp_path):
    diary = write(
        tmp_path,
        ["Fox,2026-02-01,40", "Owl,2026-01-01,9", "Owl,2026-02-02,1"],
        pieces=["Owl,10,,,,,2026-02-02"],
        events=[
            "Open,,2026-02-01,2026-02-28,,",
            "Done,,2026-02-01,2026-02-28,500,Owl",
            "Guess,,2026-02-01,2026-02-28,,Fox,,finish",
        ],
    )
    out = stages(diary, None, "2026-02-10").set_index("event")
    assert list(out["status"][["Open", "Done", "Guess"]]) == ["now", "piece finished", "unknown"]
    assert np.isnan(out["owed"]["Open"]) and out["worked"]["Open"] == 41
    assert out["owed"]["Done"] == 0 and out["per_day_needed"]["Done"] == 0
    assert np.isnan(out["owed"]["Guess"])


def test_stitches_of_an_event_that_is_not_shared_count_there_alone(tmp_path):
    diary = write(
        tmp_path,
        ["Fox,2026-02-02,100"],
        events=["Wide,,2026-02-01,2026-02-28,500", "Own,,2026-02-01,2026-02-05,60,,,,no"],
    )
    out = stages(diary, None, "2026-02-10").set_index("event")
    assert (out["worked"]["Own"], out["worked"]["Wide"]) == (60, 40)


def test_a_length_that_is_not_shared_keeps_the_stitches_of_its_lengths(tmp_path):
    # A length a day for two days: 84 stitches on 14 count, of the 100 of the day.
    events = ["Wide,,2026-02-01,2026-02-28,500", "Thread,,2026-02-01,2026-02-02,,Fox,,length,no"]
    diary = write(tmp_path, ["Fox,2026-02-02,100"], ["Fox,400,14,1,2"], events)
    out = stages(diary, None, "2026-02-10").set_index("event")
    assert (out["worked"]["Thread"], out["worked"]["Wide"]) == (2, 16)


def test_what_nobody_else_wants_counts_for_an_event_that_is_not_shared(tmp_path):
    diary = write(
        tmp_path,
        ["Fox,2026-02-02,100"],
        events=["Own,,2026-02-01,2026-02-05,60,,,,no", "Owl,,2026-02-01,2026-02-08,60,Owl"],
    )
    assert list(stages(diary, None, "2026-02-10")["worked"]) == [100, 0]


def test_shared_events_both_count_the_same_stitches(tmp_path):
    diary = write(
        tmp_path,
        ["Fox,2026-02-02,100"],
        events=["Wide,,2026-02-01,2026-02-28,500", "Own,,2026-02-01,2026-02-05,60,,,,yes"],
    )
    assert list(stages(diary, None, "2026-02-10")["worked"]) == [100, 100]


def test_nothing_after_the_day_it_is_seen_from_is_counted(tmp_path):
    diary = write(tmp_path, ["Fox,2026-02-02,100"], events=["Wide,,2026-02-01,2026-02-28,500"])
    row = stages(diary, "Wide", "2026-02-01").iloc[0]
    assert row["worked"] == 0
    assert row["per_day_needed"] == pytest.approx(500 / 27)
    assert stages(diary, "Wide", pd.Timestamp("2026-01-15"))["per_day_needed"].iloc[0] == pytest.approx(500 / 28)


def test_what_is_carried_over_is_never_more_than_the_piece_has_left(tmp_path):
    """A piece of 2,000 with 571 done: section 1 lacked 531 of 1,102, section 2 asks 950, and 1,429 are left in all."""
    rows = ["Along,1,2026-01-01,2026-01-31,1102,Fox", "Along,2,2026-02-01,2026-02-28,950,Fox"]
    diary = write(tmp_path, ["Fox,2026-01-10,571"], ["Fox,2000"], rows)
    row = stages(diary, "Along", "2026-02-01").set_index("part").loc["2"]
    assert (row["owed"], row["carried"]) == (950, 479)
    assert row["owed"] + row["carried"] == 1429


def test_rotation_and_plan_ask_the_same_of_a_section(tmp_path):
    """One place works out what an event still asks for: the sessions named by the rotation are those stitches."""
    rows = ["Along,1,2026-01-01,2026-01-10,700,Fox", "Along,2,2026-01-11,2026-01-31,400,Fox"]
    diary = write(tmp_path, ["Fox,2026-01-05,200", "Fox,2026-01-12,200"], ["Fox,9000"], rows).at("2026-01-12")
    row = stages(diary, "Along").set_index("part").loc["2"]
    wanted = row["owed"] + row["carried"]
    assert wanted == 200 + 500
    found = rotation.next_up(diary).pieces.set_index("piece")
    assert "about 4 more sessions" in found.loc["Fox", "reason"]  # 700 at 200 a session
