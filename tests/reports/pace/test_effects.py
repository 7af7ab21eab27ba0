"""What moves pace: found where it is there, not claimed where it is not."""

import numpy as np
import pandas as pd
import pytest

from stitchlog.model.pace import counted, factors
from stitchlog.reports import pace
from tests.reports.pace.simulated import Effects, diary_of, simulate_effects

COLUMNS = ["factor", "effect", "low", "high", "supported", "sentence"]


@pytest.fixture(scope="module")
def moved():
    true = Effects(count=-0.03, over=0.35, colours=-0.05, hour=-0.06)
    return simulate_effects(true, np.random.default_rng(8), pieces=24, sessions=900)


def test_effects_that_are_there_are_found(moved):
    found = pace.effects(moved)
    assert list(found.columns)[:6] == COLUMNS
    by = found.set_index("factor")
    for factor, true in (("count", -0.03), ("over", 0.35), ("colours per session", -0.05), ("session length", -0.06)):
        row = by.loc[factor]
        assert row["low"] < np.expm1(true) < row["high"], factor
        assert row["supported"], factor
    assert not by.loc[["stitch kind", "other stitches"], "supported"].any()
    assert found["supported"].tolist() == sorted(found["supported"], reverse=True)


def test_effects_are_said_in_words(moved):
    by = pace.effects(moved).set_index("factor")
    assert by.loc["colours per session", "sentence"].startswith("Each further colour in a session costs you about ")
    assert "give or take" in by.loc["colours per session", "sentence"]
    assert "gains you about" in by.loc["over", "sentence"]
    assert by.loc["stitch kind", "sentence"].endswith("your diary does not say enough about it yet.")
    assert "Each further colour" in pace.say_effects(pace.effects(moved))


def test_chance_is_not_called_an_effect():
    rng = np.random.default_rng(21)
    claimed = [pace.effects(simulate_effects(Effects(), rng))["supported"].any() for _ in range(12)]
    # 5 % of diaries may claim something; 3 of 12 or more would happen once in fifty times.
    assert sum(claimed) < 3


def test_a_young_diary_says_that_it_does_not_know():
    rows = pd.DataFrame(
        {"piece": "Moss", "date": pd.date_range("2026-01-01", periods=8), "stitches": 90, "minutes": range(50, 58)}
    )
    found = pace.effects(diary_of(rows))
    assert not found["supported"].any()
    assert found["effect"].isna().all()
    assert "does not say enough" in found.loc[0, "sentence"]
    assert "8 timed sessions" in pace.say_effects(found)


def test_a_factor_seldom_written_down_does_not_cost_the_others_their_sessions(moved):
    few = moved.colours[moved.colours["line"] < 60]
    by = pace.effects(diary_of(moved.sessions, moved.pieces, few)).set_index("factor")
    assert np.isnan(by.loc["colours per session", "effect"])
    assert by.loc["over", "supported"]


def test_the_same_cloth_everywhere_says_nothing_about_cloth(moved):
    same = moved.pieces.assign(count=14.0, over=1.0)
    by = pace.effects(diary_of(moved.sessions, same, moved.colours)).set_index("factor")
    assert by.loc[["count", "over"], "effect"].isna().all()
    assert by.loc["colours per session", "supported"]


def test_days_since_last_touched_looks_at_untimed_sessions_too():
    rows = pd.DataFrame(
        [("Moss", "2026-01-01", 50, 30), ("Moss", "2026-01-20", 50, np.nan), ("Moss", "2026-01-29", 50, 30)],
        columns=["piece", "date", "stitches", "minutes"],
    )
    diary = diary_of(rows)
    values = factors.values_of(diary, counted.sessions(diary))
    away = values["days since last touched"].tolist()
    assert np.isnan(away[0])
    assert away[1] == pytest.approx(np.log(9) / np.log(28))


def test_a_fair_pace_takes_out_what_the_cloth_explains(moved):
    found = pace.compare(moved).set_index("piece")
    over = moved.pieces.set_index("piece")["over"].reindex(found.index)
    count = moved.pieces.set_index("piece")["count"].reindex(found.index)
    fine = found[(over == 1) & (count >= 28)]
    assert len(fine) and (fine["fair_per_hour"] > fine["per_hour"]).all()
    assert np.log(found["fair_per_hour"]).std() < 0.7 * np.log(found["per_hour"]).std()
