"""A folder to begin with: it reads at once, and nothing is ever written over."""

import pytest

from stitchlog import open_diary
from stitchlog.diary import schema, settings
from stitchlog.entry import beginning, checking
from stitchlog.errors import StitchlogError


def test_a_new_folder_reads_without_a_problem(tmp_path):
    written = beginning.begin(tmp_path / "a" / "b")
    assert {p.name for p in written} == {*(t.file for t in schema.TABLES), settings.FILE}
    assert checking.check(tmp_path / "a" / "b").problems.num_rows == 0
    diary = open_diary(tmp_path / "a" / "b")
    assert diary.sessions.empty and diary.pieces.empty and diary.standing().empty


@pytest.mark.parametrize("name", ["diary.csv", "pieces.csv", "stitchlog.toml"])
def test_what_is_there_is_not_written_over_and_nothing_else_is_written(tmp_path, name):
    (tmp_path / name).write_text("mine")
    with pytest.raises(StitchlogError, match="there already"):
        beginning.begin(tmp_path)
    assert [p.name for p in tmp_path.iterdir()] == [name] and (tmp_path / name).read_text() == "mine"


def test_a_place_where_no_folder_can_be_is_said(tmp_path):
    (tmp_path / "file").write_text("mine")
    with pytest.raises(StitchlogError, match="no diary can be begun"):
        beginning.begin(tmp_path / "file" / "diary")
