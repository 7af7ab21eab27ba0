"""The workbook's forms: log a session, and choose diary, period and piece and make a report.

A form hands what was filled in to the command line and shows what that answers, so that both always do the same.
"""

from __future__ import annotations

import html
import os
import subprocess
import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import ipywidgets as widgets
import pandas as pd
from IPython.display import FileLink, display

from stitchlog import words
from stitchlog.diary.diary import Diary, open_diary
from stitchlog.errors import StitchlogError
from stitchlog.reports import REPORTS

_CHOICES = {"everything": "all"} | {f"{name}: {answers}": name for name, answers in REPORTS.items()}
_WIDE = widgets.Layout(width="34em", max_width="100%")
_STYLE = {"description_width": "11em"}


def log(folder: str | Path) -> widgets.VBox:
    """A form that logs one session in the diary in `folder`, with the safety of `stitchlog add`."""
    fields: dict[str, Any] = {
        "piece": widgets.Combobox(description="piece", options=_pieces(folder), ensure_option=False),
        "new": widgets.Checkbox(description="it is a new piece", value=False),
        "date": widgets.DatePicker(description="day (empty: today)"),
        "stitches": widgets.Text(description="stitches"),
        "so-far": widgets.Text(description="or: count so far"),
        "minutes": widgets.Text(description="minutes"),
        "colours": widgets.Text(description="colours", placeholder="B12:120; B14"),
        "note": widgets.Text(description="note"),
    }
    answer = widgets.HTML()

    def logged() -> None:
        done, said = run(log_arguments(folder, {name: field.value for name, field in fields.items()}))
        answer.value = _paragraph(said.replace("--new for a new piece", "say that it is a new piece"))
        if done:
            fields["new"].value = False
            for name in ("stitches", "so-far", "minutes", "colours", "note"):
                fields[name].value = ""

    return _form(fields, "Log it", logged, answer)


def report(folder: str | Path) -> widgets.VBox:
    """A form that makes a report of a diary (`folder` to begin with), a period and a piece, and leads to its page."""
    fields: dict[str, Any] = {
        "diary": widgets.Text(description="diary folder", value=str(Path(folder).resolve()), continuous_update=False),
        "name": widgets.Dropdown(description="report", options=_CHOICES, value="review"),
        "period": widgets.Dropdown(description="period", options=_periods(folder)),
        "piece": widgets.Dropdown(description="piece", options=_piece_choices(folder)),
    }
    answer = widgets.Output()

    def other_diary(change: dict[str, Any]) -> None:
        fields["period"].options = _periods(change["new"])
        fields["piece"].options = _piece_choices(change["new"])

    def made() -> None:
        asked = {name: field.value for name, field in fields.items()}
        answer.clear_output()
        with answer:
            display(widgets.HTML(_paragraph("Working on it; the first time takes up to a minute.")))
        _, said = run(report_arguments(asked))
        pages = [line.removeprefix("Open ") for line in said.splitlines() if line.startswith("Open ")]
        answer.clear_output()
        with answer:
            display(widgets.HTML(_paragraph(said)))
            for page in pages:
                display(FileLink(os.path.relpath(page), result_html_prefix="Or open it here: "))

    fields["diary"].observe(other_diary, names="value")
    return _form(fields, "Make it", made, answer)


def log_arguments(folder: str | Path, filled: dict[str, Any]) -> list[str]:
    """The command line that logs what was filled in; fields left empty are not mentioned."""
    options = [
        part for name in ("date", "minutes", "colours", "note", "so-far") for part in _option(name, filled[name])
    ]
    options += ["--new"] if filled["new"] else []
    # Nothing that is typed into the form can be taken for an option.
    stitches = [filled["stitches"].strip()] if filled["stitches"].strip() else []
    return ["add", *options, "--", str(folder), filled["piece"].strip(), *stitches]


def report_arguments(asked: dict[str, Any]) -> list[str]:
    """The command line that makes the report asked for."""
    options = []
    if asked["period"]:
        options = [f"--{'month' if '-' in asked['period'] else 'year'}={asked['period']}"]
    return ["report", *options, *_option("piece", asked["piece"]), "--", asked["name"], asked["diary"]]


def run(arguments: Sequence[str]) -> tuple[bool, str]:
    """Runs a stitchlog command. Returns whether it could be done, and what it said in words, progress left out."""
    done = subprocess.run(
        [sys.executable, "-m", "stitchlog.cli", *arguments],
        capture_output=True,
        text=True,
        encoding="utf-8",
        env=os.environ | {"PYTHONIOENCODING": "utf-8"},
        check=False,
    )
    lines = [line.split("\r")[-1] for line in (done.stderr + done.stdout).splitlines()]
    said = "\n".join(line for line in lines if line.strip() and not line.startswith("Reports"))
    return done.returncode < 2, said.replace("stitchlog: ", "")


def _option(name: str, value: Any) -> list[str]:
    text = "" if value is None else str(value).strip()
    return [f"--{name}={text}"] if text else []


def _form(fields: dict[str, Any], label: str, act: Callable[[], None], answer: Any) -> widgets.VBox:
    for field in fields.values():
        field.layout, field.style = _WIDE, _STYLE
    button = widgets.Button(description=label, button_style="primary")

    def pressed(_: Any) -> None:
        button.disabled = True
        try:
            act()
        finally:
            button.disabled = False

    button.on_click(pressed)
    return widgets.VBox([*fields.values(), button, answer])


def _paragraph(text: str) -> str:
    return "<br>".join(html.escape(line) for line in text.splitlines())


def _opened(folder: str | Path) -> Diary | None:
    """The diary in `folder`; None where none can be read, which making the report will say."""
    try:
        return open_diary(folder)
    except (StitchlogError, OSError):
        return None


def _pieces(folder: str | Path) -> list[str]:
    """The pieces of a diary, the latest touched first."""
    diary = _opened(folder)
    if diary is None:
        return []
    standing = diary.standing().sort_values("last_session", ascending=False, na_position="last", kind="stable")
    return standing["piece"].tolist()


def _piece_choices(folder: str | Path) -> list[tuple[str, str | None]]:
    return [("every piece", None), *((piece, piece) for piece in _pieces(folder))]


def _periods(folder: str | Path) -> list[tuple[str, str | None]]:
    """Months and years that the diary reaches into, latest first, as (what is shown, what is asked)."""
    choices: list[tuple[str, str | None]] = [("the report's own choice", None)]
    diary = _opened(folder)
    if diary is None or diary.sessions.empty:
        return choices
    months = pd.period_range(diary.first_day, diary.last_day, freq="M")[::-1]
    years = dict.fromkeys(str(m.year) for m in months)
    return [*choices, *((words.month(m.start_time), str(m)) for m in months), *((y, y) for y in years)]
