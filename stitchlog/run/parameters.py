"""What was asked of `stitchlog report`, turned into jobs; what cannot be asked is refused before anything starts."""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

from stitchlog import words
from stitchlog.diary import clock, days, parameters, settings
from stitchlog.diary import names as names_of
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


def apart(folders: tuple[Path, ...], piece: str | None) -> tuple[tuple[Path, ...], str | None]:
    """The folders, and the piece with the words that were taken for folders where quotes round it were left out."""
    rest = [folder for folder in folders if not folder.is_dir()]
    there = tuple(folder for folder in folders if folder.is_dir())
    if not piece or not rest or not there:
        return folders, piece
    from stitchlog.diary.diary import open_diary

    whole = " ".join([piece, *map(str, rest)])
    known = open_diary(there[0]).pieces["piece"]
    return (there, whole) if names_of.meant(whole, known) else (folders, piece)


def asked(
    folders: list[Path], month: str | None = None, week: str | None = None, year: str | None = None, **others: Any
) -> dict[str, Any]:
    """What was asked of reports, by parameter: the period of a month, week or year, and the day it is seen from.

    Months, weeks and years are seen from `as_of`, the computer's day where it is not given; a week "" is that of the
    newest session. Other values are still to be read. Raises StitchlogError where it is two periods, or none.
    """
    said = {"--month": month, "--week": week, "--year": year}
    given = [name for name, text in said.items() if text is not None]
    if len(given) + any(others.get(name) is not None for name in parameters.PERIOD) > 1:
        raise StitchlogError("give one of --month, --week, --year, or --from with --to")
    known = settings.of(folders[0])
    context = parameters.Context(clock.today(), known.date_order)
    as_of = parameters.read({"as_of": others.get("as_of")}, context, flag)["as_of"] or context.today
    spans: dict[str, Callable[[str], days.Span]] = {
        "--month": lambda text: days.month(text, as_of),
        "--week": lambda text: days.week(text or str(_newest(folders[0], as_of) or as_of), as_of, known.week_start),
        "--year": lambda text: days.year(text, as_of),
    }
    for name in given:
        try:
            others["start"], others["end"] = spans[name](str(said[name]))
        except StitchlogError as fault:
            raise StitchlogError(f"{name}: {fault}") from None
    return {**others, "as_of": as_of}


def _newest(folder: Path, as_of: dt.date) -> dt.date | None:
    """The day of a diary's newest session up to `as_of`; None where it has none."""
    from stitchlog.diary.diary import open_diary

    last = open_diary(folder).at(as_of).last_day
    return None if last != last else last.date()


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
            if name == "review" and not {"start", "end"} & set(asked):
                ask |= _usual_period(folder, options.get("as_of") or clock.today())
            book = books[name, folder]
            remark = _YOURS if workbook and name in NAMES and own.is_changed(book) else ""
            found.append(Job(book.stem, folder, place, ask, book, remark))
    return found


def _usual_period(folder: Path, as_of: dt.date) -> dict[str, str]:
    """The month of the newest session; none where there is no session yet."""
    newest = _newest(folder, as_of)
    return dict(zip(parameters.PERIOD, map(str, days.month("this", newest)), strict=True)) if newest else {}


def say_usual(jobs: list[Job], asked: dict[str, Any]) -> list[str]:
    """Which month a review is of where none was asked for, a line a month."""
    reviews = [job for job in jobs if job.name == "review" and "start" in job.ask and asked.get("start") is None]
    months = dict.fromkeys(words.month(dt.date.fromisoformat(job.ask["start"])) for job in reviews)
    return [f"Review of {month}, the month of your newest session; for another: --month last" for month in months]


def _refused(option: str) -> str:
    return "--month, --week, --year or --from" if option == "start" else flag(option)


def _parameters(notebook: Path) -> set[str]:
    """What a notebook may be asked: the names in its parameters cell."""
    cells = json.loads(notebook.read_text("utf-8"))["cells"]
    return set(cell.values(next(("".join(c["source"]) for c in cells if cell.is_parameters(c)), "")))
