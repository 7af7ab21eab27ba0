"""Copies of the notebooks in a diary's `workbook` folder, updated without losing what the user changed."""

from __future__ import annotations

import datetime as dt
import json
import os
from collections.abc import Collection
from pathlib import Path
from typing import Any

from stitchlog import resources, words
from stitchlog.errors import StitchlogError
from stitchlog.run import cell, own

_DEMO = '"../data_demo"'


def bring_up(folder: Path, today: dt.date, fresh: Collection[str] = (), diary: str = "..") -> list[str]:
    """What was done to the notebooks in `folder/workbook`, a line each; nothing is said of those that stay as they are.

    A copy made from these very notebooks stays, whatever was changed or run in it. One of an earlier version makes way
    for the new one, which takes over the values of its parameters; one that cannot be read, or is named in `fresh`,
    makes way for a new one as it comes. What had anything in it is kept beside under a name with the date of `today`.
    diary: the folder that the notebooks ask, as seen from where they lie. Raises StitchlogError where `fresh` names
    none of them.
    """
    sources = {path.stem: path for path in sorted(resources.folder("notebooks").glob("*.ipynb"))}
    for name in fresh:
        if name not in sources:
            raise StitchlogError(f'there is no notebook "{name}"; there are {", ".join(sources)}')
    target = folder / own.FOLDER
    target.mkdir(exist_ok=True)
    said = []
    for name, source in sources.items():
        line = _bring_up(target / source.name, _as_shipped(source, diary), today, name in fresh)
        if line:
            said.append(line)
    return said


def _bring_up(copy: Path, new: dict[str, Any], today: dt.date, fresh: bool) -> str:
    if not copy.exists():
        _write(copy, new)
        return ""
    old = _read(copy)
    if old is not None and not fresh:
        if _about(old).get("written_as") == _about(new)["written_as"]:
            return ""
        carried = _carry_over(old, new)
        if _about(old).get("written_as") == own.fingerprint(old) and not _has_outputs(old):
            _write(copy, new)
            return ""
    kept = ""
    if copy.stat().st_size:
        kept = f"; the earlier one is now {_set_beside(copy, today).name}"
    _write(copy, new)
    if fresh:
        return f"{copy.name} is as it comes again{kept}"
    if old is None:
        return f"{copy.name} could not be read as a notebook and is as it comes again{kept}"
    values = f", with your {words.listed(carried)}" if carried else ""
    return f"{copy.name} is new in this version{values}{kept}"


def _as_shipped(source: Path, diary: str) -> dict[str, Any]:
    """A notebook as it is first put into a workbook: asking `diary`, run by nobody yet, as JupyterLab would save it."""
    book: dict[str, Any] = json.loads(source.read_text("utf-8"))
    for number, part in enumerate(book["cells"]):
        part["source"] = "".join(part["source"]).replace(_DEMO, json.dumps(diary, ensure_ascii=False))
        part.setdefault("id", f"{source.stem}-{number}")
        if part["cell_type"] == "code":
            part |= {"outputs": [], "execution_count": None}
    book["metadata"] = cell.kernel_metadata() | {
        "stitchlog": {
            "asks": own.fingerprint(book, parameters=False),
            "defaults": cell.values(_parameters(book)),
            "written_as": own.fingerprint(book),
        }
    }
    book |= {"nbformat": 4, "nbformat_minor": 5}
    return book


def _carry_over(old: dict[str, Any], new: dict[str, Any]) -> list[str]:
    """Puts into `new` the values that the user gave to parameters of `old`. Returns the names of these parameters."""
    defaults = _about(old).get("defaults", {})
    given = {name: text for name, text in cell.values(_parameters(old)).items() if text != defaults.get(name)}
    for part in new["cells"]:
        if cell.is_parameters(part):
            was = cell.values(part["source"])
            given = {name: text for name, text in given.items() if name in was and text != was[name]}
            part["source"] = cell.with_values(part["source"], given)
    return list(given)


def _parameters(book: dict[str, Any]) -> str:
    return next(("".join(part["source"]) for part in book["cells"] if cell.is_parameters(part)), "")


def _has_outputs(book: dict[str, Any]) -> bool:
    return any(part.get("outputs") for part in book["cells"])


def _read(copy: Path) -> dict[str, Any] | None:
    """A notebook; None where the file holds none, or one without a cell."""
    try:
        book = json.loads(copy.read_text("utf-8"))
        own.fingerprint(book)
        return book if book["cells"] else None
    except (ValueError, KeyError, TypeError, AttributeError):
        return None


def _write(copy: Path, book: dict[str, Any]) -> None:
    """Whole or not at all, and in the very form in which JupyterLab saves."""
    import nbformat

    part = copy.with_name(f".{copy.name}.part")
    part.write_text(nbformat.writes(nbformat.from_dict(book)) + "\n", "utf-8")
    os.replace(part, copy)


def _set_beside(copy: Path, today: dt.date) -> Path:
    place, n = copy.with_stem(f"{copy.stem}-{today.isoformat()}"), 2
    while place.exists():
        place, n = copy.with_stem(f"{copy.stem}-{today.isoformat()}-{n}"), n + 1
    copy.rename(place)
    return place


def _about(book: dict[str, Any]) -> dict[str, Any]:
    about = book.get("metadata", {}).get("stitchlog", {})
    return about if isinstance(about, dict) else {}
