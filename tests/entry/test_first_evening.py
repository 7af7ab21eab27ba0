"""A stitcher's first evening: a spreadsheet's export with the usual flaws becomes a diary that holds every session."""

import datetime as dt

import pytest

from stitchlog import open_diary
from stitchlog.cli import main
from stitchlog.run import parameters

EXPORT = """\
Projekt ;Datum;Stiche;Minuten;Farben;Bemerkung;Bild
Harbour Lights;3.10.2026;"1.234";;B12:120; B14;;roof.jpg
Harbour Lights ;04.10.2026;140;60;;"started the roof,
then the chimney";
;;;;;;
Fox in Snow;5.10.2026;85,5;45;;;
Fox in  snow;18.10.2026;120;1:15;;;
Habour Lights;19.10.2026;210;80;;;
Sum;;1.789,5;185;;;
""".replace("B12:120; B14", '"B12:120; B14"')
OURS = "piece ;Date;stitches;minutes;colors;note;Bild"


@pytest.fixture
def folder(tmp_path, capsys):
    folder = tmp_path / "my diary"
    assert main(["new", str(folder)]) == 0
    assert f"stitchlog import '{folder}' FILE" in capsys.readouterr().out
    (folder / "pieces.csv").write_text("piece;total\nHarbour Lights;12.500,0\nFox in Snow;4200\n", "utf-8")
    return folder


def _save(folder, text):
    (folder / "diary.csv").write_bytes(b"\xef\xbb\xbf" + text.replace("\n", "\r\n").encode())


def test_a_spreadsheets_export_is_mended_by_what_check_says(folder, capsys):
    _save(folder, EXPORT)
    assert main(["check", str(folder)]) == 2
    said = capsys.readouterr().err
    assert 'the first row, "Projekt ;Datum;Stiche;Minuten' in said
    assert '"Projekt" looks like piece; "Datum" looks like date; "Stiche" looks like stitches' in said
    assert "import the file from another place (stitchlog import), or rename" in said

    named = EXPORT.replace(EXPORT.partition("\n")[0], OURS)
    _save(folder, named)
    assert main(["check", str(folder)]) == 1
    said = " ".join(capsys.readouterr().out.split())
    for part in (
        "6 rows read, 3 stored, 3 left out",
        'line 2 stitches: "1.234" may mean 1234 or 1.234',
        'line 7 minutes: "1:15" is a time with a colon; an hour and a quarter is 75 minutes',
        "line 9 date: date is empty fix: fill it in; delete the row if it is not a session, such as a line of totals",
        'pieces.csv has no piece "Habour Lights"; did you mean "Harbour Lights"?',
        "columns that no report reads, kept as they are: Bild",
    ):
        assert part in said

    mended = (
        named.replace('"1.234"', "1234").replace("1:15", "75").replace("Habour", "Harbour").replace("Bild", "photo")
    )
    _save(folder, mended.replace("Sum;;1.789,5;185;;;\n", ""))
    assert main(["check", str(folder)]) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert "5 rows read, 5 stored" in said and "pictures that are not in the folder: roof.jpg" in said
    assert main(["add", str(folder), "harbour", "100", "--date", "2026-10-20"]) == 0

    diary = open_diary(folder)
    assert diary.sessions.groupby("piece")["stitches"].sum().to_dict() == {"Fox in Snow": 205.5, "Harbour Lights": 1684}
    assert diary.sessions["date"].dt.date.min() == dt.date(2026, 10, 3)
    assert diary.sessions["note"].str.contains("then the chimney").sum() == 1


def test_the_export_is_taken_in_as_it_is_and_asked_of_in_three_commands(tmp_path, capsys):
    sheet, folder = tmp_path / "log.csv", str(tmp_path / "diary")
    sheet.write_bytes(b"\xef\xbb\xbf" + EXPORT.replace("\n", "\r\n").encode())
    assert main(["import", folder, str(sheet), "--yes"]) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert "3 pieces, 5 sessions, 3 October 2026 to 19 October 2026" in said and '"Sum": a row that adds up' in said
    diary = open_diary(folder)
    assert diary.sessions.groupby("piece")["stitches"].sum().to_dict() == {
        "Fox in Snow": 205.5,
        "Habour Lights": 210,
        "Harbour Lights": 1374,
    }
    assert diary.sessions["minutes"].sum() == 60 + 45 + 75 + 80
    for arguments in (["review", folder, "--month", "2026-10"], ["finish", folder]):
        assert parameters.jobs((arguments[0],), [tmp_path / "diary"], None, {})


def test_a_report_is_asked_for_by_a_part_of_a_pieces_name(folder):
    _save(folder, f"{OURS}\nFox in Snow;2026-10-05;85,5;45;;;\n")
    (job,) = parameters.jobs(("finish",), [folder], None, {"piece": "fox"})
    assert job.ask["piece"] == "Fox in Snow"
