"""A piece added or changed from what was typed: its own cells only, and a slip asked about."""

import datetime as dt

import pytest

from stitchlog import open_diary
from stitchlog.entry import writing
from stitchlog.entry.asking import Doubtful, Unsure
from stitchlog.entry.pieces import change_piece
from stitchlog.errors import StitchlogError

TODAY = dt.date(2026, 11, 1)


@pytest.fixture
def folder(tmp_path):
    (tmp_path / "diary.csv").write_text(
        "piece,date,stitches\nOtter Creek,2026-10-01,950\nFern,2026-10-05,5\notter  creek,2026-10-07,10\n"
    )
    (tmp_path / "pieces.csv").write_text("piece,total,set_aside,finished\nOtter Creek,1000,,\nMoss,,,\n")
    return tmp_path


def line_of(folder, piece):
    return next(row for row in (folder / "pieces.csv").read_text().splitlines() if row.startswith(piece))


def test_what_is_known_of_a_piece(folder):
    changed = change_piece(folder, "otter", today=TODAY, due="24 dec", want="25%", size="150 x 200", tags="bird; sea")
    assert line_of(folder, "Otter") == "Otter Creek,1000,,,2026-12-24,0.25,150 x 200,bird; sea"
    assert changed.say() == (
        "Otter Creek: due 24 December 2026, want 0.25, size 150 x 200, tags bird; sea; 960 of 1,000, 96%; "
        f"undo: stitchlog undo {folder}"
    )
    assert change_piece(folder, "otter", today=TODAY, want="").say().startswith("Otter Creek: want none; ")
    assert line_of(folder, "Otter").endswith(",2026-12-24,,150 x 200,bird; sea")


def test_a_new_piece_waits_in_the_stash_and_a_name_near_a_known_one_is_asked_about(folder):
    assert change_piece(folder, "Heron Lake", today=TODAY).new
    assert line_of(folder, "Heron") == "Heron Lake,,,"
    with pytest.raises(Unsure, match="Otter Creek"):
        change_piece(folder, "Otter Creek II", today=TODAY, due="monday")
    assert change_piece(folder, "Otter Creek II", today=TODAY, total="8,000").total == 8000
    assert change_piece(folder, "Fern", today=TODAY, total=50).new is False
    assert line_of(folder, "Fern") == "Fern,50,,"


def test_finished_set_aside_and_picked_up(folder):
    change_piece(folder, "otter", today=TODAY, set_aside="yesterday")
    assert open_diary(folder).standing(TODAY).set_index("piece")["status"]["Otter Creek"] == "set aside"
    change_piece(folder, "otter", today=TODAY, picked_up=True)
    assert line_of(folder, "Otter") == "Otter Creek,1000,,"
    change_piece(folder, "otter", today=TODAY, finished="today")
    assert line_of(folder, "Otter") == "Otter Creek,1000,,2026-11-01"


@pytest.mark.parametrize(
    ("cells", "asks"),
    [
        ({"finished": "today", "total": "6000"}, "has 960 of 6,000 stitches"),
        ({"finished": "2026-10-02"}, "a session on 7 October 2026, after it was finished"),
        ({"set_aside": "2026-11-05"}, "5 November 2026 has not come yet"),
        ({"total": "900"}, "The piece has 900 stitches in all"),
    ],
)
def test_what_looks_like_a_slip_is_asked_first(folder, cells, asks):
    before = (folder / "pieces.csv").read_bytes()
    with pytest.raises(Doubtful, match=asks):
        change_piece(folder, "otter", today=TODAY, **cells)
    assert (folder / "pieces.csv").read_bytes() == before
    change_piece(folder, "otter", today=TODAY, yes=True, **cells)
    assert (folder / "pieces.csv").read_bytes() != before


@pytest.mark.parametrize(
    ("cells", "says"),
    [
        ({"total": "6o00"}, "not a number"),
        ({"size": "wide"}, "size"),
        ({"over": "3"}, "over"),
        ({"fabric_colour": "teal"}, "teal"),
        ({"want": "3"}, "between 0 and 1"),
        ({"due": "soon"}, '"soon" is not a day'),
        ({"rename": "moss"}, "another piece"),
    ],
)
def test_what_cannot_be_read_back_is_not_written(folder, cells, says):
    before = (folder / "pieces.csv").read_bytes()
    with pytest.raises(StitchlogError, match=says):
        change_piece(folder, "otter", today=TODAY, **cells)
    assert (folder / "pieces.csv").read_bytes() == before


def test_a_name_is_put_right_in_every_table_and_back(folder):
    (folder / "events.csv").write_text("event,starts,ends,piece\nJune,2026-06-01,2026-06-30,OTTER CREEK\n")
    before = {p.name: p.read_bytes() for p in folder.glob("*.csv")}
    change_piece(folder, "otter", today=TODAY, rename="Otter Brook", total=1200)
    assert (folder / "diary.csv").read_text() == (
        "piece,date,stitches\nOtter Brook,2026-10-01,950\nFern,2026-10-05,5\nOtter Brook,2026-10-07,10\n"
    )
    assert line_of(folder, "Otter") == "Otter Brook,1200,,"
    assert "June,2026-06-01,2026-06-30,Otter Brook" in (folder / "events.csv").read_text()
    writing.undo(folder, TODAY)
    assert {p.name: p.read_bytes() for p in folder.glob("*.csv")} == before
