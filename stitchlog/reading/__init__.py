"""From CSV text to checked tables and problems."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from pathlib import Path

import pandas as pd

from stitchlog import tables
from stitchlog.errors import StitchlogError

PROBLEM_COLUMNS = ["severity", "code", "file", "line", "column", "value", "reason", "mend"]


@dataclass(frozen=True)
class Reading:
    """What a folder's CSV files hold: a frame a table (typed columns, then the unknown ones as text, then `line`)."""

    frames: dict[str, pd.DataFrame]
    problems: pd.DataFrame
    left_out: pd.DataFrame


def read_folder(folder: Path) -> Reading:
    frames = {}
    for table in tables.TABLES:
        path = Path(folder) / table.file
        rows: list[dict[str, object]] = []
        if path.exists():
            with path.open(encoding="utf-8-sig", newline="") as handle:
                reader = csv.DictReader(handle)
                for row in reader:
                    rows.append({**row, "line": reader.line_num})
        elif table is tables.DIARY:
            raise StitchlogError(f"{path}: there is no diary.csv in this folder; make one with: stitchlog new DIR")
        frame = pd.DataFrame(rows, columns=None if rows else [*table.names, "line"])
        for column in table.columns:
            if column.name not in frame:
                frame[column.name] = ""
            values = frame[column.name].fillna("").astype(str).str.strip()
            if column.kind == "date":
                frame[column.name] = pd.to_datetime(values.replace("", None)).astype("datetime64[us]")
            elif column.kind in ("count", "number", "share", "whole", "over"):
                frame[column.name] = pd.to_numeric(values.replace("", None)).astype(float)
            else:
                frame[column.name] = values
        frames[table.name] = frame
    empty = pd.DataFrame(columns=PROBLEM_COLUMNS)
    return Reading(frames, empty, empty.assign(row=""))
