"""A session added on a tired evening: to the right piece, in the file's own manner, with a copy kept first."""

import datetime as dt
import errno
import os
import shutil

import pytest

from stitchlog import open_diary
from stitchlog.diary import disk
from stitchlog.entry import checking, writing
from stitchlog.entry.adding import add
from stitchlog.entry.asking import Doubtful, Unsure, piece_meant
from stitchlog.errors import StitchlogError

TODAY = dt.date(2026, 11, 1)  # a Sunday
HEAD = "piece,date,stitches,so_far,minutes,colours,photo,note"
PIECES = "piece,total,done_before\nOtter Creek,1000,100\nSalt Wind Sampler,400,\nSalt Marsh,,\n"


@pytest.fixture
def diary(tmp_path):
    return folder_with(tmp_path, f"{HEAD}\nOtter Creek,2026-10-01,50,,30,,,\n".encode())


def folder_with(tmp_path, data: bytes):
    folder = tmp_path / "diary"
    folder.mkdir()
    (folder / "diary.csv").write_bytes(data)
    (folder / "pieces.csv").write_text(PIECES)
    return folder


def bytes_of(folder) -> bytes:
    return (folder / "diary.csv").read_bytes()


def test_it_says_what_was_added_and_where_the_piece_stands(diary):
    before = bytes_of(diary)
    added = add(diary, "otter", "120", today=TODAY, minutes="75", colours="B12:100; B14", note='so "calm", at last')
    assert (added.piece, added.date, added.stitches, added.line) == ("Otter Creek", TODAY, 120.0, 3)
    assert (added.done, added.total, added.share) == (270.0, 1000.0, 0.27)
    assert bytes_of(diary) == before + b'Otter Creek,2026-11-01,120,,75,B12:100; B14,,"so ""calm"", at last"\n'
    assert (diary / "copies" / "diary-2026-11-01.csv").read_bytes() == before
    assert added.say() == f"Otter Creek: 120 today, 270 of 1,000, 27%; undo: stitchlog undo {diary}"


def test_it_says_no_more_digits_than_anybody_counts(diary):
    said = add(diary, "otter", "12.5", today=TODAY).say()
    assert "12.5 today, 162 of 1,000, 16%" in said
    assert "about 17 today (29 in all that day)" in add(diary, "otter", today=TODAY, minutes=10).say()
    assert (
        "5 yesterday, 12 beads, 184 of 1,000" in add(diary, "otter", 5, beads=12, date="yesterday", today=TODAY).say()
    )


@pytest.mark.parametrize(
    ("data", "appended"),
    [
        (b"piece;date;stitches\r\nOtter Creek;2026-10-01;5", b"\r\nOtter Creek;2026-11-01;12,5\r\n"),
        (b"date\tpiece\tstitches\rx\ty\tz\r", b"2026-11-01\tOtter Creek\t12.5\r"),
        (b"\xef\xbb\xbfpiece,date,stitches\n", b"Otter Creek,2026-11-01,12.5\n"),
        (b"piece,date,stitches", b"\r\nOtter Creek,2026-11-01,12.5\r\n"),
        (b"stitches,mood,date,piece,\n1,good,2026-10-01,Otter Creek,\n", b"12.5,,2026-11-01,Otter Creek\n"),
        ("piece,date,stitches\n".encode("utf-16"), "Otter Creek,2026-11-01,12.5\n".encode("utf-16-le")),
        (
            b"\xfe\xff" + "piece,date,stitches".encode("utf-16-be"),
            "\r\nOtter Creek,2026-11-01,12.5\r\n".encode("utf-16-be"),
        ),
        (b"piece,date,stitches\nCaf\xe9,2026-10-01,5\n", b"Otter Creek,2026-11-01,12.5\n"),
    ],
)
def test_the_file_keeps_its_manner(tmp_path, data, appended):
    folder = folder_with(tmp_path, data)
    add(folder, "Otter Creek", "12.5", today=TODAY)
    assert bytes_of(folder) == data + appended


def test_what_the_file_cannot_hold_is_said(tmp_path):
    folder = folder_with(tmp_path, "piece,date,stitches,note\nCafé,2026-10-01,5,\n".encode("cp1252"))
    add(folder, "Café", 5, today=TODAY, note="naïve")
    assert bytes_of(folder).endswith("naïve\n".encode("cp1252"))
    with pytest.raises(StitchlogError, match="UTF-8"):
        add(folder, "Café", 5, today=TODAY, note="ő")


@pytest.mark.parametrize("note", ['"', "a\nb", "a\r\nb", "a\rb", ",", "'", "=1+1", " x ", "é"])
def test_any_note_reads_back(diary, note):
    add(diary, "otter", 5, today=TODAY, note=note)
    assert open_diary(diary).sessions["note"].tolist() == ["", note]


KNOWN = ["Otter Creek", "Salt Wind Sampler", "Salt Marsh", "Fée Verte", "Section 5"]


@pytest.mark.parametrize(
    ("typed", "piece"),
    [
        ("OTTER  creek", "Otter Creek"),
        ("otter", "Otter Creek"),
        ("marsh", "Salt Marsh"),
        ("salt sampler", "Salt Wind Sampler"),
        ("Oter Crek", "Otter Creek"),
        ("ottercreek", "Otter Creek"),
        ("Salt Wind Smapler", "Salt Wind Sampler"),
        ("fee", "Fée Verte"),
        ("fe\u0301e verte", "Fée Verte"),
    ],
)
def test_a_name_is_taken_where_it_can_mean_one_piece_alone(typed, piece):
    assert piece_meant(typed, KNOWN) == (piece, False)


@pytest.mark.parametrize("typed", ["salt", "Lighthouse", "ot", "Otter Creek II", "Otter Creeks", "Section 6"])
def test_where_it_is_not_sure_it_asks(typed):
    with pytest.raises(Unsure, match="--new for a new piece") as refused:
        piece_meant(typed, KNOWN)
    assert "\n" not in str(refused.value)
    assert piece_meant(typed, KNOWN, new=True) == (typed, True)


def test_the_pieces_that_may_be_meant_are_offered():
    with pytest.raises(Unsure, match="the nearest: Salt Wind Sampler, Salt Marsh"):
        piece_meant("salt", KNOWN)
    with pytest.raises(Unsure) as refused:
        piece_meant("Otter Creek II", KNOWN)
    assert refused.value.candidates[0] == "Otter Creek"
    with pytest.raises(StitchlogError, match="has no name"):
        piece_meant("  ", KNOWN)


def test_a_new_piece_brings_its_details_in_one_change(diary):
    before = (diary / "pieces.csv").read_bytes()
    added = add(diary, "Heron Lake", 60, today=TODAY, total="6,000", size="100 x 80", count="28ct over 2")
    assert (added.total, added.new) == (6000.0, True)
    now = (diary / "pieces.csv").read_text().splitlines()
    assert now[0] == "piece,total,done_before,size,count" and now[-1] == "Heron Lake,6000,,100 x 80,28ct over 2"
    assert open_diary(diary).pieces.set_index("piece").loc["Heron Lake", "over"] == 2
    assert writing.undo(diary, TODAY).said == "Heron Lake, 1 November 2026: 60 stitches"
    assert (diary / "pieces.csv").read_bytes() == before


@pytest.mark.parametrize(
    ("cells", "asks"),
    [
        ({"stitches": 50, "minutes": 30, "date": "2026-10-01"}, "this same session on 1 October 2026 already"),
        ({"stitches": 50, "date": "2026-11-02"}, "2 November 2026 has not come yet"),
        ({"stitches": 50, "date": "1926-10-01"}, "1 October 1926 is a long time ago"),
        ({"stitches": 500, "minutes": 12}, "stitches an hour"),
        ({"so_far": 90}, "The count was 150 before"),
        ({"stitches": 2000}, "1,000 stitches in all"),
    ],
)
def test_what_looks_like_a_slip_is_asked_before_a_byte_is_written(diary, cells, asks):
    before = bytes_of(diary)
    with pytest.raises(Doubtful, match=asks):
        add(diary, "otter", today=TODAY, **cells)
    assert bytes_of(diary) == before and not (diary / "copies").exists()
    assert add(diary, "otter", today=TODAY, yes=True, **cells).line == 3


def test_a_session_far_above_all_before_and_one_on_a_finished_piece_are_asked_about(diary):
    for day in range(2, 8):
        add(diary, "marsh", 100 + day, date=f"2026-10-0{day}", today=TODAY)
    with pytest.raises(Doubtful, match="1,070 stitches is far above your largest session so far, 107"):
        add(diary, "marsh", 1070, today=TODAY)
    (diary / "pieces.csv").write_text("piece,finished\nSalt Marsh,2026-10-20\n")
    with pytest.raises(Doubtful, match="Salt Marsh was finished on 20 October 2026"):
        add(diary, "marsh", 10, today=TODAY)


def test_a_new_piece_is_asked_for_by_name(diary):
    assert add(diary, " Fern  Gate ", 5, today=TODAY, new=True).piece == "Fern Gate"
    assert add(diary, "fern gate", 6, today=TODAY).done == 11.0


def test_the_first_piece_of_an_empty_diary_is_new(tmp_path):
    folder = folder_with(tmp_path, b"piece,date,stitches\n")
    (folder / "pieces.csv").unlink()
    assert add(folder, "Otter Creek", 5, today=TODAY).line == 2


def test_a_count_to_date_and_minutes_alone(diary):
    assert add(diary, "otter", today=TODAY, so_far="200").stitches == 50.0
    assert add(diary, "otter", today=TODAY, minutes=60).estimated


@pytest.mark.parametrize(
    ("cells", "says"),
    [
        ({"stitches": "12o"}, "not a number"),
        ({"stitches": "1.234"}, "may mean"),
        ({"stitches": "-5"}, "below 0"),
        ({"stitches": None}, "has no stitches, so_far, percent or minutes"),
        ({"stitches": 5, "minutes": 2000}, "more than a day"),
        ({"stitches": 5, "count": "fine"}, "not a number"),
        ({"stitches": 5, "photo": "../x.jpg"}, "not in the diary folder"),
        ({"stitches": 5, "date": "03/04/2026"}, "may be day first"),
    ],
)
def test_what_would_not_read_back_is_not_written(diary, cells, says):
    before = bytes_of(diary)
    with pytest.raises(StitchlogError, match=says) as refused:
        add(diary, "otter", today=TODAY, **cells)
    assert "\n" not in str(refused.value)
    assert bytes_of(diary) == before and not (diary / "copies").exists()


def test_a_picture_inside_the_folder_is_written_from_there(diary):
    (diary / "photos").mkdir()
    (diary / "photos" / "a.jpg").write_bytes(b"")
    add(diary, "otter", 5, today=TODAY, photo=str(diary / "photos" / "a.jpg"))
    assert open_diary(diary).sessions["photo"].tolist()[-1] == "photos/a.jpg"


def test_broken_rows_above_do_not_swallow_the_new_one(tmp_path):
    folder = folder_with(tmp_path, f'{HEAD}\nOtter Creek,2026-10-01,5,,,,,"never closed'.encode())
    added = add(folder, "otter", 7, today=TODAY, colours="B12; B14", note='a "b", c')
    assert added.line == 3 and open_diary(folder).sessions["stitches"].tolist() == [7.0]


def test_a_disk_that_fails_half_way_leaves_the_diary_as_it_was(diary, monkeypatch):
    before = bytes_of(diary)
    real = os.fsync

    def fsync(handle):
        if os.fstat(handle).st_size > len(before):
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
        return real(handle)

    monkeypatch.setattr(os, "fsync", fsync)
    with pytest.raises(StitchlogError, match="no room on the disk"):
        add(diary, "otter", 5, today=TODAY)
    assert bytes_of(diary) == before


def test_a_folder_that_cannot_be_written_is_said(diary, monkeypatch):
    def refuse(*_args, **_kwargs):
        raise PermissionError(errno.EACCES, os.strerror(errno.EACCES))

    monkeypatch.setattr(disk, "replace_together", refuse)
    before = bytes_of(diary)
    with pytest.raises(StitchlogError, match="read-only"):
        add(diary, "otter", 5, today=TODAY)
    assert bytes_of(diary) == before


def test_it_adds_to_the_demo_diary_and_check_has_nothing_against_it(tmp_path):
    from tests.conftest import DEMO

    folder = tmp_path / "demo"
    shutil.copytree(DEMO, folder, ignore=shutil.ignore_patterns("store", "reports"))
    piece = open_diary(folder).standing().query("status == 'on the go'")["piece"].iloc[0]
    add(folder, piece, 10, today=TODAY, minutes=12, colours="B12", note="evening")
    assert checking.check(folder).left_out_rows == 0
