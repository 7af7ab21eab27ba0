"""Notebooks of the user's own: in a diary's `workbook` folder, with a parameters cell, run as ours are."""

from __future__ import annotations

import hashlib
import json
import re
from pathlib import Path
from typing import Any

from stitchlog import resources
from stitchlog.errors import StitchlogError
from stitchlog.run import cell
from stitchlog.run.notebooks import NAMES

FOLDER = "workbook"


def notebook(name: str, folder: Path, workbook: bool = False) -> Path:
    """The notebook that makes the report `name` of a diary: ours, or one of the user's own of that name.

    workbook: the user's copy of ours. Raises StitchlogError where there is none.
    """
    if name in NAMES and not workbook:
        return resources.notebook(name)
    place = folder / FOLDER
    found = next((p for p in sorted(place.glob("*.ipynb")) if p.stem.casefold() == name.casefold()), None)
    if found is not None and is_report(found):
        return found
    if found is not None:
        raise StitchlogError(f'{found}: no cell is tagged "parameters", so it cannot be made a report')
    if name in NAMES:
        raise StitchlogError(f"{place}: there is no {name}.ipynb; open the workbook once: stitchlog lab {folder}")
    own = [p.stem for p in sorted(place.glob("*.ipynb")) if p.stem not in _shipped() and is_report(p)]
    raise StitchlogError(f'there is no report "{name}"; there are {", ".join([*NAMES, *own])}, or all')


def is_report(path: Path) -> bool:
    """Whether a file is a notebook with a parameters cell."""
    try:
        return any(cell.is_parameters(part) for part in json.loads(path.read_text("utf-8"))["cells"])
    except (ValueError, KeyError, TypeError, AttributeError):
        return False


def is_changed(path: Path) -> bool:
    """Whether the user changed what a copy of ours says, the values of its parameters left aside."""
    try:
        book = json.loads(path.read_text("utf-8"))
        return bool(book["metadata"]["stitchlog"]["asks"] != fingerprint(book, parameters=False))
    except (ValueError, KeyError, TypeError):
        return True


def fingerprint(book: dict[str, Any], parameters: bool = True) -> str:
    """One for what a notebook's cells say, whatever their outputs are; with or without the parameters cell."""
    cells = [(c["cell_type"], "".join(c["source"])) for c in book["cells"] if parameters or not cell.is_parameters(c)]
    return hashlib.sha256(json.dumps(cells, ensure_ascii=False).encode()).hexdigest()


def begin(folder: Path, name: str) -> Path:
    """Writes a notebook to begin with, `folder/workbook/NAME.ipynb`, and returns its path.

    It holds what every one of ours does: the values that can be changed, one import, then open, ask, show. Raises
    StitchlogError where the folder holds no diary, or the name is taken or cannot be one.
    """
    if not (folder / "diary.csv").exists():
        raise StitchlogError(f"{folder}: there is no diary.csv here; begin one with: stitchlog new {folder}")
    title = " ".join(name.removesuffix(".ipynb").split())
    if not re.fullmatch(r"\w[\w -]*", title):
        raise StitchlogError(f'"{name}" cannot be the name of a notebook; use letters, digits, blanks and hyphens')
    stem = title.lower().replace(" ", "-")
    if stem in {*_shipped(), "all", "index"}:
        raise StitchlogError(f"{stem} is the name of one of stitchlog's own; give yours another")
    path = folder / FOLDER / f"{stem}.ipynb"
    if path.exists():
        raise StitchlogError(f"{path} is there already; open it with: stitchlog lab {folder}")
    import nbformat
    from nbformat import v4

    cells = []
    for number, (kind, tags, source) in enumerate(_skeleton(title, stem)):
        new: Any = v4.new_code_cell if kind == "code" else v4.new_markdown_cell
        cells.append(new(source, id=f"{stem}-{number}"[:64], metadata={"tags": tags} if tags else {}))
    path.parent.mkdir(exist_ok=True)
    book = v4.new_notebook(cells=cells, metadata=cell.kernel_metadata())
    path.write_text(nbformat.writes(book) + "\n", "utf-8")
    return path


def _shipped() -> set[str]:
    return {path.stem for path in resources.folder("notebooks").glob("*.ipynb")}


def _skeleton(title: str, stem: str) -> list[tuple[str, list[str], str]]:
    return [
        ("text", [], f"# {title[:1].upper()}{title[1:]}\n\nWhat this page answers, in a sentence."),
        ("text", ["workbook-only"], f"Run all cells to see it. `stitchlog report {stem} ..` makes it a page."),
        (
            "code",
            [cell.TAG],
            'folder: str = ".."  # the diary folder\n'
            'as_of: str = None  # the last day to count, as "2026-10-31"; None: today, or the diary\'s last day\n'
            "out: str = None  # folder for the page and its tables; None: show only",
        ),
        ("code", [], "import altair as alt\n\nfrom stitchlog import Page"),
        (
            "code",
            [],
            f'page = Page("{stem}", folder, as_of=as_of, out=out)\nsessions = page.diary.sessions',
        ),
        ("text", [], "## Stitches a month"),
        (
            "code",
            [],
            'month = sessions["date"].dt.to_period("M").dt.start_time.rename("month")\n'
            'months = sessions.groupby(month)["stitches"].sum().reset_index()\n'
            'chart = alt.Chart(months, width="container").mark_bar().encode(x="yearmonth(month):T", y="stitches:Q")\n'
            'page.chart("months", "Your stitches, month by month.", chart)\n'
            'page.table("months", "Stitches a month", months)\n'
            "page.problems()",
        ),
    ]
