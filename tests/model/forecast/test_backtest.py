"""What would have been said, and what came: no look ahead, and honest counting."""

import numpy as np
import pandas as pd
import pytest

from stitchlog import StitchlogError
from stitchlog.model.forecast import backtest
from stitchlog.model.forecast.backtest import COLUMNS, learnt
from stitchlog.model.forecast.calibration import NONE, calibration
from stitchlog.model.forecast.future import finish
from tests.model.forecast.diaries import sessions, write

EARLY = sessions("Otter", "2025-01-01", 200, every=2) + sessions("Fox", "2025-02-02", 150, every=3)
PIECES = ["Otter,9000", "Fox,2500"]


@pytest.fixture
def diary(tmp_path):
    return write(tmp_path, sorted(EARLY, key=lambda r: r.split(",")[1]), PIECES)


def test_there_is_a_row_for_every_month_end_and_piece_then_on_the_go(diary):
    record = backtest(diary, paths=40)
    assert list(record.columns) == COLUMNS
    assert record["cut"].dt.is_month_end.all()
    assert (record["cut"] < diary.last_day).all()
    assert record[record["piece"] == "Otter"]["cut"].tolist() == list(
        pd.date_range("2025-01-31", "2025-06-30", freq="ME")
    )
    assert record[record["piece"] == "Fox"]["cut"].min() == pd.Timestamp("2025-02-28")
    quantiles = record[["q05", "q10", "q25", "q50", "q75", "q90", "q95"]].to_numpy()
    assert (quantiles[:, 1:] >= quantiles[:, :-1]).all() and (quantiles >= 1).all()


def test_what_came_is_the_day_of_the_finish(diary):
    record = backtest(diary, paths=40)
    fox = record[record["piece"] == "Fox"]
    done = diary.standing().set_index("piece").loc["Fox", "finished"]
    assert (fox["actual_days"] == (done - fox["cut"]).dt.days).all()
    assert record[record["piece"] == "Otter"]["actual_days"].isna().all()


def test_later_rows_do_not_change_what_was_said_before(diary, tmp_path):
    rows = sorted([*EARLY, *sessions("Heron", "2025-07-20", 300, stitches=300)], key=lambda r: r.split(",")[1])
    later = write(tmp_path / "later", rows, [*PIECES, "Heron,200000"])
    said = ["piece", "cut", "remaining", "q05", "q10", "q25", "q50", "q75", "q90", "q95"]
    before = backtest(diary, paths=60)[said]
    again = backtest(later, paths=60)[said]
    pd.testing.assert_frame_equal(before, again[again["cut"] < diary.last_day].reset_index(drop=True))
    pd.testing.assert_frame_equal(before, backtest(later, diary.last_day, paths=60)[said])


def test_it_says_what_finish_would_have_said(diary):
    record = backtest(diary, paths=400)
    row = record[(record["piece"] == "Otter") & (record["cut"] == "2025-04-30")].iloc[0]
    found = finish(diary, "Otter", "2025-04-30", paths=2000)
    # The same law, other dice: the middle agrees within the noise of so many paths.
    assert np.log(row["q50"]) == pytest.approx(np.log(np.median(found.days)), abs=0.3)
    assert row["q10"] <= np.median(found.days) <= row["q90"]


def test_the_last_months_alone(diary):
    assert backtest(diary, months=2, paths=20)["cut"].nunique() == 2
    assert backtest(diary, months=0, paths=20).empty


def test_a_diary_of_a_day_has_no_past(tmp_path):
    diary = write(tmp_path, ["Otter,2025-01-01,50"], ["Otter,900"])
    record = backtest(diary, paths=20)
    assert record.empty and list(record.columns) == COLUMNS
    assert learnt(diary) is NONE


def test_an_empty_diary_is_refused(tmp_path):
    with pytest.raises(StitchlogError):
        backtest(write(tmp_path, [], ["Otter,900"]))


def test_misses_spread_evenly_change_nothing():
    place = (np.arange(50) + 0.5) / 50
    by = calibration(place, place, np.ones(50))
    assert np.abs(by.true - np.linspace(0, 1, 101)).max() < 0.02


def test_finishes_that_came_sooner_than_was_said_draw_the_next_ones_nearer():
    by = calibration(np.full(30, 0.2), np.full(30, 0.3), np.ones(30))
    days = np.arange(1.0, 401.0)
    assert 80 < np.median(by.of(days)) < 130
    # The change is a rising function of the day: what came first on a path still does.
    assert (np.diff(by.of(days)) >= 0).all()
    # A scenario that finishes sooner on every path still does once both are put right.
    assert (by.of(days - 0.5, days) <= by.of(days)).all()


def test_a_single_piece_hardly_corrects():
    one = calibration(np.full(12, 0.2), np.full(12, 0.3), np.full(12, 1 / 12))
    many = calibration(np.full(12, 0.2), np.full(12, 0.3), np.ones(12))
    days = np.arange(1.0, 401.0)
    assert np.median(many.of(days)) < np.median(one.of(days)) < 200.5


def test_what_is_learnt_does_not_look_ahead(tmp_path):
    rows = [*EARLY, *sessions("Owl", "2025-02-10", 60)]
    more = [*rows, *sessions("Heron", "2025-07-20", 300, stitches=300)]
    then, later = (
        write(tmp_path / name, sorted(those, key=lambda r: r.split(",")[1]), [*PIECES, "Owl,3000", "Heron,200000"])
        for name, those in (("then", rows), ("later", more))
    )
    known, seen = learnt(then), learnt(later.at(then.last_day))
    assert known.pieces > 0 and (known.true == seen.true).all()
