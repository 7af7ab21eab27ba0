"""Small diaries for the plan's tests, written as CSV and read as any other."""

from __future__ import annotations

from pathlib import Path

from stitchlog import open_diary
from stitchlog.diary.diary import Diary

DIARY = "piece,date,stitches,half,minutes,colours"
PIECES = "piece,total,count,over,strands,started,finished,due,tags,done_before"
EVENTS = "event,part,starts,ends,target,piece,half_counts,kind,shared"
PROMPTS = "event,prompt,needs,stitches"
THREADS = "code,name,hex,skeins"


def write(folder: Path, diary=(), pieces=(), events=(), prompts=(), threads=(), settings: str = "") -> Diary:
    """A diary folder of the rows given, each as a line of CSV in the order of the headings above."""
    for name, heading, rows in (
        ("diary", DIARY, diary),
        ("pieces", PIECES, pieces),
        ("events", EVENTS, events),
        ("prompts", PROMPTS, prompts),
        ("threads", THREADS, threads),
    ):
        full = [row + "," * (heading.count(",") - row.count(",")) for row in rows]
        (folder / f"{name}.csv").write_text("\n".join([heading, *full]) + "\n", "utf-8")
    if settings:
        (folder / "stitchlog.toml").write_text(settings, "utf-8")
    return open_diary(folder)


def steady(start: str, days: int, stitches: int, piece: str = "Otter") -> list[str]:
    """A session of so many stitches on every one of so many days."""
    import pandas as pd

    return [f"{piece},{day.date()},{stitches}" for day in pd.date_range(start, periods=days)]
