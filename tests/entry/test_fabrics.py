"""A cut of fabric is added to the drawer, whole or not at all."""

import datetime as dt

import pytest

from stitchlog import open_diary
from stitchlog.entry import writing
from stitchlog.entry.fabrics import add_fabric
from stitchlog.errors import StitchlogError

TODAY = dt.date(2026, 11, 1)


@pytest.fixture
def folder(tmp_path):
    (tmp_path / "diary.csv").write_text("piece,date,stitches\nHare,2026-10-01,100\n", "utf-8")
    return tmp_path


def test_a_cut_is_added_and_taken_back(folder):
    said = add_fabric(folder, " Sage  linen", today=TODAY, count="32ct", kind="linen", width_cm="18 in", height_cm="50")
    assert said == "Added to the drawer: Sage linen"
    row = open_diary(folder).fabrics.iloc[0]
    assert (row["name"], row["count"], row["width_cm"], row["height_cm"]) == ("Sage linen", 32, 45.72, 50)
    writing.undo(folder, TODAY)
    assert open_diary(folder).fabrics.empty


def test_what_cannot_be_read_is_not_written(folder):
    with pytest.raises(StitchlogError, match="width_cm"):
        add_fabric(folder, "Sage linen", today=TODAY, width_cm="a yard")
    assert not (folder / "fabrics.csv").exists()
