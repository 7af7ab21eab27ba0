"""What is in a diary, at a glance."""

import pandas as pd

from stitchlog import open_diary
from stitchlog.workbook import overview


def test_it_says_how_much_there_is(folder):
    said = overview.say(open_diary(folder))
    assert said == ("3 sessions on 2 pieces, from 1 October 2026 to 5 October 2026: 260 stitches, with 2 hours timed.")


def test_an_empty_diary_says_how_to_begin(tmp_path):
    (tmp_path / "diary.csv").write_text("piece,date,stitches\n", "utf-8")
    diary = open_diary(tmp_path)
    assert overview.say(diary) == "This diary holds no session yet. Log the first one below."
    assert overview.pieces(diary).empty
    assert overview.say_problems(diary) == "Nothing: every row could be read."


def test_pieces_on_the_go_come_first_the_latest_on_top(tmp_path):
    (tmp_path / "diary.csv").write_text(
        "piece,date,stitches\nA,2026-01-01,10\nB,2026-01-02,10\nC,2026-01-03,10\n", "utf-8"
    )
    (tmp_path / "pieces.csv").write_text(
        "piece,total,finished,set_aside\nA,100,,\nB,100,,\nC,10,2026-01-03,\nD,50,,\nE,9,,2025-01-01\n", "utf-8"
    )
    frame = overview.pieces(open_diary(tmp_path))
    assert list(zip(frame["piece"], frame["status"], strict=True)) == [
        ("B", "on the go"),
        ("A", "on the go"),
        ("E", "set aside"),
        ("D", "not begun"),
        ("C", "finished"),
    ]
    assert frame["share"].tolist() == [0.1, 0.1, 0.0, 0.0, 1.0]
    assert pd.isna(frame["last_session"].iloc[3])


def test_it_counts_what_needs_mending(folder):
    said = overview.say_problems(open_diary(folder))
    assert said.startswith("1 mistake; the table says where")
