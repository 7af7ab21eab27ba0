"""What was asked of `stitchlog report`, turned into jobs; what cannot be asked is refused before anything starts."""

from __future__ import annotations

import datetime as dt
import json
from pathlib import Path
from typing import Any

from stitchlog.diary import clock, days, parameters, settings
from stitchlog.errors import StitchlogError
from stitchlog.run import cell, own
from stitchlog.run.notebooks import NAMES, Job

# How an option is written where its parameter is called otherwise.
_FLAGS = {"start": "--from", "end": "--to", "suits": "--for"}
# What a page says that a changed copy of our notebook made.
_YOURS = "This page is your own: its notebook is your changed copy, in the workbook folder of the diary."


def names(text: str) -> tuple[str, ...]:
    """The reports asked for, each once, in the order written; whether there are such, `jobs` sees."""
    wanted = [n.strip().lower() for n in text.split(",") if n.strip()]
    if "all" in wanted:
        return NAMES
    if not wanted:
        raise StitchlogError(f"name a report: {', '.join(NAMES)}, or all")
    return tuple(dict.fromkeys(wanted))


def period(month: str | None, year: str | None, start: Any, end: Any) -> dict[str, Any]:
    """The first and last day asked for, still to be read where they are given as such (None: the report's choice)."""
    if sum([month is not None, year is not None, start is not None or end is not None]) > 1:
        raise StitchlogError("give one of --month, --year, or --from with --to")
    for flag, text, span in (("--month", month, days.month), ("--year", year, days.year)):
        if text is not None:
            try:
                start, end = span(text, clock.today())
            except StitchlogError as fault:
                raise StitchlogError(f"{flag}: {fault}") from None
    return {"start": start, "end": end}


def flag(name: str) -> str:
    """How a parameter is written on the command line."""
    return _FLAGS.get(name, f"--{name.replace('_', '-')}")


def jobs(
    wanted: tuple[str, ...], folders: list[Path], out: Path | None, asked: dict[str, Any], workbook: bool = False
) -> list[Job]:
    """A job a report and folder. An option that none of the reports asked for takes, or a wrong value, is refused.

    workbook: run the copies of our notebooks that are in the diary's workbook folder, as the user has changed them.
    """
    asked = parameters.read(asked, parameters.Context(clock.today(), settings.of(folders[0]).date_order), flag)
    books = {(name, folder): own.notebook(name, folder, workbook) for name in wanted for folder in folders}
    takes = {name: _parameters(book) for (name, _), book in books.items()}
    for option in set(asked) - {"as_of"}:
        if not any(option in t for t in takes.values()):
            raise StitchlogError(f"{', '.join(wanted)}: does not take {_refused(option)}")
    if out and len({folder.resolve().name for folder in folders}) < len(folders):
        raise StitchlogError("--out: two of the folders have the same name; make their reports one after the other")
    if len(wanted) > 1 and "end" in asked and "as_of" in asked and asked["end"] < asked["as_of"]:
        # A month gone by, asked of several reports, is no period to plan for.
        takes.get("plan", set()).difference_update({"start", "end"})
    found = []
    for folder in folders:
        place = folder / "reports" if out is None else out / folder.resolve().name if len(folders) > 1 else out
        options = dict(asked)
        if "piece" in asked:
            from stitchlog.diary.diary import open_diary

            # As this diary spells it; a slip is said once, before anything starts.
            options["piece"] = open_diary(folder).piece(asked["piece"])
        for name in wanted:
            # Days as text: papermill would write them in its own way.
            ask = {
                option: value.isoformat() if isinstance(value, dt.date) else value
                for option, value in options.items()
                if option in takes[name]
            }
            book = books[name, folder]
            remark = _YOURS if workbook and name in NAMES and own.is_changed(book) else ""
            found.append(Job(book.stem, folder, place, ask, book, remark))
    return found


def _refused(option: str) -> str:
    return "--month, --year or --from" if option == "start" else flag(option)


def _parameters(notebook: Path) -> set[str]:
    """What a notebook may be asked: the names in its parameters cell."""
    cells = json.loads(notebook.read_text("utf-8"))["cells"]
    return set(cell.values(next(("".join(c["source"]) for c in cells if cell.is_parameters(c)), "")))
