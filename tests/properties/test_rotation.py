"""What holds for the rotation of any diary."""

from itertools import pairwise

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stitchlog.reports import rotation
from stitchlog.reports.rotation.picking import PARTS
from stitchlog.reports.rotation.shares import MEASURES, diversity
from tests.reports.pace.simulated import diary_of

# A diary takes some time, on a busy machine more than hypothesis allows of itself.
FEW = settings(deadline=None, max_examples=30)
PIECES = ["Moss", "Fern", "Reed", "Sedge"]
SESSIONS = st.lists(
    st.tuples(
        st.sampled_from(PIECES), st.integers(0, 90), st.integers(-20, 400), st.one_of(st.none(), st.integers(1, 200))
    ),
    min_size=1,
    max_size=30,
)
WANTS = st.lists(st.one_of(st.none(), st.floats(0, 1)), min_size=4, max_size=4)


def _diary(sessions, wants=(None,) * 4):
    frame = pd.DataFrame(sessions, columns=["piece", "day", "stitches", "minutes"])
    frame["date"] = pd.Timestamp("2026-01-01") + pd.to_timedelta(frame["day"], unit="D")
    return diary_of(frame.drop(columns="day"), pd.DataFrame({"piece": PIECES, "want": list(wants)}))


@FEW
@given(SESSIONS, st.sampled_from(list(MEASURES)))
def test_shares_are_shares(sessions, by):
    balance = rotation.balance(_diary(sessions), by=by)
    found = balance.pieces
    assert found["share"].between(0, 1).all()
    assert found["share"].sum() == pytest.approx(1) or (found["share"] == 0).all()
    assert found["sessions"].sum() == len(sessions)
    if balance.touched:
        assert 1 - 1e-9 <= balance.effective_pieces <= balance.touched + 1e-9
        assert 0 <= balance.evenness <= 1 + 1e-9


@FEW
@given(st.lists(st.floats(0.01, 1e4), min_size=1, max_size=20), st.floats(0.01, 100))
def test_diversity_does_not_care_for_units_or_order(parts, factor):
    here, there = diversity(np.array(parts)), diversity(np.array(parts[::-1]) * factor)
    assert here == pytest.approx(there)
    assert diversity(np.array([*parts, 0.0])) == pytest.approx(here)


@FEW
@given(st.integers(1, 40))
def test_equal_parts_are_as_many_as_they_are(size):
    assert diversity(np.full(size, 3.0)) == pytest.approx((size, 1.0))


@FEW
@given(SESSIONS, WANTS, st.one_of(st.none(), st.sampled_from(["travel", "x y"])))
def test_points_are_the_sum_of_their_parts(sessions, wants, suits):
    found = rotation.next_up(_diary(sessions, wants), suits=suits).pieces
    assert found["points"].to_numpy() == pytest.approx(found[list(PARTS)].sum(axis=1).to_numpy())
    assert (found[list(PARTS)] >= 0).all().all()
    assert found["points"].is_monotonic_decreasing
    assert found["reason"].str.len().gt(0).all()


@FEW
@given(SESSIONS)
def test_changes_and_stays_are_all_sessions_but_the_first(sessions):
    frame = rotation.switches(_diary(sessions))
    ordered = sorted(enumerate(sessions), key=lambda s: (s[1][1], s[0]))
    names = [s[1][0] for s in ordered]
    assert frame.total == sum(a != b for a, b in pairwise(names))
    assert frame.months["sessions"].sum() == len(sessions)


@FEW
@given(SESSIONS, st.integers(0, 60), st.integers(0, 60))
def test_strips_stay_within_the_period(sessions, first, length):
    start = pd.Timestamp("2026-01-01") + pd.Timedelta(days=first)
    end = start + pd.Timedelta(days=length)
    frame = rotation.in_progress(_diary(sessions), start, end).stretches
    assert ((frame["since"] >= start) & (frame["until"] <= end) & (frame["since"] <= frame["until"])).all()
