"""A session added on a tired evening: to the right piece, in the file's own manner, with a copy kept first."""

import datetime as dt
import errno
import os
import shutil

import pytest

from stitchlog import open_diary
from stitchlog.entry import adding, checking
from stitchlog.entry.adding import add, day, find
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
    assert added.say() == (
        "Otter Creek, 1 November 2026: 120 stitches (line 3 of diary.csv).\n"
        "The piece now has 270 stitches of 1,000, 27%."
    )


def test_it_says_no_more_digits_than_anybody_counts(diary):
    said = add(diary, "otter", "12.5", today=TODAY).say()
    assert "12.5 stitches" in said and "The piece now has 162 stitches of 1,000, 16%." in said
    assert "about 17 stitches" in add(diary, "otter", today=TODAY, minutes=10).say()


def test_every_addition_keeps_a_copy_and_old_copies_go(diary, monkeypatch):
    monkeypatch.setattr(adding, "MOST_COPIES", 3)
    (diary / "copies").mkdir()
    (diary / "copies" / "mine.csv").write_text("mine")
    whole = [bytes_of(diary)]
    for _ in range(5):
        add(diary, "otter", 1, today=TODAY)
        whole.append(bytes_of(diary))
    copies = sorted(p.read_bytes() for p in (diary / "copies").glob("diary-*"))
    assert copies == sorted(whole[2:5]) and (diary / "copies" / "mine.csv").exists()


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


@pytest.mark.parametrize(
    ("word", "expected"),
    [
        (None, "2026-11-01"),
        ("today", "2026-11-01"),
        ("Yesterday", "2026-10-31"),
        ("sunday", "2026-11-01"),
        ("sat", "2026-10-31"),
        ("Monday", "2026-10-26"),
        ("2026-10-05", "2026-10-05"),
        (dt.date(2026, 10, 5), "2026-10-05"),
        ("5 Oct 2026", "2026-10-05"),
    ],
)
def test_days_as_people_say_them(word, expected):
    assert day(word, TODAY).isoformat() == expected


@pytest.mark.parametrize("word", ["03/04/2026", "whenever", "2026-02-30", "s"])
def test_a_day_that_is_not_clear_is_refused(word):
    with pytest.raises(StitchlogError):
        day(word, TODAY)


KNOWN = ["Otter Creek", "Salt Wind Sampler", "Salt Marsh", "Café"]


@pytest.mark.parametrize(
    ("typed", "piece"),
    [
        ("OTTER  creek", "Otter Creek"),
        ("otter", "Otter Creek"),
        ("marsh", "Salt Marsh"),
        ("Oter Crek", "Otter Creek"),
        ("Salt Wind Smapler", "Salt Wind Sampler"),
        ("cafe\u0301", "Café"),
    ],
)
def test_the_nearest_name_is_taken_where_it_is_sure(typed, piece):
    assert find(typed, KNOWN) == piece


@pytest.mark.parametrize("typed", ["salt", "Lighthouse", "ot", "", "Salt Mersh Wind"])
def test_where_it_is_not_sure_it_asks_and_refuses_where_nobody_answers(typed):
    with pytest.raises(StitchlogError, match="no piece") as refused:
        find(typed, KNOWN)
    assert "\n" not in str(refused.value)
    asked = []
    assert find(typed, KNOWN, lambda names: asked.append(names) or names[0]) == asked[0][0]
    with pytest.raises(StitchlogError):
        find(typed, KNOWN, lambda names: None)


def test_the_pieces_that_may_be_meant_are_offered():
    with pytest.raises(StitchlogError, match="Salt Wind Sampler or Salt Marsh"):
        find("salt", KNOWN)


def test_a_new_piece_is_asked_for_by_name(diary):
    assert add(diary, " Fern  Gate ", 5, today=TODAY, new=True).piece == "Fern Gate"
    assert add(diary, "fern gate", 5, today=TODAY).done == 10.0


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
        ({"stitches": 5, "half": 3}, "no column half"),
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


def test_a_large_count_is_added_with_a_word(diary):
    added = add(diary, "otter", 2000, today=TODAY)
    assert added.share == 1.0 and any("1,000 stitches in all" in warning for warning in added.warnings)


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

    monkeypatch.setattr(adding, "_keep_copy", refuse)
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
