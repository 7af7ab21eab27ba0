"""A diary seen at a day knows nothing later, and says the same as a folder whose files end there."""

import pandas as pd
import pytest

from stitchlog import open_diary

DIARY = """piece,date,stitches,colours
Otter,2026-01-02,100,B1
Fox,2026-01-05,50,B2
Otter,2026-01-09,80,B1:80
Heron,2026-01-12,30,B3
"""
PIECES = """piece,total,started,finished,set_aside,due
Otter,180,2026-01-02,2026-01-09,,2026-03-01
Fox,900,2026-01-05,,2026-01-11,
"""


@pytest.fixture
def diary(tmp_path):
    (tmp_path / "diary.csv").write_text(DIARY, "utf-8")
    (tmp_path / "pieces.csv").write_text(PIECES, "utf-8")
    return open_diary(tmp_path)


def test_nothing_later_is_known(diary):
    then = diary.at("2026-01-08")
    assert then.as_of == pd.Timestamp("2026-01-08")
    assert then.sessions["date"].max() == then.colours["date"].max() == pd.Timestamp("2026-01-05")
    pieces = then.pieces.set_index("piece")
    assert list(pieces.index) == ["Otter", "Fox"]  # Heron is in no file but the diary, and comes later
    assert pieces["finished"].isna().all() and pieces["set_aside"].isna().all()
    assert pieces.loc["Otter", "due"] == pd.Timestamp("2026-03-01")
    assert then.standing().set_index("piece").loc["Otter", ["done", "status"]].tolist() == [100, "on the go"]


def test_it_stands_as_it_stood(diary):
    for day in pd.date_range("2026-01-01", "2026-01-13"):
        then = diary.at(day).standing()
        whole = diary.standing(day)
        pd.testing.assert_frame_equal(then, whole[whole["piece"].isin(then["piece"])].reset_index(drop=True))


def test_a_day_is_taken_once(diary):
    then = diary.at("2026-01-08")
    assert diary.at(pd.Timestamp("2026-01-08 21:30")) is then
    assert then.at("2026-01-08") is then and diary.at(None) is diary
    assert then.at("2026-01-05").as_of == pd.Timestamp("2026-01-05")


def test_what_is_asked_for_again_is_not_worked_out_again(diary):
    calls = []
    for _ in range(2):
        assert diary.once("answer", lambda: calls.append(1) or 42) == 42
    assert len(calls) == 1
