"""Simulated days: their size, their sameness by seed, and how a stretch is read."""

import numpy as np
import pytest
from scipy.stats import binom, chisquare

from stitchlog.model.forecast import paths, spells
from stitchlog.model.forecast.paths import Stretch, _by_steps, _dice, _runs, _threshold, rates, simulate_days, sizes
from tests.model.forecast.diaries import series


@pytest.fixture
def sure(monkeypatch):
    """No doubt about how large a usual day is, so that the diary's own days are seen."""
    monkeypatch.setattr(paths, "_DAY_DOUBT", 0.0)
    monkeypatch.setattr(paths, "_SPELL_DOUBT", 0.0)


def test_a_usual_day_is_less_in_doubt_the_longer_the_diary():
    spread = [np.ptp(np.log(sizes(np.array([20.0, 40.0] * n)).mean(axis=1))) for n in (2, 20, 200)]
    assert spread[0] > spread[1] > spread[2] > 0


def test_days_come_from_the_diary_and_from_nowhere_else(sure):
    found = simulate_days(series([0, 40, 0, 25] * 40), 100, paths=200)
    assert found.shape == (200, 100)
    assert set(np.unique(found)) == {0.0, 25.0, 40.0}


def test_the_same_seed_gives_the_same_days_and_a_longer_look_begins_with_the_shorter():
    daily = series(np.random.default_rng(2).integers(0, 3, 200) * 30)
    short, long = simulate_days(daily, 30, 50, seed=4), simulate_days(daily, 900, 50, seed=4)
    assert (short == long[:, :30]).all()
    assert (simulate_days(daily, 30, 50, seed=5) != short).any()


@pytest.mark.parametrize("amounts", [[], [0, 0, 0], [-20, 0]])
def test_no_stitching_day_foresees_none(amounts):
    assert simulate_days(series(amounts), 20, 10).shape == (10, 20)
    assert not simulate_days(series(amounts), 20, 10).any()


def test_no_day_ahead_is_an_empty_look():
    assert simulate_days(series([10, 20]), 0, 7).shape == (7, 0)


def test_a_steady_stitcher_goes_on_for_a_while_and_a_resting_one_rests():
    steady = simulate_days(series([30] * 200), 14, 400) > 0
    resting = simulate_days(series([30] * 200 + [0] * 200), 14, 400) > 0
    assert steady.mean() > 0.7
    assert resting.mean() < 0.1


def test_late_days_are_drawn_more_often_than_early_ones(sure):
    found = simulate_days(series([10] * 150 + [100] * 50), 20, 600)
    large = (found == 100).sum() / (found > 0).sum()
    assert 0.6 < large < 0.95


def test_what_a_day_unpicked_is_taken_off_the_days_before(sure):
    table = sizes(np.array([50.0, 30.0, -40.0, 20.0]))
    assert set(np.unique(table)) == {0.0, 20.0, 40.0}
    assert (table >= 0).all()


def test_a_stretch_is_read_as_a_loop_over_its_days_would():
    rng = np.random.default_rng(5)
    dense = np.where(rng.random((40, 60)) < 0.3, rng.integers(1, 50, (40, 60)), 0).astype(np.float32)
    stretch = Stretch(np.flatnonzero(dense), dense[dense > 0], 40, 60)
    wanted = rng.uniform(1, 500, 40)
    days, worked = stretch.reach(wanted)
    for path in range(40):
        total, found = 0.0, np.inf
        for day, stitches in enumerate(dense[path], start=1):
            total += stitches
            if total >= wanted[path] - 1e-6 and np.isinf(found):
                found = day
        assert days[path] == found
        assert worked[path] == pytest.approx(total)
    assert (stretch.dense() == dense).all()
    assert (stretch.dense(20) == dense.reshape(40, 3, 20).sum(axis=2)).all()


def test_within_a_far_step_stitches_are_spread_evenly():
    stretch = Stretch(np.array([0, 2, 4]), np.array([28.0, 56.0, 10.0]), 2, 3, 28)
    days, worked = stretch.reach(np.array([42.0, 11.0]))
    assert days.tolist() == [56 + 7, np.inf]  # 28 in the first four weeks, none in the next, 14 of 56 in the third
    assert worked.tolist() == [84.0, 10.0]


@pytest.mark.parametrize("chance", [0.0, 0.002, 0.1, 0.7, 1.0])
def test_far_steps_bring_what_single_days_would(chance):
    # The binomial law (scipy), and the mean and variance of a sum of a random number of days (law of total variance).
    rng = np.random.default_rng(9)
    tables = sizes(np.tile([20.0, 40.0, 90.0], 30))[2:]
    runs = _runs(tables, rng)
    found = _by_steps(np.full((3000, 26), chance, np.float32), 28, runs, np.zeros(3000, int), rng)
    steps = found.dense(28)
    assert (steps > 0).mean() == pytest.approx(1 - binom.pmf(0, 28, chance), abs=0.01)
    days, day = 28 * chance, tables[0].astype(float)
    assert steps.mean() == pytest.approx(days * day.mean(), rel=0.03)
    assert steps.var() == pytest.approx(days * day.var() + days * (1 - chance) * day.mean() ** 2, rel=0.1)


def test_dice_are_even_and_fall_below_a_threshold_as_often_as_they_should():
    dice = _dice(np.random.default_rng(10), 400_001, 1024)
    assert len(dice) == 400_001 and dice.max() == 1023
    assert chisquare(np.bincount(dice)).pvalue > 0.01
    assert (_dice(np.random.default_rng(11), 400_000) < _threshold(0.037)).mean() == pytest.approx(0.037, abs=0.002)


def test_levels_of_a_part_are_those_of_its_law_in_the_long_run():
    rng = np.random.default_rng(6)
    levels = spells.read(np.zeros(0, bool)).draw(4000, rng)
    found = rates(levels, 7, rng)
    expected = spells.TYPICAL + sum(float(np.mean(p.levels(rng.standard_normal(200_000)))) for p in spells.PARTS)
    assert found.mean() == pytest.approx(expected, abs=0.1)


def test_seasons_change_as_often_as_they_should():
    rng = np.random.default_rng(7)
    levels = spells.read(np.zeros(0, bool)).draw(4000, rng)
    before = levels[2].copy()
    rates(levels, 7, rng)
    stayed = (levels[2] == before.astype(np.float32)).mean()
    assert stayed == pytest.approx((1 - spells.PARTS[1].ends(7)) ** 26, abs=0.04)
