"""What each kind of column accepts. Every different value of a column is looked at once, however many rows hold it."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

import numpy as np
import pyarrow as pa
import pyarrow.compute as pc

from stitchlog import arrays, names
from stitchlog.reading import dates, numbers
from stitchlog.reading.problems import Wrong, brief
from stitchlog.tables import Column

NUMERIC = ("count", "number", "share", "whole", "over")
MINUTES_A_DAY = 24 * 60
# Years outside these are kept, with a question.
USUAL_YEARS = (1970, 2100)

_ISO = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}\Z")
_HEX = re.compile(r"#?([0-9a-fA-F]{6}|[0-9a-fA-F]{3})\Z")
_YES = {"yes": "yes", "y": "yes", "true": "yes", "1": "yes", "no": "no", "n": "no", "false": "no", "0": "no"}
_EVENT_KINDS = ("target", "start", "finish", "length")
# So plain that they need no second look: whole numbers, and decimals that no thousands separator looks like.
_PLAIN_NUMBER = r"^[0-9]{1,9}(\.([0-9]{1,2}|[0-9]{4,6}))?$"


@dataclass(frozen=True)
class Values:
    """A column read.

    values: a number (float64, NaN where empty), a day (datetime64[D], NaT where empty) or a text (Arrow, '' where
    empty) a row. empty: which rows hold nothing; None for free text, where only a look at the row tells.
    wrong: code -> (rows, values, reasons). iso: whether all days are written year-month-day.
    """

    values: Any
    empty: np.ndarray | None = None
    wrong: dict[str, tuple[np.ndarray, list[str], list[str]]] = field(default_factory=dict)
    iso: bool = True

    @cached_property
    def stored(self) -> Any:
        """The column as it is stored, in Arrow: null where a number or a day is empty."""
        if not isinstance(self.values, np.ndarray):
            return self.values
        return arrays.of(self.values)


def nothing(kind: str, size: int) -> Any:
    """A column that its file does not have."""
    if kind in NUMERIC:
        return pa.nulls(size, pa.float64())
    return pa.nulls(size, pa.timestamp("us")) if kind == "date" else pa.repeat(pa.scalar("", pa.string()), size)


@dataclass(frozen=True)
class Manner:
    """How a file writes its values."""

    decimal_comma: bool = False
    date_order: str | None = None


def read_column(column: Column, cells: Any, manner: Manner) -> Values:
    """The values of one column. cells: text, a row each."""
    if column.kind == "text":
        return Values(cells)
    held, different = distinct(cells)
    empty = pc.equal(pc.utf8_trim_whitespace(different), "").to_numpy(zero_copy_only=False)
    if column.kind in NUMERIC:
        values, wrong = _numbers(column, different, manner)
    elif column.kind == "date":
        texts = different.to_pylist()
        values, wrong = _dates(texts, manner)
        iso = all(_ISO.match(text) or not text.strip() for text in texts)
        return Values(values[held], empty[held], _by_row(wrong, held, different), iso)
    else:
        words, wrong = _words(column.kind, different.to_pylist())
        few = pa.DictionaryArray.from_arrays(arrays.of(held), pa.array(words, pa.string()))
        return Values(few, empty[held], _by_row(wrong, held, different))
    return Values(values[held], empty[held], _by_row(wrong, held, different))


def distinct(cells: Any) -> tuple[np.ndarray, Any]:
    """The different cells of a column, and which of them each row holds."""
    encoded = cells.dictionary_encode()
    if isinstance(encoded, pa.ChunkedArray):
        encoded = encoded.unify_dictionaries().combine_chunks()
        if isinstance(encoded, pa.ChunkedArray):
            encoded = pa.array([], pa.string()).dictionary_encode() if not encoded.num_chunks else encoded.chunk(0)
    return encoded.indices.to_numpy(zero_copy_only=False), encoded.dictionary


def _by_row(wrong: dict[int, Wrong], codes: np.ndarray, different: Any) -> dict:
    """What is wrong with values, told of the rows that hold them."""
    out: dict[str, tuple[np.ndarray, list[str], list[str]]] = {}
    for code in sorted({w.code for w in wrong.values()}):
        reasons = {i: w.reason for i, w in wrong.items() if w.code == code}
        flagged = np.zeros(len(different), dtype=bool)
        flagged[list(reasons)] = True
        rows = np.flatnonzero(flagged[codes])
        texts = {i: different[i].as_py() for i in reasons}
        held = codes[rows].tolist()
        out[code] = (rows, [texts[i] for i in held], [reasons[i] for i in held])
    return out


def _numbers(column: Column, different: Any, manner: Manner) -> tuple[np.ndarray, dict[int, Wrong]]:
    plain = pc.match_substring_regex(different, _PLAIN_NUMBER)
    values = pc.cast(pc.if_else(plain, different, pa.scalar(None, pa.string())), pa.float64())
    out = values.to_numpy(zero_copy_only=False).astype(float)
    wrong: dict[int, Wrong] = {}
    for i in np.flatnonzero(~plain.to_numpy(zero_copy_only=False)).tolist():
        text = different[i].as_py()
        if not text.strip():
            continue
        try:
            out[i] = _number(text, column, manner)
        except Wrong as fault:
            wrong[i] = fault
    # One look over all of them for what the column's kind allows.
    for i in np.flatnonzero(_suspect(out, column)).tolist():
        if i not in wrong:
            try:
                _allowed(out[i], different[i].as_py(), column)
            except Wrong as fault:
                wrong[i] = fault
    return out, wrong


def _number(text: str, column: Column, manner: Manner) -> float:
    bare = text.strip()
    if column.kind == "share" and bare.endswith("%"):
        return numbers.read(bare[:-1], manner.decimal_comma) / 100
    return numbers.read(text, manner.decimal_comma)


def _suspect(values: np.ndarray, column: Column) -> np.ndarray:
    with np.errstate(invalid="ignore"):
        out = values < 0
        if column.kind == "share":
            out |= values > 1
        elif column.kind == "whole":
            out |= values != np.floor(values)
        elif column.kind == "over":
            out |= (values != 1) & (values != 2)
        if column.name == "minutes":
            out |= values > MINUTES_A_DAY
        elif column.name == "count":
            out |= values == 0
    return out & ~np.isnan(values)


def _allowed(value: float, text: str, column: Column) -> None:
    said = f'"{brief(text)}"'
    if column.kind == "over":
        raise Wrong("bad-over", f"{said} is neither 1 nor 2")
    if value < 0 and column.kind != "number":
        raise Wrong("negative", f"{said} is below 0")
    if column.kind == "share":
        raise Wrong("bad-share", f"{said} is not between 0 and 1")
    if column.kind == "whole":
        raise Wrong("not-whole", f"{said} is not a whole number")
    if column.name == "minutes":
        raise Wrong("too-large", f"{said} minutes are more than a day has")
    if column.name == "count":
        raise Wrong("too-large", "a fabric of 0 threads an inch is none")


def _dates(different: list[str], manner: Manner) -> tuple[np.ndarray, dict[int, Wrong]]:
    order = dates.order_of(different, manner.date_order)
    out = np.full(len(different), np.datetime64("NaT"), dtype="datetime64[D]")
    wrong: dict[int, Wrong] = {}
    for i, text in enumerate(different):
        if not text.strip():
            continue
        try:
            day = dates.read(text, order)
        except Wrong as fault:
            wrong[i] = fault
            continue
        out[i] = day
        if not USUAL_YEARS[0] <= day.year <= USUAL_YEARS[1]:
            wrong[i] = Wrong("odd-year", f'"{brief(text)}" is in the year {day.year}')
    return out, wrong


def _words(kind: str, different: list[str]) -> tuple[list[str], dict[int, Wrong]]:
    out = [""] * len(different)
    wrong: dict[int, Wrong] = {}
    for i, text in enumerate(different):
        try:
            out[i] = _WORDS[kind](text) if text.strip() else ""
        except Wrong as fault:
            wrong[i] = fault
    return out, wrong


def _hex(text: str) -> str:
    found = _HEX.match(text.strip())
    if not found:
        raise Wrong("bad-hex", f'"{brief(text)}" is not a colour')
    digits = found[1]
    return "#" + (digits if len(digits) == 6 else "".join(d * 2 for d in digits))


def _yes_no(text: str) -> str:
    answer = _YES.get(text.strip().casefold())
    if answer is None:
        raise Wrong("bad-yes-no", f'"{brief(text)}" is neither yes nor no')
    return answer


def _event_kind(text: str) -> str:
    word = text.strip().casefold()
    if word not in _EVENT_KINDS:
        raise Wrong("bad-kind", f'"{brief(text)}" is no kind of event')
    return word


_WORDS: dict[str, Callable[[str], str]] = {
    "name": names.tidy,
    "hex": _hex,
    "yes_no": _yes_no,
    "kind": _event_kind,
}
