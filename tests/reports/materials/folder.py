"""Small diary folders for the tests of materials."""

from __future__ import annotations

from pathlib import Path

from stitchlog import open_diary
from stitchlog.diary.diary import Diary

PIECES = "piece,total,width,height,count,over,strands,fabric_colour\n"


def diary_of(folder: Path, **files: str) -> Diary:
    """The diary of `folder` with the given files: diary="...", pieces="...", settings="..." for stitchlog.toml."""
    files.setdefault("diary", "piece,date,stitches,colours\n")
    for name, text in files.items():
        (folder / ("stitchlog.toml" if name == "settings" else f"{name}.csv")).write_text(text, "utf-8")
    diary = open_diary(folder)
    assert diary.problems.empty, diary.problems.to_string()
    return diary


def unpicker(folder: Path, unpicked: int = 0, **files: str) -> Diary:
    """Ten sessions of one colour on 14 count with two strands, 84 stitches stay in each."""
    rows = [f"Pears,2026-10-{day:02d},{84 + unpicked},{unpicked},G05:{84 + unpicked}" for day in range(1, 11)]
    return diary_of(
        folder,
        diary="piece,date,stitches,unpicked,colours\n" + "\n".join(rows),
        pieces=PIECES + "Pears,2000,,,14,1,2,#ffffff\n",
        threads="code,name,hex,skeins\nG05,lime,#a3bf4b,1\n",
        **files,
    )
