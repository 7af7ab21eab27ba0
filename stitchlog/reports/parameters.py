"""What a notebook may be asked, checked before anything heavy starts."""

from __future__ import annotations

import ast
import datetime as dt
import json
from pathlib import Path
from typing import Any

from stitchlog.errors import StitchlogError


def known(notebook: Path) -> dict[str, Any]:
    """The names of a notebook's parameters cell with their usual values (None where the value is not a plain one)."""
    cells = json.loads(notebook.read_text("utf-8"))["cells"]
    source = next(("".join(c["source"]) for c in cells if "parameters" in c["metadata"].get("tags", [])), "")
    found: dict[str, Any] = {}
    for node in ast.parse(source).body:
        if isinstance(node, ast.Assign) and isinstance(node.targets[0], ast.Name):
            found[node.targets[0].id] = ast.literal_eval(node.value)
    return found


def plain(value: Any) -> Any:
    """The value as papermill can write it: days and paths as text, numbers from other libraries as Python's own.

    Raises TypeError for what has no plain form, since papermill would turn it into text without a word.
    """
    if hasattr(value, "item"):
        value = value.item()
    if value is None or isinstance(value, (bool, int, float, str)):
        return value
    if isinstance(value, (dt.date, dt.datetime)):
        return value.isoformat()[:10]
    if isinstance(value, Path):
        return str(value)
    if isinstance(value, (list, tuple)):
        return [plain(v) for v in value]
    if isinstance(value, dict):
        return {str(k): plain(v) for k, v in value.items()}
    raise TypeError(f"{value!r} cannot be a parameter")


def checked(notebook: Path, wanted: dict[str, Any]) -> dict[str, Any]:
    """`wanted` in plain values. Raises StitchlogError where the notebook does not know a name."""
    names = known(notebook)
    for name in wanted:
        if name not in names:
            raise StitchlogError(f"{notebook.stem} does not take {name}; it takes {', '.join(names)}")
    return {name: plain(value) for name, value in wanted.items()}
