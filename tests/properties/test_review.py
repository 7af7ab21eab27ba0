"""Promises of a review that hold for any diary."""

import tempfile
from datetime import date, timedelta
from pathlib import Path

import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stitchlog import open_diary
from stitchlog.reports import review

FIRST = date(2026, 1, 1)
ROWS = st.lists(
    st.tuples(st.sampled_from("ABC"), st.integers(0, 40), st.integers(0, 300), st.integers(0, 60), st.integers(0, 90)),
    min_size=1,
    max_size=25,
)


@settings(max_examples=25, deadline=None)
@given(ROWS, st.integers(0, 40), st.integers(0, 40), st.integers(0, 40))
def test_periods_that_meet_add_up_and_counts_follow_on(rows, a, b, c):
    start, cut, end = (FIRST + timedelta(days=d) for d in sorted((a, b, c)))
    lines = "".join(f"{p},{FIRST + timedelta(days=d)},{s},{u},{m or ''}\n" for p, d, s, u, m in rows)
    with tempfile.TemporaryDirectory() as folder:
        (Path(folder) / "diary.csv").write_text(f"piece,date,stitches,unpicked,minutes\n{lines}", "utf-8")
        (Path(folder) / "pieces.csv").write_text("piece,total,done_before\nA,5000,120\nB,,\nC,800,0\n", "utf-8")
        diary = open_diary(folder)
    whole = review.pieces(diary, start, end).set_index("piece")
    parts = [review.pieces(diary, start, cut).set_index("piece")]
    if cut < end:
        parts.append(review.pieces(diary, cut + timedelta(days=1), end).set_index("piece"))
    for column in ("stitches", "sessions", "days", "minutes", "unpicked"):
        sums = pd.concat(p[column] for p in parts).groupby(level=0).sum()
        assert sums.sort_index().to_list() == pytest.approx(whole[column].fillna(0.0).sort_index().to_list()), column
    assert (whole["before"] + whole["stitches"]).to_list() == pytest.approx(whole["after"].to_list())
    assert whole["before_share"].dropna().between(0, 1).all() and whole["after_share"].dropna().between(0, 1).all()
    assert whole["order"].to_list() == list(range(1, len(whole) + 1))
    assert whole["first_session"].is_monotonic_increasing
    assert whole["share"].sum() == pytest.approx(1.0) or not (whole["stitches"] > 0).any()
