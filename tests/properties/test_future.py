"""One future: what holds for every diary, whatever was stitched in it."""

import tempfile
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stitchlog.model.forecast import scenario
from stitchlog.model.forecast.future import finish, future
from tests.model.forecast.diaries import write

PATHS = 16
few = settings(max_examples=8, deadline=None)


@st.composite
def diaries(draw):
    """A diary of some pieces worked in any order, one set aside, one without a total, with gaps of any length."""
    names = ["Otter", "Fox", "Owl", "Hare"][: draw(st.integers(2, 4))]
    day, rows = pd.Timestamp("2024-01-01"), []
    for _ in range(draw(st.integers(3, 40))):
        rows.append(f"{draw(st.sampled_from(names))},{day.date()},{draw(st.integers(1, 200))}")
        day += pd.Timedelta(days=draw(st.sampled_from([0, 1, 1, 1, 2, 5, 40])))
    totals = [draw(st.integers(50, 9000)) for _ in names]
    pieces = [f"{name},{total}" for name, total in zip(names, totals, strict=True)]
    if draw(st.booleans()):
        pieces[-1] = f"{names[-1]},"
    return rows, pieces


def opened(made):
    return write(Path(tempfile.mkdtemp()), *made)


@few
@given(diaries())
def test_pieces_add_up_to_the_total_of_every_path(made):
    ahead = future(opened(made), PATHS)
    got = ahead.dealt
    everything = np.bincount(got.path, got.stitches, PATHS)
    assert ahead.total(int(got.edges[-1])) == pytest.approx(everything, abs=1e-3)
    assert np.bincount(got.path, got.effort, PATHS) == pytest.approx(got.effort_of.sum(axis=1), abs=1e-3)
    # No piece gets more than it needs, and one that is finished gets all of it.
    for j in range(len(ahead.pieces)):
        mine = got.piece == j
        effort = np.bincount(got.path[mine], got.effort[mine], PATHS)
        assert (effort <= got.need[:, j] + 1e-3).all()
        over = np.isfinite(got.clock[:, j])
        assert effort[over] == pytest.approx(got.need[over, j], abs=1e-3)


@few
@given(diaries(), st.floats(1, 300))
def test_more_time_never_finishes_a_piece_later_and_what_one_gets_others_wait_for(made, more):
    diary = opened(made)
    ahead = future(diary, PATHS)
    for name in ahead.open():
        usual = ahead.finish(name).days
        assert (scenario.with_more(ahead, name, more, "with more").days <= usual).all()
        assert (scenario.with_share(ahead, name).days <= usual).all()
        assert (scenario.with_first(ahead, name, [name]).days <= usual).all()
        for other in set(ahead.open()) - {name}:
            assert (scenario.with_first(ahead, other, [name]).days >= ahead.finish(other).days).all()


@few
@given(diaries())
def test_a_piece_has_the_same_quantiles_everywhere(made):
    diary = opened(made)
    ahead = future(diary, PATHS)
    for row in ahead.order().itertuples():
        found = finish(diary, row.piece, paths=PATHS)
        dates = [found.date(q) for q in (0.1, 0.5, 0.9)]
        assert [d for d in (row.q10, row.q50, row.q90) if pd.notna(d)] == [d for d in dates if pd.notna(d)]
        assert (scenario.reached(ahead, row.piece, np.array([1.0]))[0] == found.days).all()


@few
@given(diaries())
def test_the_same_seed_gives_the_same_future_and_a_diary_at_its_day_is_itself(made):
    one, other = future(opened(made), PATHS, 3), future(opened(made), PATHS, 3)
    assert (one.dealt.clock == other.dealt.clock).all() and (one.total(60) == other.total(60)).all()
    diary = opened(made)
    assert (future(diary.at(diary.last_day), PATHS, 3).dealt.clock == one.dealt.clock).all()


@few
@given(diaries(), st.integers(2000, 9000))
def test_more_work_is_not_finished_sooner(made, more):
    rows, pieces = made
    name, total = pieces[0].split(",")
    less = opened((rows, [f"{name},{int(total) + 9000}", *pieces[1:]]))
    longer = opened((rows, [f"{name},{int(total) + 9000 + more}", *pieces[1:]]))
    if name not in future(less, 200).open():
        return
    # A larger total also says something of the piece's speed and of past forecasts, hence the middle alone.
    one, other = (np.median(finish(d, name, paths=200).days) for d in (less, longer))
    assert one <= 1.05 * other
