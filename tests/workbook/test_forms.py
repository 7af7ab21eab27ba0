"""The workbook's forms: what the commands do, with questions where these would refuse or warn."""

import datetime as dt
import io

import ipywidgets as widgets
import openpyxl
import pytest

from stitchlog.diary import clock, schema
from stitchlog.workbook import forms
from stitchlog.workbook.forms import reports

TODAY = dt.date(2026, 10, 9)


@pytest.fixture(autouse=True)
def today(monkeypatch):
    monkeypatch.setattr(clock, "today", lambda: TODAY)


def all_of(box, kind):
    found = [box] if isinstance(box, kind) else []
    return found + [one for child in getattr(box, "children", ()) for one in all_of(child, kind)]


def press(box, label):
    next(b for b in all_of(box, widgets.Button) if b.description == label).click()


def labels(box):
    return [b.description for b in all_of(box, widgets.Button)]


def said(box):
    return box.form.answer.value


def fill(box, **values):
    for name, value in values.items():
        box.form.fields[name].value = value


def rows(folder, file="diary.csv"):
    return (folder / file).read_text("utf-8-sig").splitlines()


def test_a_session_needs_no_more_than_piece_and_stitches(folder):
    box = forms.log(folder)
    assert box.form.fields["piece"].options == ("Fox, <b>Hill</b>", "Otter Creek")
    fill(box, piece="Otter", stitches="77", note="late")
    press(box, "Log it")
    assert said(box).startswith("Otter Creek: 77 today, ") and "stitchlog" not in said(box)
    assert rows(folder)[-1].startswith("Otter Creek,2026-10-09,77") and rows(folder)[-1].endswith("late")
    assert box.form.fields["stitches"].value == "" and box.form.fields["piece"].value == "Otter"


def test_the_form_has_every_column(folder):
    box = forms.log(folder)
    assert set(schema.DIARY.names) <= set(box.form.fields)
    assert set(schema.PIECES.names) <= set(forms.piece(folder).form.fields)


def test_what_a_command_would_refuse_is_asked_and_answered(folder):
    box = forms.log(folder)
    other = forms.goal(folder)
    fill(box, piece="Salt Wind", stitches="40")
    before = rows(folder)
    press(box, "Log it")
    assert rows(folder) == before and "Salt Wind is a new piece" in labels(box)
    press(box, "Salt Wind is a new piece")
    assert rows(folder)[-1].startswith("Salt Wind,2026-10-09,40") and "Salt Wind is a new piece" not in labels(box)
    # Every form knows the new piece at once.
    assert "Salt Wind" in box.form.fields["piece"].options and "Salt Wind" in other.form.fields["piece"].options


def test_a_slip_is_asked_about_and_can_be_left(folder):
    box = forms.log(folder)
    fill(box, piece="Otter Creek", stitches="77", date="2027-10-01")
    before = rows(folder)
    press(box, "Log it")
    asked = box.form.asked.children[0].value
    assert asked == "1 October 2027 has not come yet." and rows(folder) == before
    press(box, "Leave it")
    assert said(box) == "Nothing was written." and rows(folder) == before
    press(box, "Log it")
    press(box, "Write it all the same")
    assert rows(folder)[-1].startswith("Otter Creek,2027-10-01,77")


def test_the_last_entry_can_be_taken_back_and_brought_back(folder):
    box = forms.log(folder)
    before = (folder / "diary.csv").read_bytes()
    fill(box, piece="Otter Creek", stitches="77")
    press(box, "Log it")
    after = (folder / "diary.csv").read_bytes()
    press(box, "Take back the last entry")
    assert (folder / "diary.csv").read_bytes() == before and said(box).startswith("Undone: Otter Creek")
    press(box, "Take back the last entry")
    assert (folder / "diary.csv").read_bytes() == after and said(box).startswith("Redone: Otter Creek")


def test_what_cannot_be_logged_is_said_and_kept_in_the_form(folder):
    box = forms.log(folder)
    fill(box, piece="Otter Creek", stitches="a <lot>")
    press(box, "Log it")
    assert "a &lt;lot&gt;" in said(box) and box.form.fields["stitches"].value == "a <lot>"


def test_a_piece_is_shown_changed_and_finished(folder):
    box = forms.piece(folder)
    fill(box, piece="Otter Creek", total="6000", count="28", tags="bird")
    press(box, "Save it")
    assert said(box).startswith("Otter Creek: total 6,000")
    again = forms.piece(folder)
    fill(again, piece="Otter Creek")
    assert again.form.fields["total"].value == "6000" and again.form.fields["tags"].value == "bird"
    kept = rows(folder, "pieces.csv")
    fill(again, finished="today")
    press(again, "Save it")
    assert "stitches." in again.form.asked.children[0].value
    press(again, "Leave it")
    assert rows(folder, "pieces.csv") == kept
    fill(again, finished="", tags="")
    press(again, "Save it")
    assert "bird" not in rows(folder, "pieces.csv")[-1] and "6000" in rows(folder, "pieces.csv")[-1]


def test_a_goal_is_set_for_a_month(folder):
    box = forms.goal(folder)
    fill(box, goal="Finish page three", piece="otter", kind="stitches", amount="900", month="november")
    press(box, "Set it")
    assert said(box) == "Goal for November 2026: Finish page three."
    assert rows(folder, "goals.csv")[-1].startswith("2026-11,Finish page three,Otter Creek,stitches,900")


def test_a_spreadsheet_is_shown_before_it_is_written(folder):
    book = openpyxl.Workbook()
    for row in (
        ["Date", "Project", "Stitches"],
        [dt.date(2026, 9, 1), "Otter Creek", 55],
        [dt.date(2026, 9, 2), "Wren", 60],
    ):
        book.active.append(row)
    out = io.BytesIO()
    book.save(out)
    box = forms.take_in(folder)
    before = rows(folder)
    file = {"name": "log.xlsx", "type": "", "size": len(out.getvalue()), "content": memoryview(out.getvalue())}
    file["last_modified"] = dt.datetime(2026, 10, 9, tzinfo=dt.UTC)
    press(box, "Write it to the diary")
    assert "No spreadsheet is chosen yet." in said(box)
    box.form.fields["file"].value = (file,)
    preview = box.children[2].value
    assert "New to your diary: 2 sessions" in preview and rows(folder) == before
    press(box, "Write it to the diary")
    assert len(rows(folder)) == len(before) + 2 and said(box).startswith("New to your diary: 2 sessions")


def test_what_a_spreadsheet_does_not_show_is_asked_in_the_form(folder):
    data = b"Date,Stitches\n03/04/2026,50\n05/06/2026,20\n"
    box = forms.take_in(folder)
    file = {"name": "log.csv", "type": "", "size": len(data), "content": memoryview(data)}
    file["last_modified"] = dt.datetime(2026, 10, 9, tzinfo=dt.UTC)
    box.form.fields["file"].value = (file,)
    for answer in ("Otter Creek", "day-first"):
        (question,) = box.children[1].children
        question.children[1].value = answer
    assert "3 April 2026 to 5 June 2026" in box.children[2].value
    press(box, "Write it to the diary")
    assert [row.split(",")[:3] for row in rows(folder)[-2:]] == [
        ["Otter Creek", "2026-04-03", "50"],
        ["Otter Creek", "2026-06-05", "20"],
    ]


def test_the_report_form_offers_the_diarys_months_and_follows_the_folder(folder, tmp_path):
    box = forms.report(folder)
    period, piece = box.form.fields["period"], box.form.fields["piece"]
    assert [label for label, _ in period.options] == ["the report's own choice", "October 2026", "2026"]
    fill(box, diary=str(tmp_path / "elsewhere"))
    assert [value for _, value in period.options] == [None] == [value for _, value in piece.options]
    press(box, "Make it")
    assert said(box).endswith("there is no such folder")


def test_the_report_form_asks_what_the_command_asks(folder, monkeypatch):
    asked = []
    monkeypatch.setattr(reports.notebooks, "run", lambda jobs: asked.extend(jobs) or [])
    reports.make(folder, "review", "2026-10", None)
    reports.make(folder, "finish", None, "otter")
    assert (asked[0].ask["start"], asked[0].ask["end"]) == ("2026-10-01", "2026-10-31")
    assert asked[1].ask["piece"] == "Otter Creek"
