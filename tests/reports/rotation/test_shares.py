"""What gets the needle, and what goes without."""

from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from stitchlog import StitchlogError, open_diary
from stitchlog.reports import rotation
from tests.reports.pace.simulated import diary_of

DEMO = Path(__file__).parents[3] / "data_demo"


def _rows(*rows: tuple) -> pd.DataFrame:
    return pd.DataFrame(rows, columns=["piece", "date", "stitches", "minutes"])


ROWS = _rows(
    ("Moss", "2026-01-01", 60, 60),
    ("Fern", "2026-01-02", 30, 15),
    ("Moss", "2026-01-03", 30, 30),
    ("Reed", "2026-01-03", 60, np.nan),
    ("Fern", "2026-01-20", 20, 10),
)


def test_the_first_columns_are_the_contract():
    found = rotation.balance(diary_of(ROWS), "2026-01-01", "2026-01-31")
    assert list(found.pieces.columns)[:6] == ["piece", "stitches", "share", "want", "days_since", "sessions"]
    # Shares of 0.45, 0.30 and 0.25: H = 0.3593 + 0.3612 + 0.3466 = 1.0671; exp(H), and H / ln 3.
    assert (found.effective_pieces, found.evenness) == (
        pytest.approx(2.9069, abs=5e-4),
        pytest.approx(0.9713, abs=5e-4),
    )


def test_shares_by_stitches_days_and_hours():
    diary = diary_of(ROWS)
    by = {m: rotation.balance(diary, "2026-01-01", "2026-01-31", by=m) for m in ("stitches", "days", "hours")}
    shares = {m: found.pieces.set_index("piece")["share"].to_dict() for m, found in by.items()}
    assert shares["stitches"] == pytest.approx({"Moss": 0.45, "Fern": 0.25, "Reed": 0.3})
    assert shares["days"] == pytest.approx({"Moss": 0.4, "Fern": 0.4, "Reed": 0.2})
    hours = by["hours"].pieces.set_index("piece")
    assert (hours["hours"]["Moss"], hours["hours"]["Fern"]) == (pytest.approx(1.5), pytest.approx(25 / 60))
    # Reed is not timed: 60 stitches at the pace of the others, between 60 and 120 an hour. The time that is shown is
    # what is written down, as on the pace page; the share counts what it must have taken.
    assert hours["hours"]["Reed"] == 0 and 0.5 < hours["all_hours"]["Reed"] < 1.0
    assert sum(shares["hours"].values()) == pytest.approx(1)


def test_the_period_ends_on_its_last_day_and_days_since_runs_to_it():
    found = rotation.balance(diary_of(ROWS), "2026-01-02", "2026-01-10").pieces.set_index("piece")
    assert found["stitches"].to_dict() == {"Reed": 60, "Moss": 30, "Fern": 30}
    assert found["days_since"].to_dict() == {"Reed": 7, "Moss": 7, "Fern": 8}
    assert found["sessions"].to_dict() == {"Reed": 1, "Moss": 1, "Fern": 1}


def test_a_piece_on_the_go_without_a_session_is_there_with_nothing():
    balance = rotation.balance(diary_of(ROWS), "2026-01-10", "2026-01-31")
    found = balance.pieces.set_index("piece")
    assert found.loc["Moss", ["share", "sessions", "days_since"]].tolist() == [0, 0, 28]
    assert balance.effective_pieces == pytest.approx(1)
    assert balance.touched == 1


def test_finished_and_set_aside_pieces_are_there_only_where_they_were_worked():
    pieces = pd.DataFrame(
        {
            "piece": ["Moss", "Fern", "Reed"],
            "finished": ["2026-01-03", None, None],
            "set_aside": [None, None, "2026-01-04"],
        }
    )
    later = rotation.balance(diary_of(ROWS, pieces), "2026-01-05", "2026-01-31")
    assert later.pieces["piece"].tolist() == ["Fern"]
    whole = rotation.balance(diary_of(ROWS, pieces), "2026-01-01", "2026-01-31").pieces.set_index("piece")
    assert whole["status"].to_dict() == {"Moss": "finished", "Reed": "set aside", "Fern": "on the go"}


def test_unpicking_alone_is_no_negative_share():
    rows = _rows(("A", "2026-01-01", -40, 30), ("B", "2026-01-01", 20, 30))
    found = rotation.balance(diary_of(rows), "2026-01-01", "2026-01-01").pieces.set_index("piece")
    assert found["share"].to_dict() == {"B": 1.0, "A": 0.0}
    assert found.loc["A", "stitches"] == -40


def test_wanted_and_given():
    pieces = pd.DataFrame({"piece": ["Moss", "Fern", "Reed"], "want": [0.2, 0.6, np.nan]})
    found = rotation.balance(diary_of(ROWS, pieces), "2026-01-01", "2026-01-31").pieces.set_index("piece")
    assert found.loc["Fern", "below_want"] == pytest.approx(0.35)
    assert found.loc["Moss", "below_want"] == pytest.approx(-0.25)
    assert np.isnan(found.loc["Reed", "below_want"])
    text = rotation.say_wanted(rotation.balance(diary_of(ROWS, pieces), "2026-01-01", "2026-01-31"))
    assert text == "Less than you wanted: Fern (25% of 60%). More than you wanted: Moss (45% of 20%)."
    assert rotation.say_wanted(rotation.balance(diary_of(ROWS), "2026-01-01", "2026-01-31")) == ""


def test_how_unusual_a_wait_is():
    days = [0, 2, 4, 6, 8, 10, 20, 22]
    rows = pd.DataFrame({"piece": "Moss", "date": pd.Timestamp("2026-01-01") + pd.to_timedelta(days, unit="D")})
    diary = diary_of(rows.assign(stitches=10))
    found = rotation.balance(diary, "2026-01-01", "2026-01-28").pieces.iloc[0]
    assert (found["days_since"], found["usual_gap"]) == (5, 2)
    assert found["gap_rank"] == pytest.approx(6 / 7)
    late = rotation.balance(diary, "2026-01-01", "2026-02-28")
    assert late.pieces.loc[0, "gap_rank"] == 1
    assert rotation.say_waiting(late) == "Waiting longer than usual: Moss (5 weeks, usually 2 days)."
    early = rotation.balance(diary, "2026-01-01", "2026-01-24")
    assert rotation.say_waiting(early) == "No work in progress has waited longer than usual."


def test_what_cannot_be_balanced_is_said_in_one_line():
    with pytest.raises(StitchlogError, match='by: "thread"'):
        rotation.balance(diary_of(ROWS), by="thread")
    with pytest.raises(StitchlogError, match="before it starts"):
        rotation.balance(diary_of(ROWS), "2026-02-01", "2026-01-01")


def test_the_glance_names_seven_and_loses_none():
    rows = _rows(*[(f"Piece {i}", "2026-01-01", 10 + i, 30) for i in range(12)])
    pieces = pd.DataFrame({"piece": [f"Piece {i}" for i in range(12)], "want": [0.5] + [np.nan] * 11})
    found = rotation.balance(diary_of(rows, pieces), "2026-01-01", "2026-01-01")
    seen = rotation.largest(found)
    assert len(seen) == 7
    # The neglected piece that was wanted most is not lost among the others.
    assert "Piece 0" in seen["piece"].tolist()
    assert seen.iloc[-1]["piece"] == "6 other pieces"
    for column in ("share", "stitches", "sessions"):
        assert seen[column].sum() == pytest.approx(found.pieces[column].sum())


def test_the_demo_adds_up():
    diary = open_diary(DEMO)
    found = rotation.balance(diary, "2026-10-01", "2026-10-31")
    october = diary.sessions[diary.sessions["date"] >= "2026-10-01"]
    assert found.pieces["stitches"].sum() == pytest.approx(october["stitches"].sum())
    assert found.pieces["sessions"].sum() == len(october)
    assert found.pieces["share"].sum() == pytest.approx(1)
    assert 1 < found.effective_pieces <= found.touched


def test_the_usual_period_is_thirteen_weeks():
    diary = open_diary(DEMO).at("2026-10-31")
    start, end = rotation.recent(diary)
    assert (end - start).days + 1 == 91
    days = (pd.Timestamp("2026-01-01"), pd.Timestamp("2026-01-31"))
    assert rotation.recent(diary, *days) == days
