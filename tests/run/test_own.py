"""A notebook of the user's own becomes a page, tables and a line on the index, as ours do."""

import json
import re
import shutil

import nbformat
import pytest

from stitchlog import resources
from stitchlog.cli import main
from stitchlog.errors import StitchlogError
from stitchlog.run import cell, own

DIARY = "piece,date,stitches,colours\nOtter,2026-10-01,120,B12:100; B14\nFox,2026-11-05,80,B12\n"


@pytest.fixture
def folder(tmp_path):
    (tmp_path / "diary.csv").write_text(DIARY, "utf-8")
    return tmp_path


def test_from_nothing_to_a_page_with_a_line_on_the_index(folder, capsys):
    assert main(["notebook", str(folder), "colours per month"]) == 0
    said = capsys.readouterr().out
    assert "Make its page with: stitchlog report colours-per-month" in said
    assert main(["report", "colours-per-month", str(folder), "--as-of", "2026-11-10"]) == 0
    assert capsys.readouterr().out == f"Open {(folder / 'reports' / 'colours-per-month.html').resolve()}\n"
    page = (folder / "reports" / "colours-per-month.html").read_text("utf-8")
    assert "<title>Colours per month</title>" in page and "Stitches a month" in page and "stitchlog report" not in page
    assert (folder / "reports" / "colours-per-month" / "months.png").exists()
    kept = (folder / "reports" / "colours-per-month" / "months.csv").read_text("utf-8").splitlines()
    assert kept == ["month,stitches", "2026-10-01,120.0", "2026-11-01,80.0"]
    index = (folder / "reports" / "index.html").read_text("utf-8")
    assert '<a href="colours-per-month.html">Colours per month</a>' in index and "A page of your own." in index


def test_what_begins_is_as_every_notebook_is(folder):
    path = own.begin(folder, "Blue things")
    book = nbformat.read(path, 4)
    nbformat.validate(book)
    assert cell.values(next(c for c in book.cells if cell.is_parameters(c)).source) == {
        "folder": '".."',
        "as_of": "None",
        "out": "None",
    }
    with pytest.raises(StitchlogError, match="is there already"):
        own.begin(folder, "blue things")


@pytest.mark.parametrize(
    ("name", "why"),
    [("../out", "cannot be the name"), ("Pace", "one of stitchlog's own"), ("all", "one of stitchlog's")],
)
def test_a_name_that_cannot_be(folder, name, why):
    with pytest.raises(StitchlogError, match=why):
        own.begin(folder, name)


def test_a_notebook_without_parameters_is_said_and_what_there_is(folder):
    own.begin(folder, "mine")
    (folder / "workbook" / "scratch.ipynb").write_text(json.dumps({"cells": []}), "utf-8")
    with pytest.raises(StitchlogError, match=r'scratch\.ipynb: no cell is tagged "parameters"'):
        own.notebook("scratch", folder)
    with pytest.raises(StitchlogError, match=r'there is no report "yours"; there are review, .*, mine, or all'):
        own.notebook("yours", folder)


def test_a_changed_copy_of_ours_can_be_run_and_the_page_says_so(folder, capsys):
    assert main(["report", "rotation", str(folder), "--workbook"]) == 2
    assert "open the workbook once" in capsys.readouterr().err
    (folder / "workbook").mkdir()
    copy = folder / "workbook" / "rotation.ipynb"
    shutil.copy(resources.notebook("rotation"), copy)
    book = nbformat.read(copy, 4)
    book.cells.append(nbformat.v4.new_code_cell('page.note(open("beside.txt").read())'))
    nbformat.write(book, copy)
    (folder / "workbook" / "beside.txt").write_text("Mine alone.", "utf-8")
    assert main(["report", "rotation", str(folder), "--workbook", "--as-of", "2026-11-10"]) == 0
    page = (folder / "reports" / "rotation.html").read_text("utf-8")
    assert "Mine alone." in page and "This page is your own" in page


def test_the_guides_own_question_becomes_a_page(folder, capsys):
    """The analyst's example in README.md, from nothing to a page, by the guide alone."""
    guide = (resources.folder("notebooks").parent / "README.md").read_text("utf-8")
    (example,) = re.findall(
        r"```python\n(.*?)```", guide.partition("## Go on from here")[2].partition("\n## ")[0], re.DOTALL
    )
    path = own.begin(folder, "colours per month")
    book = nbformat.read(path, 4)
    book.cells[-1].source = example
    nbformat.write(book, path)
    assert main(["report", "colours-per-month", str(folder), "--as-of", "2026-11-10"]) == 0
    page = (folder / "reports" / "colours-per-month.html").read_text("utf-8")
    assert "You used 2 colours in your most colourful month." in page
    assert (folder / "reports" / "colours-per-month" / "colours.png").exists()
