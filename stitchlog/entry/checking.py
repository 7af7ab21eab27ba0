"""What is wrong in a diary folder, for people and for scripts. Nothing is written."""

from __future__ import annotations

import datetime as dt
import json
import textwrap
from collections import defaultdict
from pathlib import Path
from typing import Any

from stitchlog.diary import counting, escaping, photos, schema
from stitchlog.diary.reading.grid import looks_like
from stitchlog.diary.reading.problems import ERROR, ERRORS
from stitchlog.diary.reading.reader import Counts, Reading, read_folder
from stitchlog.entry import slips

# Rows of one kind of problem that are shown to people; the other formats show all.
MOST_SHOWN = 6

Problem = dict[str, Any]


def check(folder: str | Path, today: dt.date | None = None) -> Reading:
    """The folder's tables with all problems in them, and with what reads well and may be a slip.

    today: days after it are told. Raises StitchlogError where there is no diary to be read.
    """
    return slips.told(counting.worked_out(read_folder(Path(folder))), today)


def as_text(reading: Reading, width: int = 100) -> str:
    """The problems a file at a time, most rows left out first, each kind with its fix; no line over `width`."""
    width = max(width, 40)
    by_file: dict[str, list[Problem]] = defaultdict(list)
    for problem in reading.problems.to_pylist():
        by_file[problem["file"]].append(problem)
    order = sorted(by_file, key=lambda f: (-reading.counts[f].left_out, -len(by_file[f]), f))
    fine = [file for file, counts in reading.counts.items() if counts.read and file not in by_file]
    parts = [_file(file, reading.counts[file], by_file[file], width) for file in order]
    lines = [_wrapped(f"{_read(file, reading.counts[file])} Nothing to fix.", width) for file in fine]
    parts += ["\n".join(line for part in lines for line in part)] if lines else []
    parts += ["\n".join(_wrapped(said, width)) for said in _unused(reading)]
    return "\n\n".join(parts) if parts else "diary.csv has no sessions yet. Nothing to fix."


def as_csv(reading: Reading) -> str:
    """All problems, a row each, as CSV."""
    return escaping.csv_text(reading.problems)


def as_json(reading: Reading) -> str:
    """The rows of each file (read, stored, left_out) and all problems, as JSON."""
    files = {
        file: {"read": c.read, "stored": c.stored, "left_out": c.left_out}
        for file, c in reading.counts.items()
        if c.read
    }
    return json.dumps({"files": files, "problems": reading.problems.to_pylist()}, ensure_ascii=False, indent=2) + "\n"


def _unused(reading: Reading) -> list[str]:
    """What is kept and no report will show: columns of other names, and pictures that are not there."""
    said = []
    for table in schema.TABLES:
        written = reading.written.get(table.file)
        others = [name for name in written.columns if name and name not in table.names] if written else []
        if others:
            said.append(f"{table.file}: columns that no report reads, kept as they are: {', '.join(others)}.")
            alike = [f'"{name}" looks like {column}' for name, column in looks_like(others, table)]
            said += [f"{table.file}: {'; '.join(alike)}. Rename the heading if it is."] if alike else []
    named = set(reading.tables["sessions"]["photo"].to_pylist()) - {"", None}
    lost = sorted(photo for photo in named if not escaping.leaves(photo) and not escaping.inside(reading.folder, photo))
    if lost:
        more = f" and {len(lost) - MOST_SHOWN:,} more" if len(lost) > MOST_SHOWN else ""
        said.append(f"{schema.DIARY.file}: pictures that are not in the folder: {', '.join(lost[:MOST_SHOWN])}{more}.")
    pieces = reading.tables["pieces"]["piece"].to_pylist()
    lying = photos.found(reading.folder, pieces, reading.settings.date_order)
    undated = [photo.path for photo in lying if photo.date is None and photo.path not in named]
    if undated:
        more = f" and {len(undated) - MOST_SHOWN:,} more" if len(undated) > MOST_SHOWN else ""
        how = "put the day in the name, as in 2026-01-03"
        said.append(f"Pictures without a date, which no report shows: {', '.join(undated[:MOST_SHOWN])}{more}; {how}.")
    return said


def _read(file: str, counts: Counts) -> str:
    rows = "1 row" if counts.read == 1 else f"{counts.read:,} rows"
    left = f", {counts.left_out:,} left out" if counts.left_out else ""
    return f"{file}: {rows} read, {counts.stored:,} stored{left}."


def _file(file: str, counts: Counts, problems: list[Problem], width: int) -> str:
    kinds: dict[tuple[bool, str], list[Problem]] = defaultdict(list)
    for problem in problems:
        kinds[(problem["severity"] != ERROR, problem["code"])].append(problem)
    lines = _wrapped(_read(file, counts), width)
    for (kept, code), found in sorted(kinds.items(), key=lambda item: (item[0][0], -len(item[1]), item[0][1])):
        grade = "left out" if not kept else "cell left out, row kept" if code in ERRORS else "kept, to look at"
        many = "" if len(found) == 1 else f", {len(found):,} times"
        lines += ["", *_wrapped(f"{grade}{many} [{code}]", width, "  ")]
        wide = max(len(str(p["line"])) for p in found[:MOST_SHOWN])
        for problem in found[:MOST_SHOWN]:
            where = f"{problem['column']}: " if problem["column"] else ""
            start = f"    line {problem['line']:>{wide}}  "
            lines += _wrapped(where + problem["reason"], width, start, " " * len(start))
        if len(found) > MOST_SHOWN:
            lines += _wrapped(f"and {len(found) - MOST_SHOWN:,} more; --format csv lists them all", width, "    ")
        lines += _wrapped(f"fix: {found[0]['mend']}", width, "    ", "          ")
    return "\n".join(lines)


def _wrapped(text: str, width: int, start: str = "", then: str | None = None) -> list[str]:
    """Lines of at most `width`; characters that a terminal would obey are shown as what they are not."""
    plain = "".join(c if c.isprintable() else "\N{REPLACEMENT CHARACTER}" for c in text)
    return textwrap.wrap(plain, width, initial_indent=start, subsequent_indent=start if then is None else then)
