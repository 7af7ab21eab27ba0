"""The form that makes a report of a diary, a period and a piece, and leads to its page."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

import ipywidgets as widgets
import pandas as pd
from IPython.display import FileLink, display

from stitchlog import words
from stitchlog.errors import StitchlogError
from stitchlog.reports import REPORTS
from stitchlog.run import index, notebooks, parameters
from stitchlog.workbook.forms.form import Form, opened, pieces

_CHOICES = {"everything": "all"} | {f"{name}: {answers}": name for name, answers in REPORTS.items()}


def report(folder: str | Path) -> widgets.VBox:
    """A form that makes a report of a diary (`folder` to begin with), a period and a piece, and leads to its page."""
    fields: dict[str, Any] = {
        "diary": widgets.Text(description="diary folder", value=str(Path(folder).resolve()), continuous_update=False),
        "name": widgets.Dropdown(description="report", options=_CHOICES, value="review"),
        "period": widgets.Dropdown(description="period", options=_periods(folder)),
        "piece": widgets.Dropdown(description="piece", options=_piece_choices(folder)),
    }
    pages = widgets.Output()

    def fresh() -> None:
        for name, choices in (("period", _periods), ("piece", _piece_choices)):
            value, options = fields[name].value, choices(fields["diary"].value)
            fields[name].options = options
            fields[name].value = value if value in [held for _, held in options] else None

    def made(filled: dict[str, Any], **_: Any) -> str:
        pages.clear_output()
        form.say("Working on it; the first time takes up to a minute.")
        written, failures = make(Path(filled["diary"] or ""), filled["name"], filled["period"], filled["piece"])
        with pages:
            for page in written:
                display(FileLink(os.path.relpath(page), result_html_prefix="Open it here: "))
        return "\n".join([*failures, *(f"Wrote {page}" for page in written)])

    form = Form(folder, fields, "Make it", made, fresh=fresh, undo=False)
    form.box.children = (*form.box.children, pages)
    fields["diary"].observe(lambda _: fresh(), names="value")
    return form.box


def make(folder: Path, name: str, period: str | None, piece: str | None) -> tuple[list[Path], list[str]]:
    """Makes the reports asked for. Returns the pages to open, and what failed, a line each.

    period: a month as 2026-10, a year as 2026, or None for the report's own choice. Raises StitchlogError where it
    cannot be asked.
    """
    if not folder.is_dir():
        raise StitchlogError(f"{folder}: there is no such folder")
    month, year = (period, None) if period and "-" in period else (None, period)
    asked = parameters.asked([folder], month=month, year=year, piece=piece)
    given = {option: value for option, value in asked.items() if value is not None}
    jobs = parameters.jobs(parameters.names(name), [folder], None, given)
    outcomes = list(notebooks.run(jobs))
    pages = [outcome.page for outcome in outcomes if outcome.page]
    if len(pages) > 1:
        pages = [index.write(jobs[0].out)]
    return pages, [outcome.failure for outcome in outcomes if outcome.failure]


def _piece_choices(folder: str | Path) -> list[tuple[str, str | None]]:
    return [("every piece", None), *((piece, piece) for piece in pieces(folder))]


def _periods(folder: str | Path) -> list[tuple[str, str | None]]:
    """Months and years that the diary reaches into, latest first, as (what is shown, what is asked)."""
    choices: list[tuple[str, str | None]] = [("the report's own choice", None)]
    diary = opened(folder)
    if diary is None or diary.sessions.empty:
        return choices
    months = pd.period_range(diary.first_day, diary.last_day, freq="M")[::-1]
    years = dict.fromkeys(str(m.year) for m in months)
    return [*choices, *((words.month(m.start_time), str(m)) for m in months), *((y, y) for y in years)]
