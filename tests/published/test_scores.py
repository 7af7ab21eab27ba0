"""Scores, intermittent demand and first-passage times against values from outside.

Status as our list of references gives it: 'from memory' where a source was not at hand, 'recomputed' where the value
was worked out again from its formula.
"""

import numpy as np
import pandas as pd
import pytest
from scipy import integrate, stats

from stitchlog.model.forecast.finishing import days_until, finish_series
from stitchlog.model.forecast.paths import Stretch
from tests.model.forecast.scores import crps
from tests.tools.score_forecasts import croston

# Gneiting & Raftery 2007, Journal of the American Statistical Association 102:359-378 (formulas from memory), values
# recomputed by quadrature or summation: the law, the truth, the score.
LAWS = [
    (stats.norm(), 0.0, 0.2336949773),
    (stats.norm(), 1.0, 0.6024413576),
    (stats.norm(), -1.0, 0.6024413576),
    (stats.norm(), 2.0, 1.4527918217),
    (stats.gamma(2), 2.0, 0.3326822659),
    (stats.gamma(4, scale=0.5), 1.0, 0.5282660096),
    (stats.expon(), 1.0, 2 / np.e - 0.5),
    (stats.poisson(3), 2.0, 0.5417440078),
    (stats.poisson(10), 12.0, 1.2889671667),
    (stats.poisson(1), 0.0, 0.4762223882),
    (stats.nbinom(5, 0.5), 3.0, 1.0064879910),
    (stats.nbinom(2, 0.25), 6.0, 1.1486275453),
    (stats.nbinom(1, 0.5), 0.0, 1 / 3),
]


@pytest.mark.parametrize(("law", "truth", "value"), LAWS)
def test_the_score_of_a_large_ensemble_is_that_of_its_law(law, truth, value):
    even = (np.arange(20_000) + 0.5) / 20_000  # an ensemble at even quantiles, so that no chance enters
    assert crps(law.ppf(even), truth) == pytest.approx(value, abs=5e-4)


def test_the_score_of_the_normal_law_by_quadrature():
    # The definition: the integral of (F(x) - 1[x >= y])^2.
    below = integrate.quad(lambda x: stats.norm.cdf(x) ** 2, -12, 0)[0]
    above = integrate.quad(lambda x: stats.norm.sf(x) ** 2, 0, 12)[0]
    assert below + above == pytest.approx((np.sqrt(2) - 1) / np.sqrt(np.pi), abs=1e-9)


@pytest.mark.parametrize(
    # Energy form, Gneiting & Raftery 2007, equation 21 (from memory; values derived by hand).
    ("ensemble", "truth", "value"),
    [([1, 2, 3, 4], 2.5, 0.375), ([1, 2, 3], 2.0, 2 / 9), ([5.0], 2.0, 3.0)],
)
def test_the_score_of_a_small_ensemble(ensemble, truth, value):
    assert crps(np.array(ensemble, float), truth) == pytest.approx(value, abs=1e-12)


def test_the_score_agrees_with_the_definition_by_pairs():
    rng = np.random.default_rng(1)
    x = rng.gamma(2, 3, 60)
    pairs = np.abs(x[:, None] - x[None, :]).mean()
    assert crps(x, 4.0) == pytest.approx(np.abs(x - 4.0).mean() - pairs / 2, abs=1e-12)


def test_crostons_example():
    # Hyndman & Athanasopoulos, Forecasting: Principles and Practice, the section on counts: the series and the
    # equations seen, the printed results (2.750, 2.793, 0.985) from memory; recomputed. The scorer compares with this
    # method, which gives one number and no window.
    series = [
        0,
        2,
        0,
        1,
        0,
        11,
        0,
        0,
        0,
        0,
        2,
        0,
        6,
        3,
        0,
        0,
        0,
        0,
        0,
        7,
        0,
        0,
        0,
        0,
        0,
        0,
        0,
        3,
        1,
        0,
        0,
        1,
        0,
        1,
        0,
        0,
    ]
    assert len(series) == 36
    size, gap, forecast = croston(np.array(series))
    assert size == pytest.approx(2.750254, abs=1e-6)
    assert gap == pytest.approx(2.793280, abs=1e-6)
    assert forecast == pytest.approx(0.984597, abs=1e-6)


def test_a_steady_stitcher_arrives_when_division_says():
    # Constant rate: first passage of a sure 50 a day through 990 is on day 20, whether it is 49.5 or 52.
    daily = pd.Series(50.0, pd.date_range("2020-01-01", periods=1500))
    days = finish_series(daily, 990.0, paths=400)
    assert np.quantile(days, 0.5) == 20
    assert (days >= 20).all()


def test_first_passage_of_a_drifted_walk_follows_the_inverse_gaussian_law():
    # Days of independent amounts with mean m and variance v pass a far level b after about an inverse Gaussian time
    # with mean b / m and shape b^2 / v (Folks & Chhikara 1978, Journal of the Royal Statistical Society B 40:263-289;
    # from memory). A gamma walk only climbs, and overshoots the level by about half of (m + v / m) on average.
    paths, days, mean, shape_of_day, level = 4000, 400, 10.0, 1.0, 1500.0
    rng = np.random.default_rng(3)
    amounts = rng.gamma(shape_of_day, mean / shape_of_day, (paths, days))
    walk = Stretch(np.arange(paths * days), amounts.ravel(), paths, days)
    found = days_until(level, [walk], paths)
    variance = mean**2 / shape_of_day
    passed = level + (mean + variance / mean) / 2
    law = stats.invgauss(mu=passed / mean / (passed**2 / variance), scale=passed**2 / variance)
    assert found.mean() == pytest.approx(law.mean(), rel=0.01)
    assert np.quantile(found, [0.1, 0.5, 0.9]) == pytest.approx(law.ppf([0.1, 0.5, 0.9]), rel=0.02)
