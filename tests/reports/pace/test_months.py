"""Faster or slower, piece for piece."""

import numpy as np
import pandas as pd
import pytest

from stitchlog.reports import pace
from tests.reports.pace.simulated import Effects, diary_of, simulate_effects


def _half_years(factor: float) -> pd.DataFrame:
    """A hard piece first, an easy one then; both `factor` times as fast half a year later."""
    rng = np.random.default_rng(4)
    days = pd.date_range("2025-11-01", "2026-10-31", freq="2D")
    share = (days - days[0]).days.to_numpy() / 182.625
    piece = np.where(rng.random(len(days)) < np.clip(share / 2, 0.1, 0.9), "Easy", "Hard")
    base = np.where(piece == "Easy", 140.0, 70.0)
    stitches = np.round(base * factor**share * rng.normal(1, 0.05, len(days)))
    return pd.DataFrame({"piece": piece, "date": days, "stitches": stitches, "minutes": 60.0})


def test_a_change_of_pieces_is_not_a_change_of_pace():
    frame = pace.trend(diary_of(_half_years(1.0)))
    assert frame.change_low < 0 < frame.change_high
    assert abs(frame.change) < 0.03
    assert "about what it was half a year ago" in pace.say_trend(frame)
    # As they were, the months rise by far more than like for like.
    worked = frame.months["worked_per_hour"]
    assert worked.iloc[-2] > 1.3 * worked.iloc[1]
    steady = frame.months["per_hour"]
    assert steady.iloc[-2] == pytest.approx(steady.iloc[1], rel=0.08)


@pytest.mark.parametrize(("factor", "word"), [(1.12, "faster"), (0.9, "slower")])
def test_a_true_change_is_found(factor, word):
    frame = pace.trend(diary_of(_half_years(factor)))
    assert frame.change_low < factor - 1 < frame.change_high
    assert f"{word} than half a year ago" in pace.say_trend(frame)


def test_a_short_diary_says_so():
    rows = _half_years(1.0).tail(30)
    frame = pace.trend(diary_of(rows))
    assert np.isnan(frame.change)
    assert "too few timed sessions" in pace.say_trend(frame)


def test_months_are_what_a_calculator_says():
    rows = pd.DataFrame(
        [("A", "2026-01-05", 90, 60, np.nan), ("A", "2026-01-09", 40, 60, 20), ("A", "2026-03-01", 80, 30, np.nan)],
        columns=["piece", "date", "stitches", "minutes", "unpicked"],
    )
    found = pace.trend(diary_of(rows))
    frame = found.months.set_index("month")
    assert frame.index.tolist() == [pd.Timestamp("2026-01-01"), pd.Timestamp("2026-03-01")]
    assert frame["worked_per_hour"].tolist() == [75, 160]
    assert frame["kept_per_hour"].tolist() == [65, 160]
    assert frame["sessions"].tolist() == [2, 1]
    assert "9% of them" in pace.say_unpicking(found)


def test_the_last_two_years_are_shown():
    diary = simulate_effects(Effects(), np.random.default_rng(2), sessions=700)
    frame = pace.trend(diary.at("2025-12-20")).months
    assert len(frame) == 24
    assert frame["month"].iloc[-1] == pd.Timestamp("2025-12-01")
    assert (frame["per_hour_low"] < frame["per_hour"]).all()
