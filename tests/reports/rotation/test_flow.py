"""Pieces on the go over time, and changes of piece."""

from dataclasses import replace
from pathlib import Path

import pandas as pd
import pytest

from stitchlog import open_diary
from stitchlog.diary.settings import Settings
from stitchlog.reports import rotation
from stitchlog.reports.rotation.flow import strip
from tests.reports.pace.simulated import diary_of

DEMO = Path(__file__).parents[3] / "data_demo"


def _rows(*rows: tuple) -> pd.DataFrame:
    return pd.DataFrame(rows, columns=["piece", "date", "stitches"])


def test_changes_of_piece_are_counted_in_the_order_of_the_diary():
    rows = _rows(
        *[(piece, f"2026-01-{day:02d}", 10) for day, piece in enumerate("AABBAACB", 1)], ("B", "2026-02-01", 5)
    )
    frame = rotation.switches(diary_of(rows))
    assert frame.months["switches"].tolist() == [4, 0]
    assert frame.months["sessions"].tolist() == [8, 1]
    assert frame.months["pieces"].tolist() == [3, 1]
    assert frame.total == 4
    assert frame.usual_run == 2
    assert "changed pieces 4 times in 9 sessions" in rotation.say_switches(frame)


@pytest.fixture
def strips() -> pd.DataFrame:
    rows = _rows(
        ("Moss", "2025-12-20", 10),
        ("Moss", "2026-01-06", 10),
        ("Moss", "2026-01-08", 10),
        ("Fern", "2026-01-10", 10),
        ("Fern", "2026-02-20", 10),
        ("Reed", "2026-01-15", 10),
    )
    pieces = pd.DataFrame(
        {
            "piece": ["Moss", "Fern", "Reed", "Idle"],
            "set_aside": [None, "2026-01-20", "2026-01-25", None],
            "finished": ["2026-01-31", None, None, None],
        }
    )
    return rotation.in_progress(diary_of(rows, pieces), "2026-01-01", "2026-02-28").stretches


def _of(frame: pd.DataFrame, piece: str) -> list[tuple[str, str, str]]:
    own = frame[(frame["piece"] == piece) & (frame["what"] != "worked")]
    return [(r.what, str(r.since)[5:10], str(r.until)[5:10]) for r in own.itertuples()]


def test_strips_tell_the_whole_story(strips):
    assert _of(strips, "Moss") == [("on the go", "01-01", "01-31"), ("finished", "01-31", "01-31")]
    assert _of(strips, "Fern") == [
        ("on the go", "01-10", "01-20"),
        ("began", "01-10", "01-10"),
        ("set aside", "01-20", "02-20"),
        ("put aside", "01-20", "01-20"),
        ("on the go", "02-20", "02-28"),
        ("picked up", "02-20", "02-20"),
    ]
    assert _of(strips, "Reed")[-2:] == [("set aside", "01-25", "02-28"), ("put aside", "01-25", "01-25")]
    assert set(strips["piece"]) == {"Moss", "Fern", "Reed"}
    assert strips.groupby("piece")["order"].first().to_dict() == {"Moss": 0, "Fern": 1, "Reed": 2}


def test_a_week_with_sessions_is_one_stretch(strips):
    weeks = strips[(strips["piece"] == "Moss") & (strips["what"] == "worked")]
    assert weeks["since"].tolist() == [pd.Timestamp("2026-01-05")]
    assert weeks["until"].tolist() == [pd.Timestamp("2026-01-11")]


def test_at_most_seven_strips_have_a_name():
    diary = open_diary(DEMO)
    frame = rotation.in_progress(diary, "2025-01-01", "2026-10-31").stretches
    seen = strip(frame)
    assert frame["piece"].nunique() > 7
    assert seen["piece"].nunique() == 7
    assert f"{frame['piece'].nunique() - 6} other pieces" in set(seen["piece"])
    few = frame[frame["order"] < 7]
    assert strip(few)["piece"].nunique() == 7


def test_how_many_are_on_the_go_in_words():
    rows = _rows(("Moss", "2025-12-20", 10), ("Fern", "2026-01-10", 10), ("Reed", "2026-01-15", 10))
    pieces = pd.DataFrame({"piece": ["Moss", "Fern", "Reed"], "finished": ["2026-01-31", None, None]})
    diary = diary_of(rows, pieces)
    frame = rotation.in_progress(diary, "2026-01-01", "2026-01-31")
    assert rotation.say_in_progress(frame) == (
        "On 31 January 2026 you had 2 works in progress (WIPs), up from 1 before 1 January 2026. In between: 2 begun "
        "and 1 finished."
    )


def test_weeks_begin_on_the_day_that_the_settings_name():
    diary = diary_of(_rows(("Moss", "2026-01-04", 10), ("Moss", "2026-01-05", 10)))  # a Sunday and a Monday
    weeks = {}
    for day in ("monday", "sunday"):
        found = rotation.in_progress(replace(diary, settings=Settings(week_start=day)), "2026-01-01", "2026-01-31")
        weeks[day] = (found.stretches["what"] == "worked").sum()
    assert weeks == {"monday": 2, "sunday": 1}


def test_a_period_beyond_the_day_the_diary_is_seen_at_ends_there():
    rows = _rows(("Moss", "2026-01-04", 10), ("Fern", "2026-01-20", 500))
    found = rotation.balance(diary_of(rows).at("2026-01-10"), "2026-01-01", "2026-01-31")
    assert found.pieces["piece"].tolist() == ["Moss"] and found.end == pd.Timestamp("2026-01-10")
