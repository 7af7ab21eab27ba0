"""A table's cells as people write them: each column's kind follows from what it holds and what it is called."""

from __future__ import annotations

import html
import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd

from stitchlog import words

NOTHING = "–"
_SHARES = re.compile(r"^(share|want|coverage|evenness|waste)$|_share$|^share_")
_CHANCES = re.compile(r"^(chance|as_things_go)$|_chance$|^chance_")
# Days that a forecast gives, no more precise on a page than so far ahead can be.
_FORECAST = {"early", "sooner", "middle", "later", "late"}
# What a state of `Diary.standing` is called on a page.
_STATUS = {"on the go": "in progress"}
_HEX = re.compile(r"^#[0-9a-fA-F]{6}$")
# Whole numbers that name something and are not counted.
_LABELS = {"year", "line", "over", "count", "strands"}


@dataclass(frozen=True)
class Kind:
    """How a column's cells are written: `say` gives HTML of one value that is there, `css` the cells' class."""

    say: Callable[[Any], str]
    css: str = ""


def kind_of(name: str, column: pd.Series, as_of: Any = None) -> Kind:
    """How the column `name` is written: days, yes or no, shares as percentages, durations, numbers, colours, text.

    as_of: the day that forecasts are made on; None: their days are written in full.
    """
    values = column.dropna()
    held = pd.api.types.infer_dtype(column, skipna=True)
    if held == "boolean":
        return Kind(lambda v: "yes" if v else "no")
    if held in ("date", "datetime", "datetime64"):
        if name in _FORECAST and not pd.isna(as_of):
            return Kind(lambda v: html.escape(words.sure_date(v, as_of)), "day")
        say = words.month if name == "month" or name.endswith("_month") else words.short_day
        return Kind(lambda v: html.escape(say(v)), "day")
    if pd.api.types.is_numeric_dtype(column):
        return _number_kind(name, values)
    if name == "hex" or name.endswith(("_hex", "_colour")):
        return Kind(_colour, "hue")
    if name == "status":
        return Kind(lambda v: _text(_STATUS.get(v, v)))
    longest = max((len(str(v)) for v in values), default=0)
    return Kind(_text, "words long" if longest > 28 else "words" if longest > 20 else "name" if longest > 8 else "")


def class_of(kind: Kind) -> str:
    """The class attribute of a column's cells, with a blank before it; nothing where they have none."""
    return f' class="{kind.css}"' if kind.css else ""


def row_of(kinds: list[Kind], values: tuple[Any, ...], head: bool) -> str:
    """One row of a table body. head: the first cell names the row."""
    out = []
    for i, (kind, value) in enumerate(zip(kinds, values, strict=True)):
        text = NOTHING if pd.isna(value) or value == "" else kind.say(value)
        tag, scope = ("th", ' scope="row"') if head and i == 0 else ("td", "")
        out.append(f"<{tag}{scope}{class_of(kind)}>{text}</{tag}>")
    return f"<tr>{''.join(out)}</tr>"


def _number_kind(name: str, values: pd.Series) -> Kind:
    if _SHARES.search(name):
        return Kind(words.percent, "num")
    if _CHANCES.search(name):
        return Kind(words.chance, "num")
    if name == "minutes" or name.endswith("_minutes"):
        return Kind(words.duration, "num")
    if name in _LABELS:
        return Kind(lambda v: f"{v:g}", "num")
    digits = _digits(values)
    if name == "cost" and digits:
        digits = 2
    return Kind(lambda v: NOTHING if not np.isfinite(v) else words.number(v, digits), "num")


def _digits(values: pd.Series) -> int:
    """Digits after the point: as many as tell the values apart, the same in a whole column."""
    finite = values[np.isfinite(values.astype(float))].astype(float)
    if finite.empty or np.allclose(finite, finite.round(), atol=1e-9):
        return 0
    largest = finite.abs().max()
    return 0 if largest >= 100 else 1 if largest >= 10 else 2


def _text(value: Any) -> str:
    return f'<bdi dir="auto">{html.escape(str(value))}</bdi>'


def _colour(value: Any) -> str:
    code = str(value)
    swatch = f'<span class="swatch" style="background:{code}"></span>' if _HEX.match(code) else ""
    return f"{swatch}{html.escape(code)}"
