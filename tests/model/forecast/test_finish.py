"""Pieces in a diary: what is said, what is refused, what is borrowed, and what if."""

import numpy as np
import pandas as pd
import pytest

from stitchlog import StitchlogError
from stitchlog.model import forecast
from stitchlog.model.forecast import scenario
from stitchlog.model.forecast.future import finish, future
from stitchlog.model.forecast.needs import needed
from stitchlog.model.forecast.sentences import say_finish
from tests.model.forecast.diaries import sessions, write

PATHS = 300


@pytest.fixture
def otter(tmp_path):
    return write(tmp_path, sessions("Otter", "2025-01-01", 120, every=2), ["Otter,6000"])


def test_a_finish_is_days_from_the_day_it_is_seen_from(otter):
    found = finish(otter, "otter", "2025-04-30", paths=PATHS)
    assert found.piece == "Otter"
    assert found.remaining == 3000
    assert found.days.shape == (PATHS,)
    assert found.date(0.1) <= found.date(0.5) <= found.date(0.9)
    assert found.range(0.8) == (found.date(0.1), found.date(0.9))
    assert found.date(0.5) > pd.Timestamp("2025-04-30")
    assert found.chance(found.date(0.5)) >= 0.5
    assert found.chance("2025-04-30") == 0
    assert say_finish(found).startswith("Otter should be finished ")


def test_the_day_it_is_seen_from_is_the_last_in_the_diary_unless_told(otter):
    assert finish(otter, "Otter", paths=50).as_of == otter.last_day
    assert (finish(otter, "Otter", paths=50).days == finish(otter, "Otter", otter.last_day, paths=50).days).all()


def test_a_chance_beyond_one_is_refused(otter):
    with pytest.raises(StitchlogError, match="between 0 and 1"):
        finish(otter, "Otter", paths=20).date(80)


def test_nothing_after_the_day_is_looked_at(tmp_path, otter):
    later = write(
        tmp_path / "later",
        [*sessions("Otter", "2025-01-01", 120, every=2), *sessions("Fox", "2025-05-01", 300, stitches=400)],
        ["Otter,6000", "Fox,90000"],
    )
    then = finish(later, "Otter", otter.last_day, paths=PATHS)
    assert (then.days == finish(otter, "Otter", paths=PATHS).days).all()


def test_work_done_before_the_diary_counts(tmp_path):
    diary = write(tmp_path, sessions("Otter", "2025-01-01", 60), ["Otter,6000,2900"])
    assert finish(diary, "Otter", paths=50).remaining == 100


def test_unpicked_stitches_are_to_do_again(tmp_path):
    rows = [f"{row}," for row in sessions("Otter", "2025-01-01", 60)] + ["Otter,2025-03-02,0,500"]
    diary = write(tmp_path, rows, ["Otter,6000"], "piece,date,stitches,unpicked")
    assert finish(diary, "Otter", paths=50).remaining == 6000 - 3000 + 500


def test_sessions_with_minutes_alone_count_as_estimated(tmp_path):
    rows = [f"{row},60" for row in sessions("Otter", "2025-01-01", 60)] + ["Otter,2025-03-03,,120"]
    diary = write(tmp_path, rows, ["Otter,6000"], "piece,date,stitches,minutes")
    assert diary.sessions["estimated"].sum() == 1
    assert finish(diary, "Otter", paths=50).remaining == pytest.approx(6000 - 3000 - 100)


def test_an_unknown_total_is_refused_with_the_mend(tmp_path):
    diary = write(tmp_path, sessions("Otter", "2025-01-01", 30), ["Otter,"])
    with pytest.raises(StitchlogError, match=r"total is not known; write total .* in pieces\.csv"):
        finish(diary, "Otter", paths=20)


def test_a_piece_not_begun_is_refused_but_in_a_scenario(tmp_path):
    diary = write(tmp_path, sessions("Otter", "2025-01-01", 90), ["Otter,9000", "Heron,1200"])
    with pytest.raises(StitchlogError, match="not begun"):
        finish(diary, "Heron", paths=20)
    found = scenario.with_pace(future(diary, 20), "Heron", 350)
    assert (found.days == 24).all()
    assert "350 stitches a week" in say_finish(found)
    assert np.isfinite(scenario.with_share(future(diary, 20), "Heron").days).any()


def test_a_piece_begun_later_is_not_begun_yet(tmp_path):
    rows = [*sessions("Otter", "2025-01-01", 90), *sessions("Heron", "2025-03-01", 20)]
    diary = write(tmp_path, rows, ["Otter,9000", "Heron,4000"])
    with pytest.raises(StitchlogError, match=r'no piece "Heron"|not begun by 10 February 2025'):
        finish(diary, "Heron", "2025-02-10", paths=20)


def test_a_finished_piece_takes_no_more_days(tmp_path):
    diary = write(tmp_path, sessions("Otter", "2025-01-01", 90), ["Otter,4500"])
    found = finish(diary, "Otter", paths=20)
    assert found.remaining == 0 and (found.days == 0).all()
    assert say_finish(found) == "Otter is finished."
    assert found.date(0.9) == found.as_of


def test_a_piece_declared_finished_is_finished_whatever_its_total(tmp_path):
    diary = write(tmp_path, sessions("Otter", "2025-01-01", 90), ["Otter,9000,,,2025-03-31"])
    assert (finish(diary, "Otter", paths=20).days == 0).all()
    assert (finish(diary, "Otter", "2025-03-01", paths=20).days > 0).all()


def test_a_piece_beyond_its_total_is_said_to_be(tmp_path):
    diary = write(tmp_path, sessions("Otter", "2025-01-01", 90), ["Otter,4000"])
    said = say_finish(finish(diary, "Otter", paths=20))
    assert "4,500 stitches, more than its total of 4,000" in said and "pieces.csv" in said


def test_a_piece_nearly_done_is_done_within_days(tmp_path):
    diary = write(tmp_path, sessions("Otter", "2025-01-01", 90), ["Otter,4501"])
    assert np.median(finish(diary, "Otter", paths=PATHS).days) <= 3


def test_a_piece_worked_only_before_the_diary_is_foreseen_from_the_others(tmp_path):
    diary = write(tmp_path, sessions("Fox", "2025-01-01", 200), ["Fox,90000", "Otter,3000,1500"])
    found = finish(diary, "Otter", paths=PATHS)
    assert found.remaining == 1500
    assert np.isfinite(found.days).mean() > 0.5


def test_an_empty_diary_is_refused(tmp_path):
    diary = write(tmp_path, [], ["Otter,3000,1500"])
    with pytest.raises(StitchlogError, match="no session"):
        finish(diary, "Otter")


def test_a_name_that_is_not_there_is_refused_with_the_nearest(otter):
    with pytest.raises(StitchlogError, match='did you mean "Otter"'):
        finish(otter, "Oter")


def test_a_young_piece_borrows_from_the_stitchers_time(tmp_path):
    young = sessions("Otter", "2025-06-25", 6, every=2)
    busy = write(tmp_path / "busy", sessions("Fox", "2025-01-01", 181) + young, ["Fox,90000", "Otter,3000"])
    rare = write(tmp_path / "rare", sessions("Fox", "2025-01-01", 181, every=12) + young, ["Fox,90000", "Otter,3000"])
    assert np.median(finish(busy, "Otter", paths=PATHS).days) < np.median(finish(rare, "Otter", paths=PATHS).days)


def test_a_rest_of_the_stitcher_is_told_from_a_rest_of_the_piece(tmp_path):
    begun = sessions("Otter", "2025-01-01", 60)
    # The stitcher rests altogether, or goes on with another piece.
    all_rest = write(tmp_path / "a", [*begun, "Fox,2025-04-30,50"], ["Otter,5000", "Fox,9000"])
    other = write(tmp_path / "b", begun + sessions("Fox", "2025-03-02", 60), ["Otter,5000", "Fox,90000"])
    assert (finish(all_rest, "Otter", paths=PATHS).days != finish(other, "Otter", paths=PATHS).days).any()


def test_a_piece_set_aside_is_said_to_lie(tmp_path):
    rows = sessions("Otter", "2025-01-01", 60) + sessions("Fox", "2025-03-02", 90)
    diary = write(tmp_path, rows, ["Otter,5000,,,,2025-03-10", "Fox,90000"])
    assert "set aside" in say_finish(finish(diary, "Otter", paths=PATHS))


def test_all_the_time_is_sooner_than_half_and_half_than_a_tenth(tmp_path):
    rows = sessions("Otter", "2025-01-01", 150, every=3) + sessions("Fox", "2025-01-02", 150, every=2)
    ahead = future(write(tmp_path, sorted(rows), ["Otter,9000", "Fox,9000"]), PATHS)
    all_, half, tenth = (scenario.with_share(ahead, "Otter", share).days for share in (1.0, 0.5, 0.1))
    assert (all_ <= half).all() and (half <= tenth).all() and np.median(all_) < np.median(half)


@pytest.mark.parametrize("share", [1.5, 0, -1])
def test_a_share_beyond_all_the_time_is_refused(otter, share):
    with pytest.raises(StitchlogError, match="above 0 and at most 1"):
        scenario.with_share(future(otter, 20), "Otter", share)


def test_a_pace_of_nothing_is_refused(otter):
    with pytest.raises(StitchlogError, match="above 0"):
        scenario.with_pace(future(otter, 20), "Otter", -3)


def test_a_young_diary_says_so_and_shows_the_plain_division(tmp_path):
    diary = write(tmp_path, sessions("Otter", "2025-01-01", 10), ["Otter,4000"])
    said = say_finish(finish(diary, "Otter", paths=PATHS))
    assert "It is early days: 10 sessions so far." in said
    # 3,500 left at 50 a day: 70 days from 10 January.
    assert "At the pace so far it would be late March 2025" in said
    assert "early days" not in say_finish(
        finish(write(tmp_path / "older", sessions("Otter", "2025-01-01", 30), ["Otter,4000"]), "Otter", paths=PATHS)
    )


def test_what_a_due_day_takes(tmp_path):
    rows = sessions("Otter", "2025-01-01", 150, every=2) + sessions("Fox", "2025-01-02", 150, every=2)
    diary = write(tmp_path, sorted(rows), ["Otter,4500", "Fox,90000"])
    frame = needed(diary, "Otter", "2025-07-15", paths=500)
    assert frame["chance"].tolist() == [0.5, 0.8]
    assert frame["days"].tolist() == [46, 46]
    assert frame["now_share"].between(0.49, 0.51).all()
    likely, sure = frame.iloc[0], frame.iloc[1]
    assert sure["share"] > likely["share"] > 0
    assert sure["per_day"] > likely["per_day"]
    assert sure["per_stitching_day"] >= sure["per_day"]
    # With that share of the same futures, four in five get there.
    found = scenario.with_share(future(diary, 500), "Otter", min(1.0, sure["share"]))
    assert found.chance("2025-07-15") > 0.6


def test_more_than_a_good_day_is_marked(tmp_path):
    diary = write(tmp_path, sessions("Otter", "2025-01-01", 100, every=2), ["Otter,9000"])
    assert needed(diary, "Otter", "2025-04-20", paths=200)["beyond"].all()
    assert not needed(diary, "Otter", "2027-04-20", paths=200)["beyond"].iloc[0]


def test_a_day_that_has_passed_takes_nothing(otter):
    with pytest.raises(StitchlogError, match="not after"):
        needed(otter, "Otter", "2025-01-01")


def test_the_order_follows_what_is_left(tmp_path):
    rows = sessions("Near", "2025-01-01", 150, every=2) + sessions("Far", "2025-01-02", 150, every=2)
    diary = write(tmp_path, sorted([*rows, "Resting,2025-01-03,10"]), ["Near,4000", "Far,40000", "Resting,5000"])
    frame = future(diary, 200).order()
    assert frame["piece"].iloc[0] == "Near"
    assert frame["next_chance"].iloc[0] > 0.8
    assert frame["next_chance"].sum() <= 1 + 1e-6
    assert (frame["q10"] <= frame["q50"].fillna(pd.Timestamp.max)).all()


def test_the_order_leaves_out_what_has_no_end(tmp_path):
    rows = sessions("Otter", "2025-01-01", 60) + sessions("Endless", "2025-03-02", 60)
    assert future(write(tmp_path, rows, ["Otter,9000", "Endless,"]), 50).order()["piece"].tolist() == ["Otter"]


def test_no_piece_in_progress_has_no_order(tmp_path):
    assert future(write(tmp_path, sessions("Otter", "2025-01-01", 60), ["Otter,3000"]), 20).order().empty


def test_pieces_share_one_stitchers_days(tmp_path):
    # Two like pieces together cannot go as fast as each would with all the time.
    rows = sessions("A", "2025-01-01", 160, every=2) + sessions("B", "2025-01-02", 160, every=2)
    ahead = future(write(tmp_path, sorted(rows), ["A,7000", "B,7000"]), 300)
    last = np.maximum(ahead.finish("A").days, ahead.finish("B").days)
    assert (last >= scenario.with_share(ahead, "A").days).all()
    assert np.median(last) > 1.3 * np.median(scenario.with_share(ahead, "A").days)


def test_a_finish_that_was_guessed_wrong_tells_nothing(tmp_path):
    rows = sessions("Otter", "2025-01-01", 90) + sessions("Fox", "2025-01-02", 120, every=2)
    # Otter was finished at 4,500 of a stated 9,000.
    told = write(tmp_path, sorted(rows, key=lambda r: r.split(",")[1]), ["Otter,9000,,,2025-03-31", "Fox,9000"])
    assert "Otter" not in set(forecast.backtest(told, paths=20)["piece"])


def test_a_day_before_the_diary_begins_is_refused(otter):
    with pytest.raises(StitchlogError, match="not begun by 1 January 2024"):
        finish(otter, "Otter", "2024-01-01")


def test_a_piece_of_which_more_was_unpicked_than_worked_is_foreseen_from_the_others(tmp_path):
    rows = [f"{row}," for row in sessions("Fox", "2025-01-01", 100)] + ["Otter,2025-04-10,0,30"]
    diary = write(tmp_path, rows, ["Otter,2000,500", "Fox,90000"], "piece,date,stitches,unpicked")
    found = finish(diary, "Otter", paths=200)
    assert found.remaining == 1530
    assert np.isfinite(found.days).any()
