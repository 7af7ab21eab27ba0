"""The forms that write the diary: a session, a piece, a goal."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import Any

import ipywidgets as widgets
import pandas as pd

from stitchlog.diary import clock, schema
from stitchlog.entry import adding, goals
from stitchlog.entry import pieces as entry
from stitchlog.workbook.forms.form import Form, opened, pieces, text

_OFTEN = ("stitches", "so_far", "percent", "minutes", "colours", "note", "photo")
_HINTS = {
    "date": "today; or yesterday, monday, 15 Nov",
    "so_far": "the count after the session, instead of stitches",
    "percent": "how much is done after it, instead of stitches",
    "colours": "B12:120; B14",
    "photo": "photos/otter.jpg",
    "size": "150 x 200",
    "count": "28, or 28ct over 2",
    "want": "0.2: a fifth of your time",
    "due": "24 Dec",
    "tags": "bird; travel",
}
_DAYS = ("started", "finished", "set_aside", "made_up")


def log(folder: str | Path) -> widgets.VBox:
    """A form that logs one session in the diary in `folder`, every column of it, with what a new piece brings."""
    fields: dict[str, Any] = {
        "piece": widgets.Combobox(description="piece", options=pieces(folder), ensure_option=False),
        "date": text("day", _HINTS["date"]),
    }
    columns = [name for name in schema.DIARY.names if name not in fields]
    often = [name for name in _OFTEN if name in columns]
    seldom = tuple(name for name in columns if name not in often)
    fields |= {name: _field(name) for name in (*often, *seldom)}
    brought = {f"new {name}": _field(name) for name in entry.DETAILS}

    def logged(filled: dict[str, Any], piece: str = "", new: bool = False, yes: bool = False) -> str:
        cells = {name.removeprefix("new "): value for name, value in filled.items() if name not in ("piece", "date")}
        name = piece or filled["piece"] or ""
        added = adding.add(folder, name, today=clock.today(), date=filled["date"], new=new, yes=yes, **cells)
        return _without_commands(added.say())

    def fresh() -> None:
        fields["piece"].options = pieces(folder)

    return Form(
        folder,
        fields | brought,
        "Log it",
        logged,
        emptied=(*often, *seldom, *brought),
        folded={"Half stitches, backstitch, beads and more": seldom, "For a new piece": tuple(brought)},
        fresh=fresh,
    ).box


def piece(folder: str | Path) -> widgets.VBox:
    """A form that adds a piece or changes one: its details are filled in once it is chosen."""
    columns = [name for name in schema.PIECES.names if name != "piece"]
    fields: dict[str, Any] = {"piece": widgets.Combobox(description="piece", options=pieces(folder))}
    fields |= {name: _field(name) for name in columns}
    fields["picked_up"] = widgets.Checkbox(description="picked up again, no longer set aside or finished")
    often = ("total", "size", "count", "due", "finished", "set_aside")
    before: dict[str, str] = {}

    def chosen(name: str) -> None:
        before.clear()
        before.update(_known(folder, name, columns))
        for column in columns:
            fields[column].value = before.get(column, "")

    def saved(filled: dict[str, Any], piece: str = "", new: bool = False, yes: bool = False) -> str:
        # An emptied field empties its cell; one that says what it said stays as it is written.
        changed = {n: filled[n] or "" for n in columns if (filled[n] or "") != before.get(n, "")}
        name = piece or filled["piece"] or ""
        done = entry.change_piece(
            folder, name, today=clock.today(), new=new, yes=yes, picked_up=filled["picked_up"], **changed
        )
        fields["piece"].value = done.piece
        return _without_commands(done.say())

    def fresh() -> None:
        fields["piece"].options = pieces(folder)
        fields["picked_up"].value = False
        chosen(fields["piece"].value)

    fields["piece"].observe(lambda change: chosen(change["new"]), names="value")
    rest = tuple(name for name in columns if name not in often)
    return Form(folder, fields, "Save it", saved, folded={"Everything else": rest}, fresh=fresh).box


def goal(folder: str | Path) -> widgets.VBox:
    """A form that sets a goal for a month, counted where something can be counted."""
    column = schema.GOALS.column("kind")
    fields: dict[str, Any] = {
        "goal": text("goal", "finish page three of Otter Creek"),
        "month": text("month", f"this month; or {clock.today() + dt.timedelta(days=31):%B}"),
        "piece": widgets.Combobox(description="piece (if about one)", options=pieces(folder)),
        "kind": widgets.Dropdown(description="counted in", options=[("nothing", ""), *((w, w) for w in column.words)]),
        "amount": text("how much"),
    }

    def saved(filled: dict[str, Any], piece: str = "", **_: Any) -> str:
        words = filled["goal"] or ""
        asked = {name: filled[name] for name in ("month", "kind", "amount")}
        return goals.add_goal(folder, words, today=clock.today(), piece=piece or filled["piece"], **asked) + "."

    def fresh() -> None:
        fields["piece"].options = pieces(folder)

    return Form(folder, fields, "Set it", saved, emptied=("goal", "amount"), fresh=fresh).box


def _field(name: str) -> Any:
    hint = _HINTS.get(name, "")
    return text(name.replace("_", " "), hint or ("today; or 15 Nov" if name in _DAYS else ""))


def _known(folder: str | Path, name: str, columns: list[str]) -> dict[str, str]:
    """What pieces.csv says of a piece, as it would be typed; nothing of one that it does not have."""
    diary = opened(folder)
    rows = diary.pieces[diary.pieces["piece"] == name] if diary is not None else pd.DataFrame()
    if rows.empty:
        return {}
    row = rows.iloc[0]
    return {column: _as_typed(row[column]) for column in columns if column in row and not pd.isna(row[column])}


def _as_typed(value: Any) -> str:
    if isinstance(value, pd.Timestamp):
        return value.date().isoformat()
    return f"{value:.10g}" if isinstance(value, float) else str(value)


def _without_commands(said: str) -> str:
    """What a command says, without the commands that it names: the form has buttons for these."""
    lines = [line.partition("; undo: ")[0] for line in said.splitlines()]
    return "\n".join(line.partition(": stitchlog ")[0].rstrip(".") + "." for line in lines)
