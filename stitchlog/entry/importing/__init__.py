"""Taking in a stitcher's own spreadsheet: read what it means, show it, then write what is new.

proposal = read("My log.xlsx", folder)
print(preview(proposal, difference(folder, proposal)))
apply(folder, proposal, today)
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from pathlib import Path

from stitchlog.diary import schema, settings
from stitchlog.entry.importing.applying import Changed, Difference, apply, difference
from stitchlog.entry.importing.previewing import news, preview
from stitchlog.entry.importing.proposal import LeftOut, Piece, Place, Proposal, Question, Session
from stitchlog.entry.importing.understanding import COUNTS, DATES, PIECE, understand
from stitchlog.entry.importing.workbook import open_sheets
from stitchlog.errors import StitchlogError

__all__ = [
    "COUNTS",
    "DATES",
    "PIECE",
    "Changed",
    "Difference",
    "LeftOut",
    "Piece",
    "Place",
    "Proposal",
    "Question",
    "Session",
    "apply",
    "difference",
    "news",
    "preview",
    "read",
]

SHEETS = "sheets"


def read(
    path: str | Path,
    folder: str | Path | None = None,
    *,
    sheets: Sequence[str] = (),
    answers: Mapping[str, str] | None = None,
    today: dt.date | None = None,
) -> Proposal:
    """What a spreadsheet file holds, as a proposal; nothing is written.

    folder: the diary folder whose own heading words, and answers about this file, count. sheets: the sheets to read
    (none: all). answers: to `Proposal.questions`, by what they are about. Raises StitchlogError, one line, where the
    file cannot be read or holds no sessions.
    """
    path = Path(path)
    theirs = path.name in (*(t.file for t in schema.TABLES), settings.FILE)
    if folder is not None and theirs and path.resolve().parent == Path(folder).resolve():
        raise StitchlogError(f"{path}: is a file of the diary itself; move it to another place, then import it")
    own = _settings(folder)
    told = {**own.imports.get(path.name, {}), **(answers or {})}
    wanted = list(sheets) or [name for name in told.pop(SHEETS, "").split("\n") if name]
    told.pop(SHEETS, None)
    found = open_sheets(path)
    if not found:
        raise StitchlogError(f"{path.name}: is empty")
    if wanted:
        by_name = {sheet.name.casefold(): sheet for sheet in found}
        missing = [name for name in wanted if name.casefold() not in by_name]
        if missing:
            there = ", ".join(f'"{sheet.name}"' for sheet in found)
            raise StitchlogError(f'{path.name}: has no sheet "{missing[0]}"; its sheets are {there}')
        found = [by_name[name.casefold()] for name in wanted]
        told[SHEETS] = "\n".join(wanted)
    if DATES not in told and own.date_order in ("day-first", "month-first"):
        return understand(path.name, found, told, own.headings, today, own.date_order)
    return understand(path.name, found, told, own.headings, today)


def _settings(folder: str | Path | None) -> settings.Settings:
    if folder is None or not (Path(folder) / settings.FILE).is_file():
        return settings.Settings()
    return settings.parsed((Path(folder) / settings.FILE).read_bytes())
