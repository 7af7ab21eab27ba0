"""The form that takes in a spreadsheet: choose it, see what was understood, then write it."""

from __future__ import annotations

import html
import tempfile
from pathlib import Path
from typing import Any

import ipywidgets as widgets

from stitchlog.diary import clock
from stitchlog.entry import importing
from stitchlog.errors import StitchlogError
from stitchlog.workbook.forms.form import WIDE, Form

_KINDS = ".xlsx,.xlsm,.xls,.ods,.csv,.tsv,.txt"


def take_in(folder: str | Path) -> widgets.VBox:
    """A form that takes in a spreadsheet of the user's own: it shows what was understood and asks, then writes."""
    fields: dict[str, Any] = {"file": widgets.FileUpload(accept=_KINDS, description="Choose a spreadsheet")}
    answers: dict[str, str] = {}
    questions = widgets.VBox()
    shown = widgets.HTML()

    def proposal() -> importing.Proposal:
        if not fields["file"].value:
            raise StitchlogError("No spreadsheet is chosen yet.")
        chosen = fields["file"].value[0]
        with tempfile.TemporaryDirectory() as place:
            path = Path(place) / Path(chosen["name"]).name
            path.write_bytes(bytes(chosen["content"]))
            return importing.read(path, folder, answers=answers, today=clock.today())

    def look(*_: Any) -> None:
        """Shows what was understood so far, and what has to be answered before it can be written."""
        shown.value, questions.children = "", ()
        if not fields["file"].value:
            return
        try:
            found = proposal()
            if found.questions:
                questions.children = [_asked(found.questions[0], answered)]
                return
            text = importing.preview(found, importing.difference(folder, found))
        except (StitchlogError, OSError) as fault:
            form.say(str(fault))
            return
        form.say("")
        shown.value = f'<pre style="white-space:pre-wrap;line-height:1.3">{html.escape(text)}</pre>'

    def answered(about: str, answer: str) -> None:
        answers[about] = answer
        look()

    def chosen(*_: Any) -> None:
        answers.clear()
        look()

    def written(_: dict[str, Any], **__: Any) -> str:
        found = proposal()
        if found.questions:
            raise StitchlogError("Answer the question above first.")
        done = importing.apply(folder, found, clock.today())
        fields["file"].value = ()
        return importing.news(done)

    form = Form(folder, fields, "Write it to the diary", written)
    form.box.children = (fields["file"], questions, shown, *form.box.children[1:])
    fields["file"].observe(chosen, names="value")
    fields["file"].layout = widgets.Layout(width="auto", max_width=WIDE.max_width)
    return form.box


def _asked(question: importing.Question, answered: Any) -> Any:
    choices = [("choose", ""), *((meaning, answer) for answer, meaning in question.answers.items())]
    field: Any = widgets.Dropdown(options=choices, layout=WIDE)
    if not question.answers:
        # A name is wanted.
        field = widgets.Text(layout=WIDE, continuous_update=False)
    field.observe(lambda change: answered(question.about, change["new"]), names="value")
    return widgets.VBox([widgets.HTML(f"{html.escape(question.words)}?"), field])
