"""One form: its fields, its button, what it asks back, and the way back from the last entry."""

from __future__ import annotations

import html
import weakref
from collections.abc import Callable, Mapping
from functools import partial
from pathlib import Path
from typing import Any

import ipywidgets as widgets

from stitchlog.diary import clock
from stitchlog.diary.diary import Diary, open_diary
from stitchlog.entry import writing
from stitchlog.entry.asking import Doubtful, Unsure
from stitchlog.errors import StitchlogError

WIDE = widgets.Layout(width="34em", max_width="100%")
_STYLE = {"description_width": "11em"}
# Every form that is shown, so that an entry made in one is known to the others.
_shown: weakref.WeakSet[Form] = weakref.WeakSet()


class Form:
    """Fields by name, and what becomes of them when the button is pressed.

    act: does it with what was filled in and with the answers to what it asked (`piece`, `new`, `yes`), and returns what
    to say. emptied: the fields that are empty after it. folded: those of a fold, by the fold's name. fresh: brings what
    the fields offer up to date. undo: whether there is a button that takes back the last entry.
    """

    def __init__(
        self,
        folder: str | Path,
        fields: Mapping[str, Any],
        label: str,
        act: Callable[..., str],
        *,
        emptied: tuple[str, ...] = (),
        folded: Mapping[str, tuple[str, ...]] | None = None,
        fresh: Callable[[], None] = lambda: None,
        undo: bool = True,
    ) -> None:
        self.folder, self.fields, self.fresh = Path(folder), fields, fresh
        self._act, self._emptied = act, emptied
        self.answer, self.asked = widgets.HTML(), widgets.VBox()
        self.buttons = [button(label, self.press, "primary")]
        if undo:
            self.buttons.append(button("Take back the last entry", self._take_back))
        for field in fields.values():
            if not isinstance(field, widgets.FileUpload):
                field.layout, field.style = WIDE, _STYLE
        folds = folded or {}
        inside = {name for names in folds.values() for name in names}
        boxes = [widgets.VBox([fields[name] for name in names]) for names in folds.values()]
        fold = [widgets.Accordion(boxes, titles=tuple(folds), selected_index=None, layout=WIDE)] if folds else []
        plain = [field for name, field in fields.items() if name not in inside]
        self.box = widgets.VBox([*plain, *fold, widgets.HBox(self.buttons), self.asked, self.answer])
        # The form lives as long as what shows it.
        self.box.form = self
        _shown.add(self)

    def press(self, **answers: Any) -> None:
        """Does what the form is for, and shows what came of it or what is to be answered first."""
        self.asked.children = ()
        self._busy(True)
        try:
            said = self._act(self.filled(), **answers)
        except Unsure as fault:
            self._ask_piece(fault, answers)
        except Doubtful as fault:
            self._ask(fault.questions, {"Write it all the same": answers | {"yes": True}})
        except (StitchlogError, OSError) as fault:
            self.say(str(fault))
        else:
            self.say(said)
            for name in self._emptied:
                self.fields[name].value = type(self.fields[name].value)()
            refresh()
        finally:
            self._busy(False)

    def filled(self) -> dict[str, Any]:
        """What stands in the fields, blanks cut off; None in those left empty."""
        values = {name: field.value for name, field in self.fields.items()}
        cut = {name: value.strip() if isinstance(value, str) else value for name, value in values.items()}
        return {name: None if value == "" else value for name, value in cut.items()}

    def say(self, text: str) -> None:
        self.answer.value = "<br>".join(html.escape(line) for line in text.splitlines())

    def _ask_piece(self, fault: Unsure, answers: dict[str, Any]) -> None:
        choices = {name: answers | {"piece": name} for name in fault.candidates}
        self._ask(
            [f'There is no piece "{fault.name}" yet. Which is it?'],
            choices | {f"{fault.name} is a new piece": answers | {"new": True}},
        )

    def _ask(self, questions: list[str], choices: Mapping[str, dict[str, Any]]) -> None:
        self.say("")
        words = widgets.HTML("<br>".join(html.escape(question) for question in questions))
        answers = [button(label, partial(self.press, **answers)) for label, answers in choices.items()]
        self.asked.children = (words, widgets.VBox([*answers, button("Leave it", self._leave)]))

    def _leave(self) -> None:
        self.asked.children = ()
        self.say("Nothing was written.")

    def _take_back(self) -> None:
        self.asked.children = ()
        try:
            done = writing.undo(self.folder, clock.today())
        except (StitchlogError, OSError) as fault:
            self.say(str(fault))
            return
        again = "Press again to bring it back." if done.back else "Press again to take it back."
        self.say(f"{'Undone' if done.back else 'Redone'}: {done.said}.\n{again}")
        refresh()

    def _busy(self, busy: bool) -> None:
        for one in self.buttons:
            one.disabled = busy


def button(label: str, act: Callable[[], None], style: str = "") -> Any:
    """A button that does something and is as wide as its words."""
    made = widgets.Button(description=label, button_style=style, layout=widgets.Layout(width="auto"))
    made.on_click(lambda _: act())
    return made


def refresh() -> None:
    """Brings what every form offers up to date with the diary."""
    for form in list(_shown):
        form.fresh()


def opened(folder: str | Path) -> Diary | None:
    """The diary in `folder`; None where none can be read, which pressing a button will say."""
    try:
        return open_diary(folder)
    except (StitchlogError, OSError):
        return None


def pieces(folder: str | Path) -> list[str]:
    """The pieces of a diary, the latest touched first."""
    diary = opened(folder)
    if diary is None:
        return []
    standing = diary.standing().sort_values("last_session", ascending=False, na_position="last", kind="stable")
    return [str(name) for name in standing["piece"]]


def text(description: str, placeholder: str = "") -> Any:
    """A field for a line of text."""
    return widgets.Text(description=description, placeholder=placeholder)
