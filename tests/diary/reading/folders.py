"""A folder's files read in memory, and what the tests ask of it."""

from __future__ import annotations

from pathlib import Path

from stitchlog.diary import counting
from stitchlog.diary.reading.reader import Reading, read_folder
from stitchlog.diary.settings import Settings

HEAD = "piece,date,stitches,minutes,note\n"


def read(diary: str | bytes, settings: Settings | None = None, **others: str | bytes) -> Reading:
    """The worked-out reading of diary.csv and the files named after it."""
    files = {"diary": diary, **others}
    contents = {f"{name}.csv": data.encode() if isinstance(data, str) else data for name, data in files.items()}
    return counting.worked_out(read_folder(Path("."), contents, settings))


def found(reading: Reading) -> list[tuple[str, int, str, str]]:
    """(file, line, column, code) of every problem."""
    return [(p["file"], p["line"], p["column"], p["code"]) for p in reading.problems.to_pylist()]


def codes(reading: Reading) -> list[str]:
    return [code for *_, code in found(reading)]


def column(reading: Reading, name: str, table: str = "sessions") -> list:
    return reading.tables[table][name].to_pylist()


def days(reading: Reading) -> list[str]:
    return [day.date().isoformat() for day in column(reading, "date")]


def counts(reading: Reading, file: str = "diary.csv") -> tuple[int, int, int]:
    """Rows read, stored and left out."""
    c = reading.counts[file]
    return c.read, c.stored, c.left_out
