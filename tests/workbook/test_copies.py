"""The live notebooks: copies that ask about the diary beside them, and lose nothing that the user did in them."""

import datetime as dt
import json
import shutil

import nbformat
import pytest

from stitchlog import resources
from stitchlog.errors import StitchlogError
from stitchlog.run import cell, own
from stitchlog.workbook import copies

TODAY = dt.date(2026, 11, 25)


@pytest.fixture
def diary(tmp_path, monkeypatch):
    """A diary folder, and notebooks of which a newer version can be made."""
    shipped = tmp_path / "shipped"
    shipped.mkdir()
    for name in ("pace", "start"):
        shutil.copy(resources.notebook(name), shipped)
    monkeypatch.setattr(resources, "folder", lambda _: shipped)
    folder = tmp_path / "mine"
    folder.mkdir()
    assert copies.bring_up(folder, TODAY) == []
    return folder


def _path(diary, name="pace"):
    return diary / "workbook" / f"{name}.ipynb"


def _edit(path, change):
    book = nbformat.read(path, 4)
    change(book)
    nbformat.write(book, path)


def _parameters(book):
    return next(part for part in book.cells if cell.is_parameters(part))


def _value(diary, name):
    return cell.values(_parameters(nbformat.read(_path(diary), 4)).source)[name]


def _give(name, text):
    def change(book):
        part = _parameters(book)
        part.source = cell.with_values(part.source, {name: text})

    return change


def _run(book):
    next(part for part in book.cells if part.cell_type == "code").outputs = [
        nbformat.v4.new_output("stream", text="run")
    ]


def _new_version(tmp_path):
    _edit(tmp_path / "shipped" / "pace.ipynb", lambda book: book.cells.append(nbformat.v4.new_markdown_cell("New.")))


def test_copies_ask_about_the_folder_they_are_in(diary):
    text = _path(diary).read_text("utf-8")
    assert _value(diary, "folder") == '".."' and "data_demo" not in text
    assert all(not part.outputs for part in nbformat.read(_path(diary), 4).cells if part.cell_type == "code")


def test_a_copy_is_written_as_jupyterlab_would_save_it(diary):
    book = nbformat.read(_path(diary), 4)
    assert nbformat.writes(book) + "\n" == _path(diary).read_text("utf-8")
    assert {"codemirror_mode", "file_extension", "mimetype"} <= set(book.metadata.language_info)


def test_opening_again_touches_nothing(diary):
    _edit(_path(diary), _run)
    _edit(_path(diary), _give("stitches", "555"))
    before = {p: p.read_bytes() for p in (diary / "workbook").iterdir()}
    assert copies.bring_up(diary, TODAY) == []
    assert {p: p.read_bytes() for p in (diary / "workbook").iterdir()} == before


def test_a_new_version_takes_over_the_values_and_keeps_the_old_copy(diary, tmp_path):
    _edit(_path(diary), _give("stitches", "555"))
    before = _path(diary).read_bytes()
    _new_version(tmp_path)
    said = copies.bring_up(diary, TODAY)
    assert said == [
        "pace.ipynb is new in this version, with your stitches; the earlier one is now pace-2026-11-25.ipynb"
    ]
    assert (diary / "workbook" / "pace-2026-11-25.ipynb").read_bytes() == before
    assert _value(diary, "stitches") == "555" and "New." in _path(diary).read_text("utf-8")
    assert copies.bring_up(diary, TODAY) == []


def test_a_new_version_brings_its_own_value_where_the_user_gave_none(diary, tmp_path):
    def another_default(book):
        _give("stitches", "20000")(book)

    _edit(tmp_path / "shipped" / "pace.ipynb", another_default)
    assert copies.bring_up(diary, TODAY) == []
    assert _value(diary, "stitches") == "20000"


def test_outputs_of_an_earlier_version_are_kept(diary, tmp_path):
    _edit(_path(diary), _run)
    _new_version(tmp_path)
    assert copies.bring_up(diary, TODAY)[0].endswith("the earlier one is now pace-2026-11-25.ipynb")


@pytest.mark.parametrize("content", ["", "{", '{"cells": []}'])
def test_a_copy_that_holds_nothing_readable_makes_way(diary, content):
    _path(diary).write_text(content, "utf-8")
    (said,) = copies.bring_up(diary, TODAY)
    assert said.startswith("pace.ipynb could not be read as a notebook and is as it comes again")
    assert nbformat.read(_path(diary), 4).cells
    assert (diary / "workbook" / "pace-2026-11-25.ipynb").exists() == bool(content)


def test_a_fresh_one_can_be_had_and_two_in_a_day(diary):
    for kept in ("pace-2026-11-25.ipynb", "pace-2026-11-25-2.ipynb"):
        _edit(_path(diary), _give("stitches", "555"))
        assert copies.bring_up(diary, TODAY, fresh=["pace"]) == [
            f"pace.ipynb is as it comes again; the earlier one is now {kept}"
        ]
        assert _value(diary, "stitches") == "10000"
    with pytest.raises(StitchlogError, match='there is no notebook "peace"; there are pace, start'):
        copies.bring_up(diary, TODAY, fresh=["peace"])


def test_a_copy_is_the_users_own_once_more_than_its_values_changed(diary):
    _edit(_path(diary), _give("stitches", "555"))
    assert not own.is_changed(_path(diary))
    _edit(_path(diary), lambda book: book.cells.append(nbformat.v4.new_code_cell("1 + 1")))
    assert own.is_changed(_path(diary))
    assert json.loads(_path(diary).read_text("utf-8"))["metadata"]["stitchlog"]["defaults"]["stitches"] == "10000"
