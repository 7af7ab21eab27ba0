"""What there is to ask a diary with code of one's own."""

import pytest

from stitchlog import open_diary
from stitchlog.errors import StitchlogError
from stitchlog.workbook import explore
from tests.conftest import DEMO


@pytest.fixture(scope="module")
def diary():
    return open_diary(DEMO)


def test_every_frame_says_what_a_row_of_it_is(diary):
    frames = explore.frames(diary).set_index("frame")
    assert {"sessions", "pieces", "colours", "problems"} <= set(frames.index)
    assert (frames["holds"].str.len() > 5).all()
    assert frames.loc["sessions", "rows"] == len(diary.sessions)


def test_every_column_says_what_it_holds(diary):
    sessions = explore.columns(diary, "sessions").set_index("column")
    assert list(sessions.index) == list(diary.sessions.columns)
    assert sessions.loc["stitches", "unit"] == "full-stitch equivalents"
    assert sessions.loc["date", "kind"] == "day" and sessions.loc["estimated", "kind"] == "yes or no"
    for frame in explore.frames(diary)["frame"]:
        described = explore.columns(diary, frame)
        assert (described["meaning"].str.len() > 0).all(), (frame, described)


def test_what_is_not_there_is_one_line(diary, tmp_path):
    with pytest.raises(StitchlogError, match='there is no frame "session"; there are sessions, '):
        explore.columns(diary, "session")
    with pytest.raises(StitchlogError, match="nowhere cannot be found here; to have them: python -m pip install"):
        explore.need("json", "nowhere")
    (tmp_path / "diary.csv").write_text("piece,date,stitches\n", "utf-8")
    empty = open_diary(tmp_path)
    assert explore.store(empty) == tmp_path / "store"
    (tmp_path / "store" / "sessions.parquet").unlink()
    with pytest.raises(StitchlogError, match="write them with: stitchlog ingest"):
        explore.store(empty)
