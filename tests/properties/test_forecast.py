"""What holds for every diary and every amount of work."""

import numpy as np
import pandas as pd
from hypothesis import given, settings
from hypothesis import strategies as st

from stitchlog.model.forecast.finishing import Forecast, finish_series
from stitchlog.model.forecast.paths import HORIZON, simulate_days, sizes
from tests.model.forecast.scores import crps

PATHS = 24
amounts = st.lists(
    st.one_of(st.just(0.0), st.integers(-30, 400).map(float), st.floats(0.25, 900, width=32)), min_size=1, max_size=120
)
some_work = st.floats(0.25, 20_000)
seeds = st.integers(0, 2**31)
few = settings(max_examples=60, deadline=None)


def series(values):
    return pd.Series(values, pd.date_range("2025-01-01", periods=len(values)))


@few
@given(amounts, some_work, seeds)
def test_days_are_whole_positive_and_never_missing(values, remaining, seed):
    days = finish_series(series(values), remaining, PATHS, seed)
    assert days.shape == (PATHS,)
    assert not np.isnan(days).any()
    finite = days[np.isfinite(days)]
    assert ((finite >= 1) & (finite <= HORIZON) & (finite == np.round(finite))).all()


@few
@given(amounts, some_work, some_work, seeds)
def test_more_work_is_never_done_sooner_on_any_path(values, one, other, seed):
    less, more = sorted((one, other))
    assert (finish_series(series(values), less, PATHS, seed) <= finish_series(series(values), more, PATHS, seed)).all()


@few
@given(amounts, some_work, seeds)
def test_the_same_seed_gives_the_same_days(values, remaining, seed):
    first = finish_series(series(values), remaining, PATHS, seed)
    assert (first == finish_series(series(values), remaining, PATHS, seed)).all()


@few
@given(
    st.lists(st.integers(-30, 400), min_size=1, max_size=120),
    st.integers(1, 20_000),
    seeds,
    st.sampled_from([0.25, 64]),
)
def test_counting_in_another_unit_changes_nothing(values, remaining, seed, unit):
    days = finish_series(series(values), remaining, PATHS, seed)
    assert (days == finish_series(series([v * unit for v in values]), remaining * unit, PATHS, seed)).all()


@few
@given(amounts, st.integers(1, 200), st.integers(1, 200), seeds)
def test_simulated_days_are_no_stitches_or_some_and_a_short_look_begins_a_long_one(values, one, other, seed):
    short, long = sorted((one, other))
    found = simulate_days(series(values), long, PATHS, seed)
    assert found.shape == (PATHS, long) and (found >= 0).all() and np.isfinite(found).all()
    assert (found[:, :short] == simulate_days(series(values), short, PATHS, seed)).all()


@few
@given(st.lists(st.floats(-100, 100).filter(lambda v: v != 0), min_size=1, max_size=40))
def test_days_that_unpick_leave_the_total_as_it_was_where_it_is_not_negative(values):
    from stitchlog.model.forecast.paths import _settled

    settled = _settled(np.array(values))
    assert (settled >= 0).all()
    running = np.cumsum(values)
    if (running >= 0).all():
        assert np.isclose(settled.sum(), running[-1], atol=1e-6)
    assert (sizes(np.array(values)) >= 0).all()


@few
@given(st.lists(st.integers(1, 5000), min_size=1, max_size=60), st.data())
def test_ranges_are_ordered_and_chances_grow(days, data):
    one, other = data.draw(st.floats(0, 1)), data.draw(st.floats(0, 1))
    found = Forecast("P", pd.Timestamp("2025-01-01"), 100.0, np.array(days, float))
    low, high = sorted((one, other))
    a, b = found.date(low), found.date(high)
    assert pd.isna(b) or a <= b
    if pd.notna(b):
        assert found.chance(b) >= high - 1e-9
        assert found.chance(a) <= found.chance(b)


@few
@given(st.lists(st.floats(-50, 50), min_size=1, max_size=40), st.floats(-50, 50))
def test_the_score_is_zero_at_best_and_no_more_than_the_mean_error(sample, truth):
    value = crps(np.array(sample), truth)
    assert -1e-9 <= value <= np.abs(np.array(sample) - truth).mean() + 1e-9
