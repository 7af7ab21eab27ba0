"""The statistics of pace and rotation against published values.

NIST StRD: Statistical Reference Datasets, www.itl.nist.gov/div898/strd. Status: Norris was seen in a copy of its file
header and recomputed; Longley is from memory and recomputed to 15 digits in 60-digit arithmetic.
"""

import datetime as dt

import numpy as np
import pandas as pd
import pytest
from scipy.stats import binomtest

from stitchlog.model.pace.linear import Fit, grouped_least_squares
from stitchlog.model.pace.pooling import pool
from stitchlog.reports.rotation.flow import in_progress
from stitchlog.reports.rotation.shares import diversity
from tests.reports.pace.simulated import diary_of

# NIST StRD, Norris.dat: y, x.
NORRIS = """
0.1 0.2  338.8 337.4  118.1 118.2  888.0 884.6  9.2 10.1  228.1 226.5  668.5 666.3  998.5 996.3  449.1 448.6
778.9 777.0  559.2 558.2  0.3 0.4  0.1 0.6  778.1 775.5  668.8 666.9  339.3 338.0  448.9 447.5  10.8 11.6
557.7 556.0  228.3 228.1  998.0 995.8  888.8 887.6  119.6 120.2  0.3 0.3  0.6 0.3  557.6 556.8  339.3 339.1
888.0 887.2  998.5 999.0  778.9 779.0  10.2 11.1  117.6 118.3  228.9 229.2  668.4 669.1  449.2 448.9  0.2 0.5
"""

# NIST StRD, Longley.dat: y, then x1 to x6.
LONGLEY = """
60323 83.0 234289 2356 1590 107608 1947   61122 88.5 259426 2325 1456 108632 1948
60171 88.2 258054 3682 1616 109773 1949   61187 89.5 284599 3351 1650 110929 1950
63221 96.2 328975 2099 3099 112075 1951   63639 98.1 346999 1932 3594 113270 1952
64989 99.0 365385 1870 3547 115094 1953   63761 100.0 363112 3578 3350 116219 1954
66019 101.2 397469 2904 3048 117388 1955  67857 104.6 419180 2822 2857 118734 1956
68169 108.4 442769 2936 2798 120445 1957  66513 110.8 444546 4681 2637 121950 1958
68655 112.6 482704 3813 2552 123366 1959  69564 114.2 502601 3931 2514 125368 1960
69331 115.7 518173 4806 2572 127852 1961  70551 116.9 554894 4007 2827 130081 1962
"""


def _table(text: str, columns: int) -> np.ndarray:
    return np.array(text.split(), float).reshape(-1, columns)


def _alone(x: np.ndarray, y: np.ndarray) -> tuple[Fit, float, float]:
    """The fit with every row a group of its own, which is plain least squares; the residual's deviation; R squared."""
    fit = grouped_least_squares(np.column_stack([np.ones(len(x)), x]), y, np.arange(len(y)))
    sd = fit.sd * np.sqrt(1.0 + fit.ratio)
    return fit, sd, 1.0 - sd**2 * (len(y) - len(fit.coef)) / np.sum((y - y.mean()) ** 2)


def test_norris():
    y, x = _table(NORRIS, 2).T
    fit, sd, r_squared = _alone(x, y)
    assert fit.coef == pytest.approx([-0.262323073774029, 1.00211681802045], rel=1e-12)
    assert fit.se == pytest.approx([0.232818234301152, 0.429796848199937e-3], rel=1e-12)
    assert r_squared == pytest.approx(0.999993745883712, rel=1e-13)
    assert sd == pytest.approx(0.884796396144373, rel=1e-12)


def test_longley():
    data = _table(LONGLEY, 7)
    fit, sd, r_squared = _alone(data[:, 1:], data[:, 0])
    certified = [
        -3482258.63459582,
        15.0618722713733,
        -0.358191792925910e-1,
        -2.02022980381683,
        -1.03322686717359,
        -0.511041056535807e-1,
        1829.15146461355,
    ]
    # Columns this alike cost digits: ten are asked for.
    assert fit.coef == pytest.approx(certified, rel=1e-10)
    assert sd == pytest.approx(304.854073561965, rel=1e-10)
    assert r_squared == pytest.approx(0.995479004577296, rel=1e-12)


@pytest.mark.parametrize("between", [0.1, 0.4])
def test_groups_agree_with_a_statistics_library(between):
    """Restricted maximum likelihood of a random intercept, as statsmodels' MixedLM fits it."""
    api = pytest.importorskip("statsmodels.regression.mixed_linear_model")
    rng = np.random.default_rng(int(between * 100))
    group = np.repeat(np.arange(12), rng.integers(3, 25, 12))
    x = np.column_stack([np.ones(len(group)), rng.normal(size=len(group)), rng.normal(size=12)[group]])
    y = x @ [4.6, -0.05, 0.2] + rng.normal(0, between, 12)[group] + rng.normal(0, 0.2, len(group))
    ours = grouped_least_squares(x, y, group)
    theirs = api.MixedLM(y, x, group).fit(reml=True)
    assert ours.coef == pytest.approx(theirs.fe_params, rel=2e-3, abs=2e-4)
    assert ours.se == pytest.approx(np.sqrt(np.diag(theirs.cov_params()))[:3], rel=0.01)
    assert ours.ratio == pytest.approx(float(theirs.cov_re[0, 0]) / theirs.scale, rel=0.03)


# A. Gelman et al., Bayesian Data Analysis, 3rd ed., table 5.2 (effects and standard errors) and 5.3 (quantiles from 200
# draws). Status: from memory; with 200 draws the printed ends are good to some two points.
SCHOOLS = np.array([28.0, 8.0, -3.0, 7.0, -1.0, 1.0, 18.0, 12.0]), np.array([15.0, 10, 16, 11, 9, 11, 10, 18])
SCHOOL_QUANTILES = [
    (-2, 10, 31),
    (-5, 8, 23),
    (-11, 7, 19),
    (-7, 8, 21),
    (-9, 5, 18),
    (-7, 6, 28),
    (-1, 10, 26),
    (-6, 8, 33),
]


def test_eight_schools():
    # The book's effects are in test points; here they are brought to the scale of log paces.
    points = 20.0
    effects, errors = SCHOOLS
    pooled = pool(effects / points, (errors / points) ** 2)
    low, high = pooled.window(0.95)
    printed = np.array(SCHOOL_QUANTILES, float)
    assert pooled.expected() * points == pytest.approx(printed[:, 1], abs=2.5)
    # F's and H's upper ends vary most among draws.
    assert low * points == pytest.approx(printed[:, 0], abs=4.5)
    assert np.delete(high, [5, 7]) * points == pytest.approx(np.delete(printed[:, 2], [5, 7]), abs=4.5)


# R. G. Newcombe 1998, Stat. Med. 17:857-872, the worked examples. Status: table from memory, recomputed.
@pytest.mark.parametrize(
    ("hits", "of", "low", "high"),
    [(81, 263, 0.2553, 0.3662), (15, 148, 0.0624, 0.1605), (0, 20, 0.0, 0.1611), (1, 29, 0.0061, 0.1718)],
)
def test_wilson_windows(hits, of, low, high):
    """The windows that tell whether a measured coverage may be chance (`tests/pace/test_coverage.py`)."""
    found = binomtest(hits, of).proportion_ci(0.95, method="wilson")
    assert (found.low, found.high) == (pytest.approx(low, abs=6e-5), pytest.approx(high, abs=6e-5))


# Shannon's H and Pielou's J = H / ln S as two help pages define them. Status: definition seen, values recomputed.
@pytest.mark.parametrize(
    ("parts", "entropy", "evenness"),
    [
        ((10, 20, 30), 1.011404, 0.920620),
        ((30, 30, 20, 20), 1.366159, 0.985475),
        ((60, 10, 25, 1, 4), 1.058134, 0.657456),
    ],
)
def test_effective_number_and_evenness(parts, entropy, evenness):
    effective, even = diversity(np.array(parts))
    assert np.log(effective) == pytest.approx(entropy, abs=1e-6)
    assert even == pytest.approx(evenness, abs=1e-6)


def test_effective_number_lies_between_the_inverse_herfindahl_index_and_the_number_of_parts():
    """HHI of 30, 30, 20, 20 is 2,600 (US DOJ and FTC text, quoted on a forum; status: second hand, recomputed)."""
    parts = np.array([30.0, 30, 20, 20])
    index = float((parts**2).sum())
    assert index == 2600
    effective, _ = diversity(parts)
    assert 10_000 / index < effective < 4
    assert effective == pytest.approx(3.920, abs=5e-4)


# ISO 8601 weeks as Python's documentation and others restate them. Status: second hand, recomputed.
@pytest.mark.parametrize(
    ("day", "year", "week"),
    [
        ("2003-12-29", 2004, 1),
        ("2004-01-04", 2004, 1),
        ("2013-12-30", 2014, 1),
        ("2020-12-31", 2020, 53),
        ("1970-01-01", 1970, 1),
        ("2000-01-01", 1999, 52),
        ("2005-01-01", 2004, 53),
        ("2010-01-03", 2009, 53),
        ("2026-01-01", 2026, 1),
    ],
)
def test_a_strip_shows_the_iso_week_of_a_session(day, year, week):
    """`rotation.in_progress` starts a worked week on its Monday."""
    begun = pd.Timestamp(day) - pd.Timedelta(days=30)
    rows = pd.DataFrame({"piece": "Moss", "date": [begun, pd.Timestamp(day)], "stitches": 10})
    strip = in_progress(
        diary_of(rows), begun - pd.Timedelta(days=7), pd.Timestamp(day) + pd.Timedelta(days=7)
    ).stretches
    worked = strip.loc[strip["what"] == "worked", "since"]
    assert worked.max() == pd.Timestamp(dt.date.fromisocalendar(year, week, 1))
