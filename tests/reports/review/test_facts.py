"""Ten facts of a period, recounted from the CSV with plain Python."""

from datetime import date, timedelta
from pathlib import Path

import pandas as pd
import pytest

from stitchlog import open_diary
from stitchlog.reports import review
from tests.reports.review import recount

DEMO = Path(__file__).parents[3] / "data_demo"
PERIODS = {
    "a count to date is cut": ("2025-12-20", "2025-12-31"),
    "one estimated session": ("2026-01-01", "2026-01-04"),
    "over new year": ("2025-12-25", "2026-01-10"),
    "more out than in": ("2026-03-01", "2026-03-31"),
    "nothing": ("2026-02-01", "2026-02-28"),
    "all of it": ("2025-01-01", "2026-12-31"),
}
DEMO_PERIODS = [("2025-12-15", "2026-01-15"), ("2026-10-01", "2026-10-31"), ("2026-06-10", "2026-09-09")]


def _hold(folder: Path, start: str, end: str) -> None:
    first, last = date.fromisoformat(start), date.fromisoformat(end)
    expected = recount.facts(folder, first, last)
    diary = open_diary(folder)
    found = review.pieces(diary, start, end)
    assert found["piece"].tolist() == list(expected)
    assert found["order"].tolist() == list(range(1, len(expected) + 1))
    for row in found.to_dict("records"):
        fact = expected[row["piece"]]
        piece = recount.pieces_of(folder).get(row["piece"], {})
        total = recount.total_of(piece)
        before = recount.done_by(folder, row["piece"], first)
        after = recount.done_by(folder, row["piece"], last + timedelta(days=1))
        assert row["stitches"] == pytest.approx(fact.stitches)
        assert row["sessions"] == fact.sessions
        assert row["days"] == len(fact.days)
        assert row["minutes"] == pytest.approx(fact.minutes) if fact.minutes else pd.isna(row["minutes"])
        assert row["before"] == pytest.approx(before)
        assert row["after"] == pytest.approx(after)
        assert row["after"] - row["before"] == pytest.approx(row["stitches"])
        if total is None:
            assert pd.isna(row["before_share"]) and pd.isna(row["after_share"])
        else:
            assert row["before_share"] == pytest.approx(min(1, before / total))
            assert row["after_share"] == pytest.approx(min(1, after / total))
        assert row["estimated"] == fact.estimated
        assert row["unpicked"] == fact.unpicked
        best = max(fact.by_day.values())
        assert pd.isna(row["best_stitches"]) if best <= 0 else row["best_stitches"] == pytest.approx(best)
        assert row["best_day"].date() == min(d for d, s in fact.by_day.items() if s == best) if best > 0 else True
        for column in ("started", "finished"):
            written = date.fromisoformat(piece[column]) if piece.get(column) else None
            if written is not None:
                inside = first <= written <= last
                assert row[column].date() == written if inside else pd.isna(row[column])
    _hold_sums(diary, expected, start, end)


def _hold_sums(diary, expected: dict[str, recount.Facts], start: str, end: str) -> None:
    stitches = sum(f.stitches for f in expected.values())
    days = set().union(*(f.days for f in expected.values()))
    this = review.compared(diary, start, end).iloc[0]
    assert this["stitches"] == pytest.approx(stitches)
    assert this["sessions"] == sum(f.sessions for f in expected.values())
    assert this["days"] == len(days)
    calendar = review.calendar(diary, start, end)
    assert len(calendar) == (date.fromisoformat(end) - date.fromisoformat(start)).days + 1
    assert {d.date() for d in calendar.loc[calendar["sessions"] > 0, "date"]} == days
    for row in calendar.to_dict("records"):
        by_piece = [f.by_day[row["date"].date()] for f in expected.values() if row["date"].date() in f.by_day]
        assert row["stitches"] == pytest.approx(sum(by_piece))
        marks = [i for i, f in enumerate(expected.values(), 1) if row["date"].date() in f.by_day]
        assert row["marks"] == " ".join(map(str, marks))
    running = review.running(diary, start, end)
    assert running.loc[running["which"] == "this", "total"].iloc[-1] == pytest.approx(stitches)


@pytest.mark.parametrize("name", PERIODS)
def test_the_facts_of_a_period(folder, name):
    _hold(folder, *PERIODS[name])


@pytest.mark.parametrize(("start", "end"), DEMO_PERIODS)
def test_the_facts_of_the_demo(start, end):
    _hold(DEMO, start, end)


def test_the_columns_are_the_ones_promised(diary):
    first = [
        "piece",
        "order",
        "stitches",
        "sessions",
        "days",
        "minutes",
        "before",
        "after",
        "before_share",
        "after_share",
    ]
    found = review.pieces(diary, "2025-12-20", "2026-01-10")
    assert found.columns[:12].tolist() == [*first, "started", "finished"]
    empty = review.pieces(diary, "2026-02-01", "2026-02-28")
    assert empty.empty
    assert empty.dtypes.equals(found.dtypes)


def test_a_count_to_date_belongs_to_its_own_day(diary):
    """The count rose from 1250 on 3 October to 1400 on 22 December: all of it counts on the day it was written down."""
    november = review.pieces(diary, "2025-11-01", "2025-12-21").set_index("piece")
    assert "Tide Clock" not in november.index
    december = review.pieces(diary, "2025-12-22", "2025-12-31").set_index("piece").loc["Tide Clock"]
    assert (december["before"], december["after"], december["stitches"]) == (1250, 1400, 150)


def test_an_estimate_is_flagged_and_follows_the_pieces_own_pace(diary):
    """Fern Gate: 109, 38 and -15 stitches in 60, 30 and 15 minutes are 132 in 105; 45 minutes make 56.57."""
    row = review.pieces(diary, "2026-01-01", "2026-01-04").iloc[0]
    assert (row["piece"], row["estimated"]) == ("Fern Gate", 1)
    assert row["stitches"] == pytest.approx(132 / 105 * 45)
