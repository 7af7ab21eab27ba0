"""The ranges hold the truth as often as they say, on fewer diaries than `tests.tools.pace_coverage` takes."""

import numpy as np
import pytest
from scipy.stats import binomtest

from stitchlog.model.pace import counted, paces
from stitchlog.reports import pace
from tests.reports.pace.simulated import World, simulate
from tests.tools.pace_coverage import WORLDS, coverage


@pytest.mark.parametrize("name", ["as usual", "four pieces of three sessions"])
def test_nine_windows_in_ten_hold_the_true_pace(name):
    found = coverage(WORLDS[name], diaries=60, seed=7)
    for rows in (found, found[found["sessions"] == 3]):
        wilson = binomtest(int(rows["held"].sum()), len(rows)).proportion_ci(0.95, method="wilson")
        assert wilson.low < 0.93 and wilson.high > 0.87
        assert 0.84 < rows["held"].mean() < 0.96


def test_what_is_measured_is_what_compare_shows():
    diary, _ = simulate(World(), np.random.default_rng(3))
    known = paces.pools(counted.sessions(diary))
    low, high = (np.exp(end) for end in known.pooled.window())
    found = pace.compare(diary).set_index("piece").loc[known.means.index]
    assert found["per_hour_low"].to_numpy() == pytest.approx(low)
    assert found["per_hour_high"].to_numpy() == pytest.approx(high)
