"""The workbook's forms hand what was filled in to the command line, and show what it answers."""

import datetime as dt

from stitchlog.workbook import forms

FILLED = {"piece": " Otter ", "new": False, "date": None, "stitches": "120"}
FILLED |= {"so-far": "", "minutes": " ", "colours": "", "note": ""}


def button(box):
    return next(child for child in box.children if hasattr(child, "click"))


def field(box, description):
    return next(child for child in box.children if getattr(child, "description", "") == description)


def test_a_session_needs_no_more_than_piece_and_stitches(folder):
    assert forms.log_arguments(folder, FILLED) == ["add", "--", str(folder), "Otter", "120"]


def test_every_field_reaches_the_command_line(folder):
    filled = FILLED | {"date": dt.date(2026, 10, 31), "minutes": "45", "colours": "B12:60; B14", "note": "--help"}
    arguments = forms.log_arguments(folder, filled | {"stitches": "", "so-far": "400"})
    options = ["--date=2026-10-31", "--minutes=45", "--colours=B12:60; B14", "--note=--help", "--so-far=400"]
    assert arguments == ["add", *options, "--", str(folder), "Otter"]


def test_a_name_like_an_option_stays_a_name(folder):
    assert forms.log_arguments(folder, FILLED | {"piece": "--out"})[-3:] == [str(folder), "--out", "120"]


def test_a_period_is_asked_for_as_a_month_or_a_year():
    asked = {"diary": "d", "name": "review", "period": "2026-10", "piece": None}
    assert forms.report_arguments(asked) == ["report", "--month=2026-10", "--", "review", "d"]
    assert forms.report_arguments(asked | {"period": "2026"})[1] == "--year=2026"
    assert forms.report_arguments(asked | {"period": None, "piece": "Otter"})[1] == "--piece=Otter"


def test_the_log_form_offers_the_pieces_latest_first(folder):
    assert field(forms.log(folder), "piece").options == ("Fox, <b>Hill</b>", "Otter Creek")


def test_the_report_form_offers_the_diarys_months_and_follows_the_folder(folder, tmp_path):
    box = forms.report(folder)
    shown = [label for label, _ in field(box, "period").options]
    assert shown == ["the report's own choice", "October 2026", "2026"]
    field(box, "diary folder").value = str(tmp_path / "elsewhere")
    assert [value for _, value in field(box, "period").options] == [None]
    assert [value for _, value in field(box, "piece").options] == [None]


def test_pressing_the_button_logs_a_session_and_empties_what_was_typed(folder):
    box = forms.log(folder)
    field(box, "piece").value, field(box, "stitches").value = "Otter Creek", "77"
    button(box).click()
    assert "Otter Creek" in box.children[-1].value
    assert field(box, "stitches").value == "" and field(box, "piece").value == "Otter Creek"
    assert "77" in (folder / "diary.csv").read_text("utf-8-sig").splitlines()[-1]


def test_a_new_piece_is_logged_where_it_is_said_to_be_new(folder):
    box = forms.log(folder)
    field(box, "piece").value, field(box, "stitches").value = "Salt Wind", "40"
    button(box).click()
    assert "say that it is a new piece" in box.children[-1].value
    field(box, "it is a new piece").value = True
    button(box).click()
    assert "Salt Wind" in (folder / "diary.csv").read_text("utf-8-sig").splitlines()[-1]
    assert not field(box, "it is a new piece").value


def test_what_cannot_be_logged_is_said_and_kept_in_the_form(folder):
    box = forms.log(folder)
    field(box, "piece").value, field(box, "stitches").value = "Otter Creek", "a <lot>"
    button(box).click()
    assert "a &lt;lot&gt;" in box.children[-1].value
    assert field(box, "stitches").value == "a <lot>"
    assert "lot" not in (folder / "diary.csv").read_text("utf-8-sig")


def test_what_the_command_line_refuses_comes_back_as_words():
    done, said = forms.run(["report", "--", "review", "/nowhere/at/all"])
    assert not done
    assert "no such folder" in said and "Traceback" not in said
