import pytest

from stitchlog.errors import StitchlogError
from stitchlog.model.thread_use import cm_per_stitch, lengths_per_skein, sides_per_cross, stitches_per_length
from stitchlog.reports import plan
from tests.reports.plan.diaries import write


def test_days_until_done_at_so_many_lengths_a_day(tmp_path):
    diary = write(tmp_path, ["Fox,2026-02-01,60"], ["Fox,480,14,1,2", "Owl,100,14,1,2"])
    out = plan.lengths(diary.at("2026-02-01"))
    # 420 left at 42 a length: ten lengths.
    assert out["lengths"].tolist() == [10, 10, 10]
    assert out["days"].tolist() == [10, 5, 4]
    assert out["sooner"].tolist() == [0, 5, 1]
    assert [str(d.date()) for d in out["done_on"]] == ["2026-02-11", "2026-02-06", "2026-02-05"]
    assert "two lengths a day 5 days sooner" in plan.say_lengths(out)


def test_pieces_of_length_events_come_first_and_unknown_ones_are_left_out(tmp_path):
    events = ["Thread,,2026-02-01,2026-02-28,,Owl,,length"]
    diary = write(tmp_path, ["Fox,2026-02-01,60", "Hare,2026-02-01,5"], ["Fox,480,14", "Owl,100,16", "Hare,90"], events)
    assert set(plan.lengths(diary)["piece"]) == {"Owl"}
    plain = write(tmp_path, ["Fox,2026-02-01,60", "Hare,2026-02-01,5"], ["Fox,480,14", "Owl,100,16", "Hare,90"])
    assert set(plan.lengths(plain)["piece"]) == {"Fox"}  # the hare's count is not known, the owl is not begun
    unknown = write(tmp_path, ["Hare,2026-02-01,5"], ["Hare,90"])
    assert "No piece" in plan.say_lengths(plan.lengths(unknown))


def test_settings_change_the_length(tmp_path):
    diary = write(tmp_path, ["Fox,2026-02-01,60"], ["Fox,480,14"], settings='method = "each"\ntail_cm = 0\n')
    assert plan.lengths(diary)["per_length"].iloc[0] == 47


def test_a_length_that_is_all_tails_is_no_length(tmp_path):
    events = ["Thread,,2026-02-01,2026-02-28,,Fox,,length"]
    diary = write(tmp_path, ["Fox,2026-02-01,60"], ["Fox,480,14"], events, settings="tail_cm = 23\n")
    assert plan.lengths(diary).empty
    assert plan.stages(diary)["status"].tolist() == ["unknown"]


def test_the_needle_refuses_what_cannot_be():
    assert stitches_per_length(14, tail_cm=30) == 0
    for wrong in (lambda: sides_per_cross("up"), lambda: cm_per_stitch(0), lambda: lengths_per_skein(8, 0)):
        with pytest.raises(StitchlogError):
            wrong()
