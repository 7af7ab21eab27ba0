"""What holds for the pace of any diary."""

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stitchlog.model.pace.linear import grouped_least_squares
from stitchlog.model.pace.pooling import pool
from stitchlog.reports import pace
from tests.reports.pace.simulated import diary_of

# A diary takes some time, on a busy machine more than hypothesis allows of itself.
FEW = settings(deadline=None, max_examples=30)
SESSIONS = st.lists(
    st.tuples(
        st.sampled_from(["Moss", "Fern", "Reed", "Sedge"]),
        st.integers(0, 400),
        st.integers(0, 900),
        st.one_of(st.none(), st.integers(1, 300)),
        st.one_of(st.none(), st.integers(0, 60)),
    ),
    min_size=1,
    max_size=30,
)


def _diary(sessions):
    frame = pd.DataFrame(sessions, columns=["piece", "day", "worked", "minutes", "unpicked"])
    frame["date"] = pd.Timestamp("2026-01-01") + pd.to_timedelta(frame["day"], unit="D")
    frame["stitches"] = frame["worked"] - frame["unpicked"].astype(float).fillna(0)
    return diary_of(frame.drop(columns=["day", "worked"]))


@FEW
@given(SESSIONS)
def test_windows_hold_their_middle_and_lie_above_nothing(sessions):
    found = pace.compare(_diary(sessions))
    known = found[found["per_hour"].notna()]
    assert (known["per_hour_low"] > 0).all()
    assert (known["per_hour_low"] <= known["per_hour"] * 1.2).all()
    assert (known["per_hour_low"] < known["per_hour_high"]).all()
    assert np.isfinite(known[["per_hour", "per_hour_low", "per_hour_high", "fair_per_hour"]].to_numpy()).all()


@FEW
@given(SESSIONS)
def test_drawn_paces_stay_among_the_pieces_own(sessions):
    found = pace.compare(_diary(sessions))
    known = found[found["per_hour"].notna()]
    if len(known):
        assert known["per_hour"].min() >= known["raw_per_hour"].min() * (1 - 1e-6)
        assert known["per_hour"].max() <= known["raw_per_hour"].max() * (1 + 1e-6)


@FEW
@given(SESSIONS, st.randoms(use_true_random=False))
def test_the_order_of_rows_does_not_matter(sessions, random):
    shuffled = list(sessions)
    random.shuffle(shuffled)
    a, b = pace.compare(_diary(sessions)).set_index("piece"), pace.compare(_diary(shuffled)).set_index("piece")
    pd.testing.assert_frame_equal(a.sort_index(), b.sort_index(), rtol=1e-6)


@FEW
@given(SESSIONS)
def test_untimed_sessions_leave_every_hourly_figure_alone(sessions):
    timed = [s for s in sessions if s[3] is not None]
    hourly = ["per_hour", "per_hour_low", "per_hour_high", "raw_per_hour", "worked_per_hour"]
    whole = pace.compare(_diary(sessions)).set_index("piece")[hourly].dropna().sort_index()
    without = pace.compare(_diary(timed)).set_index("piece")[hourly].dropna().sort_index() if timed else whole[:0]
    pd.testing.assert_frame_equal(whole, without)


@FEW
@given(SESSIONS)
def test_totals_are_the_diary_s_own(sessions):
    diary = _diary(sessions)
    found = pace.compare(diary)
    assert found["stitches"].sum() == pytest.approx(diary.sessions["stitches"].sum())
    assert found["sessions"].sum() == len(sessions)
    assert found["hours"].sum() == pytest.approx(diary.sessions["minutes"].sum() / 60)


VALUES = st.lists(st.tuples(st.floats(-2, 2), st.floats(0.001, 1.0)), min_size=1, max_size=8)


@FEW
@given(VALUES, st.floats(-3, 3))
def test_pooling_moves_with_its_values(pairs, shift):
    values, variances = np.array(pairs).T
    here, there = pool(values, variances), pool(values + shift, variances)
    assert there.expected() == pytest.approx(here.expected() + shift, abs=1e-6)
    assert there.window()[0] == pytest.approx(here.window()[0] + shift, abs=1e-5)


@FEW
@given(VALUES)
def test_a_surer_window_is_wider_and_chances_are_fair(pairs):
    values, variances = np.array(pairs).T
    pooled = pool(values, variances)
    (a, b), (c, d) = pooled.window(0.5), pooled.window(0.9)
    assert (c <= a).all() and (a <= b).all() and (b <= d).all()
    if len(values) > 1:
        assert pooled.chance_above(0, 1) + pooled.chance_above(1, 0) == pytest.approx(1)


@FEW
@given(st.integers(0, 10_000), st.integers(2, 6))
def test_one_row_a_group_is_plain_least_squares(seed, columns):
    rng = np.random.default_rng(seed)
    x = np.column_stack([np.ones(30), rng.normal(size=(30, columns - 1))])
    y = rng.normal(size=30)
    coef, squares, *_ = np.linalg.lstsq(x, y)
    fit = grouped_least_squares(x, y, np.arange(30))
    # A level for every row is the same as no levels: what differs is only whose variance it is called.
    assert fit.coef == pytest.approx(coef, abs=1e-8)
    assert fit.cov == pytest.approx(np.linalg.inv(x.T @ x) * squares / (30 - columns), rel=1e-6, abs=1e-12)
