"""How pieces compare: what counts, what is drawn where, and how sure it is."""

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest

from stitchlog import StitchlogError
from stitchlog.model.pace import counted, paces
from stitchlog.reports import pace
from tests.reports.pace.simulated import World, diary_of, simulate

FIRST = ["piece", "per_hour", "per_hour_low", "per_hour_high", "per_session", "per_active_day", "hours", "sessions"]


def _rows(*rows: tuple) -> pd.DataFrame:
    return pd.DataFrame(rows, columns=["piece", "date", "stitches", "minutes"])


def _many(piece: str, pace_: float, sessions: int, stray: float = 0.1) -> pd.DataFrame:
    """Sessions of half an hour to two hours around a pace, by `stray` above and below in turn."""
    minutes = np.resize([30.0, 60.0, 90.0, 120.0], sessions)
    straying = np.resize([1 - stray, 1 + stray], sessions)
    days = pd.date_range("2026-01-01", periods=sessions, freq="2D")
    return pd.DataFrame(
        {"piece": piece, "date": days, "stitches": np.round(pace_ * minutes / 60 * straying), "minutes": minutes}
    )


@pytest.fixture
def two() -> pd.DataFrame:
    return pd.concat([_many("Slow Moss", 60, 40), _many("Quick Fern", 120, 40)], ignore_index=True)


def test_the_first_columns_are_the_contract(two):
    assert list(pace.compare(diary_of(two)).columns)[:8] == FIRST


def test_a_piece_with_many_sessions_is_what_a_calculator_says(two):
    found = pace.compare(diary_of(two)).set_index("piece")
    for piece, rows in two.groupby("piece"):
        by_hand = rows["stitches"].sum() / (rows["minutes"].sum() / 60)
        assert found.loc[piece, "raw_per_hour"] == pytest.approx(by_hand)
        assert found.loc[piece, "per_hour"] == pytest.approx(by_hand, rel=0.01)
        assert found.loc[piece, "per_hour_low"] < by_hand < found.loc[piece, "per_hour_high"]
        assert found.loc[piece, "per_session"] == pytest.approx(rows["stitches"].mean())
        assert found.loc[piece, "per_active_day"] == pytest.approx(rows["stitches"].mean())
        assert found.loc[piece, "per_calendar_day"] == pytest.approx(rows["stitches"].sum() / 79)
        assert found.loc[piece, "hours"] == pytest.approx(rows["minutes"].sum() / 60)
    assert pace.compare(diary_of(two))["piece"].tolist() == ["Quick Fern", "Slow Moss"]


def test_two_lucky_sessions_do_not_make_the_fastest_piece():
    rows = pd.concat(
        [_many(name, 100 + i, 30, stray=0.25) for i, name in enumerate(["Moss", "Fern", "Reed", "Sedge"])]
        + [_rows(("Lucky", "2026-03-01", 70, 30), ("Lucky", "2026-03-02", 75, 30))]
    )
    found = pace.compare(diary_of(rows)).set_index("piece")
    assert found.loc["Lucky", "raw_per_hour"] == pytest.approx(145)
    assert found.loc["Lucky", "per_hour"] < 120
    assert found.loc["Lucky", "per_hour_high"] - found.loc["Lucky", "per_hour_low"] > 20
    assert found.loc["Moss", "per_hour"] == pytest.approx(found.loc["Moss", "raw_per_hour"], rel=0.03)


def test_untimed_and_estimated_sessions_never_touch_an_hourly_figure(two):
    extra = _rows(("Slow Moss", "2026-05-01", 900, np.nan), ("Slow Moss", "2026-05-02", 5000, 10))
    extra["estimated"] = [False, True]
    hourly = ["per_hour", "per_hour_low", "per_hour_high", "raw_per_hour", "worked_per_hour", "fair_per_hour"]
    before = pace.compare(diary_of(two.assign(estimated=False))).set_index("piece")
    after = pace.compare(diary_of(pd.concat([two.assign(estimated=False), extra]))).set_index("piece")
    pd.testing.assert_frame_equal(before[hourly], after[hourly])
    moss = after.loc["Slow Moss"]
    assert (moss["sessions"], moss["timed_sessions"], moss["estimated"]) == (42, 40, 1)
    assert moss["hours"] == pytest.approx(before.loc["Slow Moss", "hours"] + 10 / 60)
    assert moss["stitches"] == pytest.approx(before.loc["Slow Moss", "stitches"] + 5900)


def test_unpicked_stitches_are_taken_off_and_their_time_stays_in():
    rows = _rows(("Moss", "2026-01-01", 100, 60), ("Moss", "2026-01-02", 80, 60), ("Moss", "2026-01-03", -30, 30))
    rows["unpicked"] = [np.nan, 20, 30]
    found = pace.compare(diary_of(rows)).iloc[0]
    assert found["raw_per_hour"] == pytest.approx(150 / 2.5)
    assert found["worked_per_hour"] == pytest.approx(200 / 2.5)
    assert found["per_hour"] == pytest.approx(60)


def test_time_spent_on_backstitch_alone_is_not_time_at_cross_stitches():
    rows = _rows(("Moss", "2026-01-01", 100, 60), ("Moss", "2026-01-02", 0, 60))
    rows["backstitch"] = [np.nan, 40]
    found = pace.compare(diary_of(rows)).iloc[0]
    assert found["per_hour"] == pytest.approx(100)
    assert (found["hours"], found["timed_hours"]) == (2, 1)


def test_a_slip_of_the_pen_is_left_aside_and_said():
    rows = _rows(("Moss", "2026-01-01", 100, 60), ("Moss", "2026-01-02", 120, 1))
    found = pace.paces(diary_of(rows))
    assert found.pieces.loc[0, "per_hour"] == pytest.approx(100)
    assert found.not_credible == 1
    assert "1 session too fast to be true" in pace.say_left_out(found)


def test_only_what_was_known_on_the_day_counts(two):
    cut = pd.Timestamp("2026-02-01")
    early = pace.compare(diary_of(two), cut)
    pd.testing.assert_frame_equal(early, pace.compare(diary_of(two[two["date"] <= cut])))


def test_a_piece_without_a_timed_session_has_no_pace_and_stands_last(two):
    rows = pd.concat([two, _rows(("Untimed", "2026-01-01", 40, np.nan))])
    last = pace.compare(diary_of(rows)).iloc[-1]
    assert last["piece"] == "Untimed"
    assert np.isnan(last["per_hour"]) and np.isnan(last["fair_per_hour"])
    assert last["per_session"] == 40


def test_the_chance_that_a_piece_is_faster(two):
    diary = diary_of(two)
    assert pace.faster(diary, "quick  FERN", "Slow Moss") > 0.999
    assert pace.faster(diary, "Slow Moss", "Quick Fern") < 0.001
    found = pace.compare(diary)
    assert found.loc[0, "chance_over_next"] == pytest.approx(pace.faster(diary, "Quick Fern", "Slow Moss"))


def test_equal_pieces_are_a_toss_up():
    rows = pd.concat([_many("Moss", 100, 12), _many("Fern", 100, 12)])
    assert pace.faster(diary_of(rows), "Moss", "Fern") == pytest.approx(0.5, abs=0.01)


def test_the_chance_is_right_as_often_as_it_says():
    """Of pairs said to be 60 to 90 % likely in this order, so many are, within what chance allows."""
    rng = np.random.default_rng(11)
    said, was = [], []
    for _ in range(60):
        diary, true = simulate(World(counts=(3, 4, 6, 9)), rng)
        known = paces.pools(counted.sessions(diary))
        for a in range(4):
            for b in range(a):
                said.append(known.pooled.chance_above(a, b))
                was.append(true[known.means.index[a]] > true[known.means.index[b]])
    said, was = np.array(said), np.array(was)
    right = np.where(said >= 0.5, was, ~was)
    sure = np.maximum(said, 1 - said)
    middle = (sure > 0.6) & (sure < 0.9)
    assert middle.sum() > 80
    assert right[middle].mean() == pytest.approx(sure[middle].mean(), abs=0.1)


def test_what_cannot_be_compared_is_said_in_one_line(two):
    diary = diary_of(two)
    with pytest.raises(StitchlogError, match="compared with itself"):
        pace.faster(diary, "Slow Moss", "slow moss")
    with pytest.raises(StitchlogError, match=r'no piece "Slow Moos".*Slow Moss'):
        pace.faster(diary, "Slow Moos", "Quick Fern")
    untimed = diary_of(_rows(("A", "2026-01-01", 4, np.nan), ("B", "2026-01-01", 4, np.nan)))
    assert np.isnan(pace.faster(untimed, "A", "B"))


def test_the_glance_names_seven_and_gathers_the_others():
    rows = pd.concat([_many(f"Piece {i}", 80 + 5 * i, 5 + i) for i in range(12)])
    compared = pace.paces(diary_of(rows))
    found, seen = compared.pieces, pace.extremes(compared)
    assert {found["piece"].iloc[0], found["piece"].iloc[-1]} <= set(seen["piece"])
    assert len(seen) == 7
    assert seen["pieces"].sum() == 12
    others = found[~found["piece"].isin(seen["piece"])]
    gathered = seen.iloc[-1]
    assert gathered["piece"] == "6 other pieces"
    assert gathered["timed_hours"] == pytest.approx(others["timed_hours"].sum())
    assert gathered["per_hour"] == pytest.approx(others["stitches"].sum() / others["hours"].sum())
    assert gathered["per_hour_low"] == others["per_hour"].min()
    assert len(pace.extremes(replace(compared, pieces=found.head(7)))) == 7


def test_the_sentence_names_the_fastest_and_owns_up_to_doubt(two):
    found = pace.paces(diary_of(two))
    assert "Quick Fern is fastest with 122 an hour" in pace.say_paces(found)
    assert "chance" not in pace.say_paces(found)
    close = pace.paces(diary_of(pd.concat([_many("Moss", 100, 6), _many("Fern", 104, 6)])))
    assert "the order may be chance" in pace.say_paces(close)
