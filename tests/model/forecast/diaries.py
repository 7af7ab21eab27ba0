"""Small diaries for the forecast's tests, written as CSV and read as any other."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pandas as pd

from stitchlog import open_diary
from stitchlog.diary.diary import Diary


def write(folder: Path, rows: list[str], pieces: list[str] = (), sessions: str = "piece,date,stitches") -> Diary:
    """A diary of rows of diary.csv and pieces.csv (piece, total, done_before, started, finished, set_aside, due)."""
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "diary.csv").write_text("\n".join([sessions, *rows]) + "\n", "utf-8")
    heading = "piece,total,done_before,started,finished,set_aside,due"
    full = [row + "," * (heading.count(",") - row.count(",")) for row in pieces]
    (folder / "pieces.csv").write_text("\n".join([heading, *full]) + "\n", "utf-8")
    return open_diary(folder)


def sessions(piece: str, start: str, days: int, every: int = 1, stitches: float = 50) -> list[str]:
    """A session of so many stitches on every so-manieth of so many days."""
    return [f"{piece},{d.date()},{stitches:g}" for d in pd.date_range(start, periods=days)[::every]]


def series(amounts: list[float] | np.ndarray, start: str = "2024-01-01") -> pd.Series:
    """A daily series."""
    return pd.Series(np.asarray(amounts, float), pd.date_range(start, periods=len(amounts)))
