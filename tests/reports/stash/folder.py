"""Small drawers for the tests of the stash."""

from __future__ import annotations

from pathlib import Path

from stitchlog import open_diary
from stitchlog.diary.diary import Diary

PIECES = "piece,total,width,height,count,over,strands,fabric,started\n"
FABRICS = "name,count,kind,colour,width_cm,height_cm\n"
# Twenty timed hours of 100 stitches on a finished piece.
TIMED = "piece,date,stitches,minutes,colours\n" + "".join(
    f"Old,2026-09-{day:02d},100,60,A:100\n" for day in range(1, 21)
)


def drawer_of(folder: Path, pieces: str = "", fabrics: str = "", **files: str) -> Diary:
    """A diary with a finished piece, charts that wait, cuts of fabric and whatever else is given."""
    folder.mkdir(exist_ok=True)
    files = {"diary": TIMED, **files}
    files["pieces"] = PIECES + "Old,2000,50,40,14,1,2,,2026-09-01\n" + pieces
    files["fabrics"] = FABRICS + fabrics
    for name, text in files.items():
        (folder / f"{name}.csv").write_text(text, "utf-8")
    diary = open_diary(folder)
    assert diary.problems.empty, diary.problems.to_string()
    return diary
