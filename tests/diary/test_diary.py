"""The diary as questions see it."""

import pandas as pd
import pytest

from stitchlog import open_diary
from stitchlog.errors import StitchlogError
from tests.diary.reading.folders import HEAD


@pytest.fixture
def diary(tmp_path):
    rows = [
        "Otter Creek,2026-01-01,60,30,",
        "Otter Creek,2026-01-01,20,,",
        "Otter Creek,2026-01-04,40,,",
        "Salt Wind,2026-01-03,50,,",
        "Fern Gate,2026-01-02,30,,",
    ]
    (tmp_path / "diary.csv").write_text(HEAD + "\n".join(rows) + "\n")
    (tmp_path / "pieces.csv").write_text(
        "piece,total,done_before,started,finished,set_aside,mood\n"
        "Otter Creek,200,80,2025-12-01,,,calm\nSalt Wind,50,,,,,\nMoss,100,,,,,\nFern Gate,,,,,2026-01-03,\n"
    )
    return open_diary(tmp_path)


def test_the_frames_have_their_columns_and_types(diary):
    expected = ["piece", "date", "stitches", "minutes", "estimated", "half", "quarter", "three_quarter", "unpicked"]
    expected += ["so_far", "backstitch", "knots", "beads", "colours", "photo", "note", "percent", "file", "line"]
    assert list(diary.sessions.columns) == expected
    assert diary.sessions["date"].dtype.kind == "M" and diary.sessions["estimated"].dtype == bool
    assert diary.sessions["piece"].dtype == "str" and diary.pieces["mood"].tolist()[0] == "calm"
    assert list(diary.colours.columns) == ["piece", "date", "code", "stitches", "file", "line"]
    columns = ["severity", "code", "file", "line", "column", "value", "reason", "mend"]
    assert list(diary.problems.columns) == columns and "row" in diary.left_out


def test_sessions_stand_in_order_of_date_then_of_the_file(diary):
    assert diary.sessions["line"].tolist() == [2, 3, 6, 5, 4]
    assert (diary.first_day, diary.last_day) == (pd.Timestamp("2026-01-01"), pd.Timestamp("2026-01-04"))


def test_daily_sums_have_their_zeros(diary):
    assert diary.daily("otter creek").tolist() == [80.0, 0.0, 0.0, 40.0]
    assert diary.daily().tolist() == [80.0, 30.0, 50.0, 40.0]
    assert diary.daily("Moss").empty


def test_where_every_piece_stands(diary):
    standing = diary.standing().set_index("piece")
    assert standing["status"].to_dict() == {
        "Otter Creek": "finished",
        "Salt Wind": "finished",
        "Moss": "not begun",
        "Fern Gate": "set aside",
    }
    before = diary.standing("2026-01-02").set_index("piece")
    assert before["status"].to_dict() == {
        "Otter Creek": "on the go",
        "Salt Wind": "not begun",
        "Moss": "not begun",
        "Fern Gate": "on the go",
    }
    otter = before.loc["Otter Creek"]
    assert (otter["done"], otter["remaining"], otter["share"]) == (160.0, 40.0, 0.8)
    assert otter["began"] == pd.Timestamp("2025-12-01")


def test_a_piece_is_looked_up_by_any_spelling_and_a_slip_gets_a_hint(diary):
    assert diary.piece(" OTTER   creek ") == diary.piece("otter") == "Otter Creek"
    with pytest.raises(StitchlogError, match='did you mean "Otter Creek"'):
        diary.piece("Oter Crek")


def test_a_finish_by_count_is_the_day_from_which_the_count_held(tmp_path):
    rows = ["Moss,2026-01-01,90,,", "Moss,2026-01-02,10,,", "Moss,2026-01-04,5,,", "Fox,2026-01-01,100,,"]
    rows += ["Fox,2026-01-03,20,,", "Owl,2026-01-02,99,,", "Owl,2026-01-05,0,,"]
    unpicked = [f"{row},{n}" for row, n in zip(rows, ["", "", "", "", "30", "", ""], strict=True)]
    (tmp_path / "diary.csv").write_text("\n".join([HEAD.strip() + ",unpicked", *unpicked]) + "\n")
    (tmp_path / "pieces.csv").write_text("piece,total\nMoss,100\nFox,90\nOwl,100\n")
    diary = open_diary(tmp_path)
    # Moss reached 100 on the 2nd and went on; Fox had 100, then 90, and never fell below; Owl has 99.
    finished = diary.standing().set_index("piece")["finished"]
    assert finished["Moss"] == pd.Timestamp("2026-01-02") and finished["Fox"] == pd.Timestamp("2026-01-01")
    assert pd.isna(finished["Owl"])
    (tmp_path / "pieces.csv").write_text("piece,total\nMoss,100\nFox,95\nOwl,100\n")
    # With a total of 95 Fox was finished on the 1st and no longer after the unpicking.
    diary = open_diary(tmp_path)
    standing = diary.standing("2026-01-02").set_index("piece")
    assert standing.loc["Fox", "finished"] == pd.Timestamp("2026-01-01")
    assert diary.standing().set_index("piece").loc["Fox", "status"] == "on the go"
