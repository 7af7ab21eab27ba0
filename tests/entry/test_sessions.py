"""A session of another evening put right, and every other byte left as it is."""

import datetime as dt

import pytest

from stitchlog.entry import writing
from stitchlog.entry.asking import Doubtful, Unsure
from stitchlog.entry.sessions import correct
from stitchlog.errors import StitchlogError

TODAY = dt.date(2026, 11, 8)  # a Sunday
HEAD = "piece;date;stitches;mood\r\n"
FIRST = "Otter Creek; 2/11/2026;41;calm\r\n"
REST = "Fern;2026-11-03;50;\r\nOtter Creek;2026-11-13;5;\r\nFern;2026-11-03;60;\r\n"


@pytest.fixture
def folder(tmp_path):
    (tmp_path / "diary.csv").write_bytes((HEAD + FIRST + REST).encode())
    (tmp_path / "stitchlog.toml").write_text('date_order = "day-first"\n')
    return tmp_path


def text_of(folder):
    return (folder / "diary.csv").read_bytes().decode()


def test_a_count_is_put_right_and_the_way_back_is_open(folder):
    done = correct(folder, "otter", date="monday", stitches="14", today=TODAY)
    assert done.say() == (
        "Otter Creek, 2 November 2026: 14 stitches (was: Otter Creek, 2 November 2026: 41 stitches); "
        f"undo: stitchlog undo {folder}"
    )
    assert text_of(folder) == HEAD + FIRST.replace("41", "14") + REST
    writing.undo(folder, TODAY)
    assert text_of(folder) == HEAD + FIRST + REST


def test_it_is_moved_to_another_day_and_another_piece(folder):
    correct(folder, "otter", date="2/11", to_date="yesterday", to_piece="fern", minutes=30, today=TODAY)
    assert text_of(folder) == (HEAD + FIRST + REST).replace("mood\r", "mood;minutes\r").replace(
        "\r\nOtter Creek; 2/11/2026;41;calm\r", "\r\nFern;2026-11-07;41;calm;30\r"
    ).replace(";50;\r", ";50;;\r").replace(";5;\r", ";5;;\r").replace(";60;\r", ";60;;\r")
    with pytest.raises(Unsure):
        correct(folder, "fern", date="yesterday", to_piece="Moss", today=TODAY)
    assert correct(folder, "fern", date="yesterday", to_piece="Moss", new=True, today=TODAY).now.startswith("Moss")


def test_it_is_taken_out(folder):
    assert (
        correct(folder, "fern", date="tuesday", line=5, remove=True, today=TODAY).say().startswith("Took out Fern, 3")
    )
    assert text_of(folder) == HEAD + FIRST + REST.rpartition("Fern")[0]


def test_one_session_must_be_meant_and_slips_are_asked_about(folder):
    with pytest.raises(StitchlogError, match=r"2 sessions on 3 November 2026 .line 3: 50, line 5: 60.; add --line"):
        correct(folder, "fern", date="3 nov", stitches=1, today=TODAY)
    with pytest.raises(StitchlogError, match="no session on 8 November 2026; its last one was on 13 November 2026"):
        correct(folder, "otter", stitches=1, today=TODAY)
    with pytest.raises(Doubtful, match="14 November 2026 has not come yet"):
        correct(folder, "otter", date="2/11", to_date="2026-11-14", today=TODAY)
    with pytest.raises(StitchlogError, match="no stitches"):
        correct(folder, "otter", date="2/11", stitches="", today=TODAY)
    assert text_of(folder) == HEAD + FIRST + REST
