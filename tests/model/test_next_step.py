"""A report with next to nothing to go by says the one thing to do."""

import pytest

from stitchlog import open_diary
from stitchlog.model.next_step import say_next_step


@pytest.mark.parametrize(
    ("rows", "pieces", "report", "says"),
    [
        ("", "", "review", 'stitchlog add diary "My first piece" 120'),
        ("Fern Gate,2026-10-01,5\n", "", "finish", "stitchlog piece diary 'Fern Gate' --total NUMBER"),
        ("Fern Gate,2026-10-01,5\n", "", "review", ""),
        ("Fern Gate,2026-10-01,5\n", "Fern Gate,900\n", "plan", ""),
    ],
)
def test_the_next_step(tmp_path, rows, pieces, report, says):
    folder = tmp_path / "diary"
    folder.mkdir()
    (folder / "diary.csv").write_text("piece,date,stitches\n" + rows)
    (folder / "pieces.csv").write_text("piece,total\n" + pieces)
    said = say_next_step(open_diary(folder), report)
    assert says in said and bool(says) is bool(said)
