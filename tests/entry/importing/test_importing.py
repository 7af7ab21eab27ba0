"""Importing as a stitcher does it: asked once, again next month, hostile files, and what is never guessed."""

import datetime as dt
import zipfile

import openpyxl
import pytest

from stitchlog import open_diary
from stitchlog.cli import main
from stitchlog.diary import settings
from stitchlog.entry import importing, writing
from stitchlog.errors import StitchlogError
from tests.entry.importing import fuzz
from tests.entry.importing.makes import save_text, save_xlsx

TODAY = dt.date(2026, 4, 1)
HEAD = ["Date", "Project", "Stitches"]
LOG = [[dt.date(2026, 1, day), "Otter Creek", 10.0 * day] for day in (3, 5, 9, 12)]


def take_in(folder, file, **answers):
    return importing.apply(folder, importing.read(file, folder, answers=answers, today=TODAY), TODAY)


def sessions(folder):
    frame = open_diary(folder).sessions
    return list(zip(frame["piece"], frame["date"].dt.date.map(str), frame["stitches"], strict=True))


@pytest.fixture
def log(tmp_path):
    save_xlsx(tmp_path / "log.xlsx", {"Log": [HEAD, *LOG]})
    return tmp_path / "log.xlsx"


@pytest.fixture
def unclear(tmp_path):
    save_text(tmp_path / "log.csv", [HEAD, ["03/04/26", "Otter", 50], ["05/06/26", "Otter", 20]])
    return tmp_path / "log.csv"


def test_days_that_prove_no_order_are_asked_about_once_and_remembered(unclear, tmp_path):
    folder = tmp_path / "diary"
    (question,) = importing.read(unclear, folder, today=TODAY).questions
    assert '"03/04/26"' in question.words and "3 April 2026" in question.words and "4 March 2026" in question.words
    with pytest.raises(StitchlogError, match="--dates"):
        importing.apply(folder, importing.read(unclear, folder, today=TODAY), TODAY)
    take_in(folder, unclear, dates="day-first")
    assert sessions(folder) == [("Otter", "2026-04-03", 50.0), ("Otter", "2026-06-05", 20.0)]
    kept = settings.parsed((folder / settings.FILE).read_bytes())
    assert kept.date_order == "day-first" and kept.imports["log.csv"] == {"dates": "day-first"}
    assert importing.read(unclear, folder, today=TODAY).questions == ()


def test_a_script_is_told_what_to_add_and_nothing_is_written(unclear, tmp_path, capsys):
    folder = str(tmp_path / "diary")
    assert main(["import", folder, str(unclear), "--yes"]) == 2
    assert "--dates day-first" in capsys.readouterr().err and not (tmp_path / "diary").exists()
    assert main(["import", folder, str(unclear), "--dates", "month-first", "--dry-run"]) == 0
    assert not (tmp_path / "diary").exists()
    assert main(["import", folder, str(unclear), "--dates", "month-first", "--yes"]) == 0
    assert main(["undo", folder]) == 0 and sessions(tmp_path / "diary") == []


def test_numbers_that_may_be_counts_so_far_are_asked_about(tmp_path):
    rows = [[dt.date(2026, 1, day), n, m] for day, n, m in ((1, 50, 10), (2, 60, 20), (5, 80, 90))]
    save_xlsx(tmp_path / "w.xlsx", {"Log": [["Date", "Otter", "Fox"], *rows]})
    (question,) = importing.read(tmp_path / "w.xlsx", today=TODAY).questions
    assert question.about == importing.COUNTS and set(question.answers) == {"session", "so-far", "percent"}
    found = importing.read(tmp_path / "w.xlsx", answers={"counts": "so-far"}, today=TODAY)
    assert [s.cells for s in found.sessions if s.piece == "Fox"] == [{"so_far": n} for n in (10, 20, 90)]


def test_next_month_only_what_is_new_is_taken_in(log, tmp_path):
    folder = tmp_path / "diary"
    take_in(folder, log)
    grown = [[LOG[0][0], "Otter Creek", 31.0], *LOG[1:], [dt.date(2026, 2, 1), "Fox", 7.0]]
    save_xlsx(log, {"Log": [HEAD, *grown]})
    found = take_in(folder, log)
    assert [s.piece for s in found.sessions] == ["Fox"] and found.known == 3
    (changed,) = found.changed
    assert (changed.here, changed.there) == ("stitches 30", "stitches 31") and "row 2" in changed.where
    assert len(sessions(folder)) == 5


def test_a_piece_renamed_there_is_not_taken_in_again(log, tmp_path):
    folder = tmp_path / "diary"
    take_in(folder, log)
    more = [[day, "Otters", n] for day, _, n in LOG] + [[dt.date(2026, 2, 1), "Otters", 5.0]]
    save_xlsx(log, {"Log": [HEAD, *more]})
    found = take_in(folder, log)
    assert found.renamed == {"Otters": "Otter Creek"} and found.known == 4
    assert sessions(folder)[-1] == ("Otter Creek", "2026-02-01", 5.0) and len(sessions(folder)) == 5


def test_a_day_corrected_there_is_told_and_not_doubled(log, tmp_path):
    folder = tmp_path / "diary"
    take_in(folder, log)
    save_xlsx(log, {"Log": [HEAD, [dt.date(2026, 1, 4), *LOG[0][1:]], *LOG[1:]]})
    found = take_in(folder, log)
    assert found.sessions == () and "2026-01-03" in found.changed[0].here


def test_identical_sessions_of_one_day_all_survive(tmp_path):
    save_xlsx(tmp_path / "twice.xlsx", {"Log": [HEAD, LOG[0], LOG[0], LOG[1]]})
    take_in(tmp_path / "diary", tmp_path / "twice.xlsx")
    assert len(sessions(tmp_path / "diary")) == 3
    assert importing.difference(tmp_path / "diary", importing.read(tmp_path / "twice.xlsx", today=TODAY)).nothing


def test_cells_are_read_as_people_write_them_and_the_rest_is_named_by_its_place(tmp_path):
    cells = ["~150", "120?", "53 (frogged 30)", "sick", "-", "\u2713", "1,234", "12o", 0, "100+20", "60 sts"]
    rows = [[dt.date(2026, 1, n), "Otter", cell, None] for n, cell in enumerate(cells, 1)]
    rows += [[dt.date(2026, 1, 20), "Otter", None, "1h20"], [dt.date(2026, 1, 21), "Otter", None, "0:45"]]
    save_xlsx(tmp_path / "cells.xlsx", {"My log": [["mine"], [], [*HEAD, "Time"], *rows]})
    found = importing.read(tmp_path / "cells.xlsx", today=TODAY)
    assert [dict(s.cells) for s in found.sessions] == [
        {"stitches": 150, "note": "approximate"},
        {"stitches": 120, "note": "approximate"},
        {"stitches": 53, "unpicked": 30},
        {"stitches": 1234},
        {"stitches": 120},
        {"stitches": 60},
        {"minutes": 80},
        {"minutes": 45},
    ]
    assert [(item.place.say(), item.value) for item in found.left_out] == [
        ('sheet "My log", row 7, column C', "sick"),
        ('sheet "My log", row 8, column C', "-"),
        ('sheet "My log", row 9, column C', "\u2713"),
        ('sheet "My log", row 11, column C', "12o"),
        ('sheet "My log", row 12, column C', "0"),
    ]


def test_pieces_with_columns_of_their_own_under_their_names(tmp_path):
    rows = [[dt.date(2026, 1, n), 50 + n, 30, None, None] for n in (1, 5)]
    rows += [[dt.date(2026, 1, 7), 40, 20, 70, 60]]
    head = [[None, "Otter", None, "Fox", None], ["Date", "Stitches", "Minutes", "Stitches", "Minutes"]]
    save_xlsx(tmp_path / "two.xlsx", {"Log": [*head, *rows]}, {"Log": ["B1:C1", "D1:E1"]})
    found = importing.read(tmp_path / "two.xlsx", today=TODAY)
    assert [(s.piece, dict(s.cells)) for s in found.sessions][-2:] == [
        ("Otter", {"stitches": 40, "minutes": 20}),
        ("Fox", {"stitches": 70, "minutes": 60}),
    ]


def test_a_piece_below_the_other_is_known_by_the_line_above_its_headings(tmp_path):
    head, rows = ["Date", "Stitches"], [[day, n] for day, _, n in reversed(LOG)]
    save_xlsx(tmp_path / "s.xlsx", {"Log": [["Otter"], head, *rows[:2], [], ["Fox"], head, *rows[2:]]})
    found = importing.read(tmp_path / "s.xlsx", today=TODAY)
    assert [s.piece for s in found.sessions] == ["Fox", "Fox", "Otter", "Otter"] and not found.questions


def test_a_sheet_that_tells_the_same_sessions_again_counts_once(tmp_path):
    long = [HEAD, *LOG, [dt.date(2026, 2, 1), "Fox", 5.0]]
    wide = [["Date", "Otter Creek", "Fox"], *([day, n, None] for day, _, n in LOG), [dt.date(2026, 2, 1), None, 5.0]]
    save_xlsx(tmp_path / "both.xlsx", {"Log": long, "Overview": wide})
    found = importing.read(tmp_path / "both.xlsx", today=TODAY, answers={"counts": "session"})
    assert len(found.sessions) == 5 and [name for name, _ in found.passed_over] == ["Overview"]


def test_the_stitchers_own_words_are_known_from_the_settings(tmp_path):
    folder = tmp_path / "diary"
    assert main(["new", str(folder)]) == 0
    path = folder / settings.FILE
    path.write_text(path.read_text("utf-8").replace("[headings]", '[headings]\nstitches = ["Kreuzchen"]'), "utf-8")
    save_xlsx(tmp_path / "own.xlsx", {"Log": [["Datum", "Projekt", "Kreuzchen", "Wetter"], *([*r, 7] for r in LOG)]})
    assert len(importing.read(tmp_path / "own.xlsx", folder, today=TODAY).sessions) == 4


def test_headings_of_ones_own_are_understood_by_what_stands_below(tmp_path):
    rows = [[day, ["Otter", "Fox"][n % 2], 50.0 - n * (-1) ** n, dt.time(19, 30)] for n, (day, _, _) in enumerate(LOG)]
    save_xlsx(tmp_path / "own.xlsx", {"Sheet1": [["Date", "What I stitched", "Amount", "Start time"], *rows]})
    found = importing.read(tmp_path / "own.xlsx", today=TODAY)
    assert [(s.piece, dict(s.cells)) for s in found.sessions][:2] == [
        ("Otter", {"stitches": 50}),
        ("Fox", {"stitches": 51}),
    ]
    assert found.sheets[0].sure < 0.9


def test_days_without_a_year_get_the_one_of_their_sheet(tmp_path):
    save_xlsx(tmp_path / "y.xlsx", {"2025": [HEAD, ["3 Jan", "Otter", 50], ["31 Dec", "Otter", 40]]})
    assert [s.date.isoformat() for s in importing.read(tmp_path / "y.xlsx").sessions] == ["2025-01-03", "2025-12-31"]


def test_a_column_named_total_is_what_was_counted_where_nothing_else_is(tmp_path):
    rows = [[dt.date(2026, 1, n), "Otter", 100.0 * n] for n in range(1, 9)]
    save_xlsx(tmp_path / "t.xlsx", {"Log": [["Date", "Project", "Total"], *rows]})
    assert [dict(s.cells) for s in importing.read(tmp_path / "t.xlsx").sessions][:2] == [
        {"so_far": 100},
        {"so_far": 200},
    ]


def test_of_two_headings_for_one_thing_the_plainer_counts(tmp_path):
    rows = [[day, name, 28, n] for day, name, n in LOG]
    save_xlsx(tmp_path / "c.xlsx", {"Log": [["Date", "Project", "Count", "Stitches"], *rows]})
    assert [s.cells["stitches"] for s in importing.read(tmp_path / "c.xlsx").sessions] == [30, 50, 90, 120]


def test_days_across_without_a_year_too(tmp_path):
    across = [["Projekt", "1.3.", "2.3.", "13.3.", "20.3."], ["Hafen", 100, 90, None, 70], ["Fuchs", None, 40, 20, 50]]
    save_xlsx(tmp_path / "y.xlsx", {"2026": across})
    found = importing.read(tmp_path / "y.xlsx", answers={"counts": "session"})
    assert [(s.piece, s.date.isoformat()) for s in found.sessions][-1] == ("Fuchs", "2026-03-20")


def test_a_sheet_that_names_no_piece_is_asked_about(tmp_path):
    save_xlsx(tmp_path / "one.xlsx", {"Sheet1": [["Date", "Stitches"], *([day, n] for day, _, n in reversed(LOG))]})
    (question,) = importing.read(tmp_path / "one.xlsx").questions
    assert question.about == importing.PIECE
    found = importing.read(tmp_path / "one.xlsx", answers={"piece": "Otter"})
    assert {s.piece for s in found.sessions} == {"Otter"}


def test_what_may_be_wrong_and_proves_nothing_is_said(tmp_path, log):
    rows = [*LOG[:1], [dt.date(2026, 1, 4), "Otter Crek", 5.0], [dt.date(2026, 2, 1), "Fox", 6.0]]
    save_xlsx(log, {"Log": [HEAD, *rows, ["13/1/26", "Fox", 7.0], ["25/1/26", "Fox", 9.0]]})
    proposal = importing.read(log, today=dt.date(2026, 1, 20))
    said = importing.preview(proposal, importing.difference(tmp_path / "diary", proposal), 500)
    assert "may have swapped their day and month" in said and "2026-01-25 is still to come" in said
    assert '"Otter Creek" is nearly "Otter Crek"' in said


def test_numbers_that_a_total_adds_up_are_sessions(tmp_path):
    rows = [["Otter", 10, None, 20, 30, 60], ["Fox", None, 5, None, 7, 12]]
    head = ["Project", *(dt.date(2026, 1, n) for n in range(1, 5)), "Total"]
    save_xlsx(tmp_path / "t.xlsx", {"Log": [head, *rows]})
    found = importing.read(tmp_path / "t.xlsx")
    assert not found.questions and sum(s.cells["stitches"] for s in found.sessions) == 72


@pytest.mark.parametrize(
    ("name", "data", "says"),
    [
        ("gone.xlsx", None, "no such file"),
        ("log.pdf", b"%PDF", "not a spreadsheet"),
        ("bad.xlsx", b"PK\x03\x04junk", "damaged"),
        ("empty.csv", b"", "empty"),
        ("notes.txt", b"hello\nthere\n", "no sheet of it looks like"),
        (
            "old.xls",
            b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"\0" * 99 + "EncryptedPackage".encode("utf-16-le"),
            "password",
        ),
    ],
)
def test_a_file_that_cannot_be_read_is_refused_in_one_line(tmp_path, name, data, says):
    if data is not None:
        (tmp_path / name).write_bytes(data)
    with pytest.raises(StitchlogError, match=says) as refused:
        importing.read(tmp_path / name)
    assert "\n" not in str(refused.value)


def test_a_packed_bomb_is_refused(tmp_path):
    with zipfile.ZipFile(tmp_path / "bomb.xlsx", "w", zipfile.ZIP_DEFLATED) as packed:
        packed.writestr("xl/worksheets/sheet1.xml", b"0" * 70_000_000)
    with pytest.raises(StitchlogError, match="too large"):
        importing.read(tmp_path / "bomb.xlsx")


def test_empty_rows_without_end_are_read_in_a_blink(tmp_path):
    book = openpyxl.Workbook()
    for row in [HEAD, *LOG]:
        book.active.append(row)
    book.active.cell(row=1_048_576, column=2).font = openpyxl.styles.Font(bold=True)
    book.save(tmp_path / "long.xlsx")
    assert len(importing.read(tmp_path / "long.xlsx", today=TODAY).sessions) == 4


def test_a_sheet_is_asked_for_by_its_name_and_remembered(tmp_path):
    save_xlsx(tmp_path / "w.xlsx", {"2025": [HEAD, LOG[0]], "2026": [HEAD, *LOG[1:]]})
    folder = tmp_path / "diary"
    importing.apply(folder, importing.read(tmp_path / "w.xlsx", folder, sheets=["2026"], today=TODAY), TODAY)
    assert len(sessions(folder)) == 3
    assert importing.difference(folder, importing.read(tmp_path / "w.xlsx", folder, today=TODAY)).nothing
    with pytest.raises(StitchlogError, match='"2025", "2026"'):
        importing.read(tmp_path / "w.xlsx", sheets=["2024"])


def test_a_file_of_the_diary_itself_is_not_taken_in_and_one_beside_it_is(log, tmp_path):
    folder = tmp_path / "diary"
    folder.mkdir()
    (folder / "pieces.csv").write_text("piece,total\notter creek,900\n")
    save_text(folder / "diary.csv", [["Datum", "Projekt", "Stiche"], ["13.1.2026", "Otter Creek", 5]])
    with pytest.raises(StitchlogError, match="move it to another place"):
        importing.read(folder / "diary.csv", folder)
    (folder / "diary.csv").rename(tmp_path / "mine.csv")
    take_in(folder, tmp_path / "mine.csv")
    assert sessions(folder) == [("otter creek", "2026-01-13", 5.0)]


def test_an_import_is_taken_back_as_a_whole(log, tmp_path):
    folder = tmp_path / "diary"
    assert main(["new", str(folder)]) == 0
    before = {p.name: p.read_bytes() for p in folder.iterdir() if p.suffix in (".csv", ".toml")}
    take_in(folder, log)
    writing.undo(folder, TODAY)
    assert {p.name: p.read_bytes() for p in folder.iterdir() if p.suffix in (".csv", ".toml")} == before


def test_sheets_of_random_cells_are_understood_or_refused():
    # By hand for longer: python -m tests.entry.importing.fuzz --runs 10000
    assert fuzz.run(120) > 40
