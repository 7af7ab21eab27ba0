"""What `check` says to people and to scripts."""

import csv
import io
import json

import pytest

from stitchlog.diary.reading.problems import COLUMNS
from stitchlog.entry import checking
from tests.diary.reading.folders import HEAD, read

DIARY = HEAD + "A,2026-01-01,5,,\nB,2026-01-02,12o,,\nC,2026-13-01,5,,\n" + "D,2026-01-02,-1,,\n" * 9


@pytest.fixture
def folder(tmp_path):
    (tmp_path / "diary.csv").write_text(DIARY)
    (tmp_path / "pieces.csv").write_text("piece,total\nA,100\nB,x\n")
    (tmp_path / "threads.csv").write_text("code\nB12\n")
    return tmp_path


def test_it_writes_nothing(folder):
    before = sorted(folder.iterdir())
    checking.as_text(checking.check(folder))
    assert sorted(folder.iterdir()) == before


def test_the_worst_file_and_the_worst_kind_come_first(folder):
    text = checking.as_text(checking.check(folder))
    places = [
        text.index(part) for part in ("diary.csv: 12 rows read, 1 stored, 11 left out", "[negative]", "[bad-date]")
    ]
    places += [text.index("pieces.csv: 2 rows read"), text.index("threads.csv: 1 row read, 1 stored. Nothing to fix.")]
    assert places == sorted(places)


def test_each_kind_has_its_rows_its_reason_and_its_mend_and_a_cut_list_says_so(folder):
    text = checking.as_text(checking.check(folder))
    assert 'line  5  stitches: "-1" is below 0' in text or 'line 5  stitches: "-1" is below 0' in text
    assert "left out, 9 times [negative]" in text and "and 3 more" in text
    assert "fix: write stitches taken out in the column unpicked, without the minus" in " ".join(text.split())


@pytest.mark.parametrize("width", [40, 60, 80, 200])
def test_it_fits_the_terminal(folder, width):
    assert max(len(line) for line in checking.as_text(checking.check(folder), width).splitlines()) <= width


def test_a_diary_without_a_fault_says_so_in_a_line_a_file():
    assert checking.as_text(read(HEAD + "A,2026-01-01,5,,\n")) == "diary.csv: 1 row read, 1 stored. Nothing to fix."
    assert checking.as_text(read(HEAD)) == "diary.csv has no sessions yet. Nothing to fix."


def test_what_no_report_will_show_is_named(tmp_path):
    (tmp_path / "diary.csv").write_text("piece,date,stitches,photo,Mood\nA,2026-01-01,5,a.jpg,good\n")
    said = " ".join(checking.as_text(checking.check(tmp_path)).split())
    assert "diary.csv: columns that no report reads, kept as they are: Mood." in said
    assert "diary.csv: pictures that are not in the folder: a.jpg." in said


def test_a_terminal_is_not_made_to_do_anything():
    text = checking.as_text(read(HEAD + "A,2026-01-01,\x1b[31mred,,\n"))
    assert "\x1b" not in text and "red" in text


def test_scripts_get_every_problem_as_csv_and_as_json(folder):
    reading = checking.check(folder)
    rows = list(csv.DictReader(io.StringIO(checking.as_csv(reading))))
    assert list(rows[0]) == list(COLUMNS) and len(rows) == 12 == reading.problems.num_rows
    assert rows[0]["line"] == "3" and rows[0]["code"] == "bad-number"
    told = json.loads(checking.as_json(reading))
    assert told["files"]["diary.csv"] == {"read": 12, "stored": 1, "left_out": 11}
    assert [(p["file"], p["line"], p["code"]) for p in told["problems"]] == [
        (r["file"], int(r["line"]), r["code"]) for r in rows
    ]


def test_pictures_without_a_date_are_named(tmp_path):
    (tmp_path / "diary.csv").write_text("piece,date,stitches\nFern,2026-10-01,5\n")
    (tmp_path / "photos" / "Fern").mkdir(parents=True)
    (tmp_path / "photos" / "Fern" / "DSC_4711.jpg").write_bytes(b"")
    (tmp_path / "photos" / "Fern" / "2026-10-01.jpg").write_bytes(b"")
    said = " ".join(checking.as_text(checking.check(tmp_path)).split())
    assert "Pictures without a date, which no report shows: photos/Fern/DSC_4711.jpg; put the day in the name" in said
