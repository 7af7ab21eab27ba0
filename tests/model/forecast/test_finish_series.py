"""Days to finish from a series alone: the plain cases."""

import numpy as np
import pytest

from stitchlog import StitchlogError
from stitchlog.model.forecast.finishing import days_until_each, finish_series, own_futures, quantile
from stitchlog.model.forecast.paths import HORIZON
from tests.model.forecast.diaries import series


def sane(days, paths):
    assert isinstance(days, np.ndarray) and days.shape == (paths,)
    assert not np.isnan(days).any()
    finite = days[np.isfinite(days)]
    assert (finite >= 1).all() and (finite == np.round(finite)).all() and (finite <= HORIZON).all()


@pytest.mark.parametrize("remaining", [0, -5, 0.0])
def test_nothing_left_takes_no_day(remaining):
    assert (finish_series(series([10, 0, 20]), remaining, paths=30) == 0).all()


@pytest.mark.parametrize(
    "amounts",
    [[40], [0] * 30 + [40], [40] + [0] * 400, [30, 0, 25] * 60 + [0] * 150, [60] * 700, [0, 0, 5, 0], [20, -20, 15]],
    ids=["one day", "one session", "one session long ago", "idle months", "every day", "barely", "unpicked"],
)
@pytest.mark.parametrize("remaining", [1, 500, 40_000])
def test_odd_diaries_give_sane_days(amounts, remaining):
    sane(finish_series(series(amounts), remaining, paths=60), 60)


@pytest.mark.parametrize("amounts", [[], [0], [0] * 100, [-10, 0]])
def test_a_diary_without_stitches_is_never_done(amounts):
    assert np.isinf(finish_series(series(amounts), 100, paths=20)).all()


def test_what_cannot_be_reached_is_out_of_sight():
    assert np.isinf(finish_series(series([5] * 50), 1e9, paths=20)).all()


def test_missing_days_count_as_rest():
    with_gap, with_zero = series([30.0, np.nan, 20.0] * 30), series([30.0, 0.0, 20.0] * 30)
    assert (finish_series(with_gap, 300, 50) == finish_series(with_zero, 300, 50)).all()


def test_several_amounts_at_once_are_each_alone():
    amounts = np.array([20.0, 0, 35, 0, 0, 50] * 30)
    wanted = np.array([100.0, 700.0, 2500.0])
    together = days_until_each(wanted, own_futures(amounts, 80, 3), 80)
    for i, remaining in enumerate(wanted):
        assert (together[i] == finish_series(series(amounts), remaining, 80, 3)).all()


def test_a_break_makes_the_finish_later_and_the_window_wider():
    going = np.log(finish_series(series([40, 0] * 120), 2000, 400))
    resting = np.log(np.minimum(finish_series(series([40, 0] * 120 + [0] * 60), 2000, 400), HORIZON))
    assert np.median(resting) > np.median(going) + 0.5
    assert np.ptp(np.quantile(resting, [0.1, 0.9])) > np.ptp(np.quantile(going, [0.1, 0.9]))


def test_quantiles_are_whole_days():
    assert quantile(np.array([4.0, 1.0, 3.0, np.inf]), np.array([0.0, 0.25, 0.5, 0.75, 1.0])).tolist() == [
        1,
        1,
        3,
        4,
        np.inf,
    ]


def test_windows_hold_on_diaries_made_by_the_model_itself():
    # Diaries whose habit, seasons and moods are drawn from the constants; windows must then hold as often as they say.
    from stitchlog.model.forecast import spells
    from stitchlog.model.forecast.paths import rates
    from tests.model.forecast.scores import holds

    rng = np.random.default_rng(8)
    people, held = 60, []
    levels = spells.read(np.zeros(0, bool)).draw(people, rng)
    chance = np.concatenate([spells.chance_of_a_day(rates(levels, 7, rng)) for _ in range(8)], axis=1)
    worked = (rng.random((people, chance.shape[1] * 7)) < np.repeat(chance, 7, axis=1)) * 30.0
    for days in worked:
        past, future = days[:728], days[728:]
        if (past > 0).sum() < 15:
            continue
        remaining = past.mean() * 90
        reached = np.flatnonzero(future.cumsum() >= remaining)
        truth = float(reached[0] + 1) if len(reached) else np.inf
        held.append(holds(finish_series(series(past), remaining, 200), truth, len(future), 0.8))
    assert len(held) >= 25
    assert 0.65 <= np.mean(held) <= 0.97


def test_an_unknown_amount_is_refused():
    with pytest.raises(StitchlogError, match="must be a number"):
        finish_series(series([10, 20]), float("nan"))
