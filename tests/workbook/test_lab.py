"""The live notebooks: copies that ask about the diary beside them, and keep what the user changed."""

import json
import sys

import pytest

from stitchlog.errors import StitchlogError
from stitchlog.workbook import lab


@pytest.fixture
def diary(tmp_path):
    (tmp_path / "diary.csv").write_text("piece,date,stitches\nFern Clock,2026-10-01,120\n")
    return tmp_path


def _book(diary, name="review"):
    return json.loads((diary / "workbook" / f"{name}.ipynb").read_text("utf-8"))


def _first_code(book):
    return next(cell for cell in book["cells"] if cell["cell_type"] == "code")


def test_copies_ask_about_the_folder_they_are_in(diary):
    assert lab.copy_notebooks(diary) == []
    text = "".join("".join(c["source"]) for c in _book(diary)["cells"])
    assert 'folder = ".."' in text
    assert "data_demo" not in text
    assert all(not c["outputs"] for c in _book(diary)["cells"] if c["cell_type"] == "code")


def test_a_changed_notebook_is_kept_and_an_unchanged_one_brought_up_to_date(diary):
    lab.copy_notebooks(diary)
    changed, unchanged = diary / "workbook" / "review.ipynb", diary / "workbook" / "pace.ipynb"
    book = _book(diary)
    _first_code(book)["source"] += "\n# mine"
    changed.write_text(json.dumps(book), "utf-8")
    book = _book(diary, "pace")
    _first_code(book)["outputs"] = [{"output_type": "stream", "name": "stdout", "text": "run"}]
    unchanged.write_text(json.dumps(book), "utf-8")
    assert lab.copy_notebooks(diary) == [changed]
    assert "# mine" in changed.read_text("utf-8")
    assert not _first_code(_book(diary, "pace"))["outputs"]


def test_a_broken_copy_is_kept(diary):
    lab.copy_notebooks(diary)
    (diary / "workbook" / "plan.ipynb").write_text("{", "utf-8")
    assert [p.name for p in lab.copy_notebooks(diary)] == ["plan.ipynb"]


def test_without_a_diary_there_is_nothing_to_open(tmp_path):
    with pytest.raises(StitchlogError, match=r"there is no diary\.csv here"):
        lab.open_lab(tmp_path)


def test_a_jupyterlab_that_fails_is_said(diary, monkeypatch):
    monkeypatch.setattr(lab, "lab_command", lambda *_: [sys.executable, "-c", "raise SystemExit(1)"])
    with pytest.raises(StitchlogError, match="ended with an error"):
        lab.open_lab(diary)
