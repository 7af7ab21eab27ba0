"""The diary's tables as an open standard describes them: a Data Package with a Table Schema for each CSV file.

Field types and constraints come from the same definitions that the reader uses (`tables`); separators, encodings and
decimal marks from the files as they are. Standard: Frictionless Data, Data Package and Table Schema, version 1 names.
"""

from __future__ import annotations

import json
import os
import tempfile
from pathlib import Path
from typing import Any

from stitchlog import tables
from stitchlog.reading import Reading, Written

FILE, NAME = "datapackage.json", "stitch-diary"

_TYPES = {
    "text": "string",
    "name": "string",
    "hex": "string",
    "kind": "string",
    "yes_no": "string",
    "date": "date",
    "count": "number",
    "number": "number",
    "share": "number",
    "whole": "integer",
    "over": "integer",
}
_LIMITS: dict[str, dict[str, Any]] = {
    "count": {"minimum": 0},
    "share": {"minimum": 0, "maximum": 1},
    "whole": {"minimum": 0},
    "over": {"enum": [1, 2]},
    "hex": {"pattern": "#?([0-9a-fA-F]{6}|[0-9a-fA-F]{3})"},
}


def describe(reading: Reading) -> dict[str, Any]:
    """The descriptor of a folder's CSV files: a resource a file that is there."""
    resources = [_resource(t, reading.written[t.file]) for t in tables.TABLES if t.file in reading.written]
    return {
        "name": NAME,
        "title": "A cross-stitcher's diary",
        "profile": "data-package",
        "resources": resources,
    }


def write(folder: Path, reading: Reading) -> None:
    """Write the descriptor beside the store, whole, where it says anything new."""
    text = json.dumps(describe(reading), indent=2, ensure_ascii=False) + "\n"
    path = folder / FILE
    if path.exists():
        there = path.read_bytes()
        # A description that somebody else has written is theirs.
        if there == text.encode("utf-8") or f'"name": "{NAME}"'.encode() not in there:
            return
    handle, part = tempfile.mkstemp(prefix=".datapackage-", dir=folder)
    try:
        with os.fdopen(handle, "wb") as out:
            out.write(text.encode("utf-8"))
        os.chmod(part, 0o644)
        os.replace(part, path)
    except OSError:
        os.unlink(part)
        raise


def _resource(table: tables.Table, written: Written) -> dict[str, Any]:
    mark = written.encoding.startswith("utf-8") and written.mark
    schema: dict[str, Any] = {
        "fields": [_field(table, written, name, place) for place, name in enumerate(written.columns)],
        "missingValues": [""],
    }
    if table.key:
        schema["primaryKey"] = [
            h for key in table.key for h, n in zip(written.headings, written.columns, strict=True) if n == key
        ]
    return {
        "name": table.name.replace("_", "-"),
        "title": table.meaning,
        "path": table.file,
        "profile": "tabular-data-resource",
        "format": "csv",
        "encoding": "utf-8-sig" if mark else written.encoding,
        "dialect": {"delimiter": written.delimiter, "lineTerminator": written.newline, "header": True},
        "schema": schema,
    }


def _field(table: tables.Table, written: Written, name: str, place: int) -> dict[str, Any]:
    heading = written.headings[place]
    column = next((c for c in table.columns if c.name == name), None)
    if column is None:
        return {"name": heading, "type": "string", "description": "a column of the stitcher's own"}
    kind = _TYPES[column.kind]
    meaning = f"{column.meaning} ({column.unit})" if column.unit else column.meaning
    field: dict[str, Any] = {"name": heading, "type": kind, "description": meaning}
    limits = dict(_LIMITS.get(column.kind, {}))
    if column.required:
        limits["required"] = True
    if limits:
        field["constraints"] = limits
    if name in written.other_days:
        field["format"] = "any"
    if kind == "number" and written.decimal_comma:
        field["decimalChar"] = ","
    return field
