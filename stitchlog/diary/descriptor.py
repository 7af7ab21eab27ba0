"""The diary's tables as an open standard describes them: a Data Package with a Table Schema for each CSV file.

Field types and constraints come from the same definitions that the reader uses (`schema`); separators, encodings and
decimal marks from the files as they are. Standard: Frictionless Data, Data Package and Table Schema, version 1 names.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from stitchlog.diary import schema
from stitchlog.diary.reading.reader import Reading, Written

FILE, NAME = "datapackage.json", "stitch-diary"

# Kinds that are not plain strings.
_TYPES = {
    "date": "date",
    "count": "number",
    "share": "number",
    "percent": "number",
    "whole": "integer",
    "over": "integer",
}
_LIMITS: dict[str, dict[str, Any]] = {
    "count": {"minimum": 0},
    "share": {"minimum": 0, "maximum": 1},
    "percent": {"minimum": 0, "maximum": 100},
    "whole": {"minimum": 0},
    "over": {"enum": [1, 2]},
    "hex": {"pattern": "#?([0-9a-fA-F]{6}|[0-9a-fA-F]{3})"},
}


def describe(reading: Reading) -> dict[str, Any]:
    """The descriptor of a folder's CSV files: a resource a file that is there."""
    resources = [_resource(t, reading.written[t.file]) for t in schema.TABLES if t.file in reading.written]
    return {"name": NAME, "title": "A cross-stitcher's diary", "profile": "data-package", "resources": resources}


def write(folder: Path, reading: Reading) -> None:
    """Write the descriptor beside the store, whole, where it says anything new. The caller holds the folder's lock."""
    text = json.dumps(describe(reading), indent=2, ensure_ascii=False) + "\n"
    path = folder / FILE
    if path.exists():
        there = path.read_bytes()
        # A description that somebody else has written is theirs.
        if there == text.encode("utf-8") or f'"name": "{NAME}"'.encode() not in there:
            return
    part = folder / ".datapackage-new"
    try:
        part.write_text(text, "utf-8", newline="\n")
        part.replace(path)
    except OSError:
        part.unlink(missing_ok=True)
        raise


def _resource(table: schema.Table, written: Written) -> dict[str, Any]:
    named = list(zip(written.headings, written.columns, strict=True))
    described: dict[str, Any] = {
        "fields": [_field(table, written, heading, name) for heading, name in named],
        "missingValues": [""],
    }
    if table.key:
        described["primaryKey"] = [heading for key in table.key for heading, name in named if name == key]
    return {
        "name": table.name.replace("_", "-"),
        "title": table.meaning,
        "path": table.file,
        "profile": "tabular-data-resource",
        "format": "csv",
        "encoding": "utf-8-sig" if written.encoding == "utf-8" and written.mark else written.encoding,
        "dialect": {"delimiter": written.delimiter, "lineTerminator": written.newline, "header": True},
        "schema": described,
    }


def _field(table: schema.Table, written: Written, heading: str, name: str) -> dict[str, Any]:
    column = next((c for c in table.columns if c.name == name), None)
    if column is None:
        return {"name": heading, "type": "string", "description": "a column of the stitcher's own"}
    kind = _TYPES.get(column.kind, "string")
    meaning = f"{column.meaning} ({column.unit})" if column.unit else column.meaning
    field: dict[str, Any] = {"name": heading, "type": kind, "description": meaning}
    limits = _LIMITS.get(column.kind, {}) | ({"required": True} if column.required else {})
    if limits:
        field["constraints"] = limits
    if name in written.other_days:
        field["format"] = "any"
    if column.kind == "percent":
        field["bareNumber"] = False  # it may stand with its sign
    if kind == "number" and written.decimal_comma:
        field["decimalChar"] = ","
    return field
