"""What each kind of column accepts. Every different value of a column is looked at once, however many rows hold it."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

import numpy as np
import pyarrow as pa
import pyarrow.compute as pc

from stitchlog.diary import names
from stitchlog.diary.reading import dates, numbers, sizes
from stitchlog.diary.reading.problems import ERRORS, Wrong, brief
from stitchlog.diary.schema import Column

NUMERIC = ("count", "share", "percent", "fabric_count", "length", "whole", "over")
_MINUTES_A_DAY = 24 * 60
# Years outside these are kept, with a question.
_USUAL_YEARS = (1970, 2100)

_ISO_OR_EMPTY = r"^[0-9]{4}-[0-9]{2}-[0-9]{2}$|^\s*$"
_HEX = re.compile(r"#?([0-9a-fA-F]{6}|[0-9a-fA-F]{3})\Z")
_YES = {"yes": "yes", "y": "yes", "true": "yes", "1": "yes", "no": "no", "n": "no", "false": "no", "0": "no"}
# So plain that they need no second look: whole numbers, and decimals that no thousands separator looks like.
_PLAIN_NUMBER = r"^[0-9]{1,9}(\.([0-9]{1,2}|[0-9]{4,6}))?$"


@dataclass(frozen=True)
class Values:
    """A column read.

    values: a number (float64, NaN where empty), a day (datetime64[D], NaT where empty) or a text (Arrow, '' where
    empty) a row. wrong: code -> (rows, values, reasons). iso: whether all days are written year-month-day.
    """

    values: Any
    wrong: dict[str, tuple[np.ndarray, list[str], list[str]]] = field(default_factory=dict)
    iso: bool = True

    @cached_property
    def stored(self) -> Any:
        """The column as it is stored, in Arrow: null where a number or a day is empty."""
        if not isinstance(self.values, np.ndarray):
            return self.values
        days = self.values.dtype.kind == "M"
        return pa.array(self.values.astype("datetime64[us]") if days else self.values, from_pandas=True)


def nothing(kind: str, rows: int) -> Any:
    """A column that its file does not have."""
    if kind in NUMERIC:
        return pa.nulls(rows, pa.float64())
    return pa.nulls(rows, pa.timestamp("us")) if kind == "date" else pa.repeat(pa.scalar("", pa.string()), rows)


def read_column(column: Column, cells: Any, decimal_comma: bool, date_order: str | None) -> Values:
    """The values of one column. cells: Arrow text, a row each. How numbers and days are written: see their modules."""
    if column.kind == "text" and not column.required:
        return Values(cells)
    held, different = distinct(cells)
    values, left = _beginning(column.kind, different)
    texts = different.take(pa.array(left, pa.int64())).to_pylist()
    read = _reading(column, texts, decimal_comma, date_order)
    wrong: dict[int, Wrong] = {}
    for i, text in zip(left, texts, strict=True):
        try:
            if text.strip():
                values[i] = read(text)
            elif column.required:
                raise Wrong("missing", f"{column.name} is empty")
        except Wrong as fault:
            wrong[i] = fault
    for beyond, code, reason in _limits(column, values):
        for i in np.flatnonzero(beyond).tolist():
            wrong.setdefault(i, Wrong(code, f'"{brief(different[i].as_py())}" {reason}'))
    for i, why in wrong.items():
        if why.code in ERRORS:
            values[i] = _nothing_of(values)
    found = _by_row(wrong, held, different)
    if isinstance(values, list):
        return Values(pa.DictionaryArray.from_arrays(pa.array(held), pa.array(values, pa.string())), found)
    iso = column.kind != "date" or pc.all(pc.match_substring_regex(different, _ISO_OR_EMPTY)).as_py() is not False
    return Values(values[held], found, iso)


def distinct(cells: Any) -> tuple[np.ndarray, Any]:
    """Which of the different cells of a column each row holds, and these different cells."""
    encoded = cells.dictionary_encode()
    if isinstance(encoded, pa.ChunkedArray):
        encoded = encoded.unify_dictionaries().combine_chunks()
        if isinstance(encoded, pa.ChunkedArray):
            encoded = encoded.chunk(0) if encoded.num_chunks else pa.array([], pa.string()).dictionary_encode()
    return encoded.indices.to_numpy(zero_copy_only=False), encoded.dictionary


def _nothing_of(values: Any) -> Any:
    """What stands for an empty cell among the values."""
    if isinstance(values, list):
        return ""
    return np.datetime64("NaT") if values.dtype.kind == "M" else np.nan


def _beginning(kind: str, different: Any) -> tuple[Any, list[int]]:
    """Every different value, empty as yet or a plain number, and which ones are left to be read one by one."""
    size = len(different)
    if kind == "date":
        return np.full(size, np.datetime64("NaT"), dtype="datetime64[D]"), list(range(size))
    if kind not in NUMERIC:
        return [""] * size, list(range(size))
    plain = pc.match_substring_regex(different, _PLAIN_NUMBER)
    values = pc.cast(pc.if_else(plain, different, pa.scalar(None, pa.string())), pa.float64())
    # A copy, since Arrow's own memory is not to be written to.
    return np.array(values.to_numpy(zero_copy_only=False)), np.flatnonzero(~np.asarray(plain)).tolist()


def _reading(column: Column, texts: list[str], decimal_comma: bool, date_order: str | None) -> Callable[[str], Any]:
    """What reads one value of the column, raising Wrong where it cannot be."""
    if column.kind == "date":
        order = dates.order_of(texts, date_order)
        return lambda text: dates.read(text, order)
    if column.kind in NUMERIC:
        return lambda text: _number(text, column.kind, decimal_comma)
    return (lambda text: _choice(text, column)) if column.kind == "choice" else _WORDS[column.kind]


def _limits(column: Column, values: Any) -> Iterator[tuple[np.ndarray, str, str]]:
    """What a column's kind does not allow: which of the values, the code, the reason. NaN and NaT never are."""
    if column.kind == "date":
        there = np.where(np.isnat(values), np.datetime64("2000-01-01"), values)
        years = there.astype("datetime64[Y]").astype(int) + 1970
        first, last = _USUAL_YEARS
        yield (years < first) | (years > last), "odd-year", f"is not in the years {first} to {last}"
    if column.kind not in NUMERIC:
        return
    there = ~np.isnan(values)
    if column.kind == "over":
        yield there & (values != 1) & (values != 2), "bad-over", "is neither 1 nor 2"
    yield values < 0, "negative", "is below 0"
    if column.kind == "share":
        yield values > 1, "bad-share", "is not between 0 and 1"
    if column.kind == "percent":
        yield values > 100, "bad-percent", "is more than 100"
    if column.kind == "whole":
        yield there & (values != np.floor(values)), "not-whole", "is not a whole number"
    if column.name == "minutes":
        yield values > _MINUTES_A_DAY, "too-large", "minutes are more than a day has"
    if column.kind == "fabric_count":
        yield values == 0, "bad-fabric", "threads an inch make no fabric"


def _by_row(
    wrong: dict[int, Wrong], held: np.ndarray, different: Any
) -> dict[str, tuple[np.ndarray, list[str], list[str]]]:
    """What is wrong with values, told of the rows that hold them."""
    out: dict[str, tuple[np.ndarray, list[str], list[str]]] = {}
    for code in sorted({fault.code for fault in wrong.values()}):
        told = {i: (different[i].as_py(), fault.reason) for i, fault in wrong.items() if fault.code == code}
        rows = np.flatnonzero(np.isin(held, list(told)))
        found = [told[i] for i in held[rows].tolist()]
        out[code] = (rows, [text for text, _ in found], [reason for _, reason in found])
    return out


def _number(text: str, kind: str, decimal_comma: bool) -> float:
    bare = text.strip()
    if kind == "share" and bare.endswith("%"):
        return numbers.read(bare[:-1], decimal_comma) / 100
    if kind == "percent":
        return numbers.read(bare.removesuffix("%"), decimal_comma)
    if bare.endswith("%"):
        raise Wrong("percent-number", f'"{brief(text)}" is a percentage, not a count')
    if kind == "fabric_count" and (said := sizes.count_over(text)):
        return said[0]
    if kind == "length" and (measure := sizes.length(text)):
        number, unit = measure
        return round(numbers.read(number, decimal_comma) * unit, 6)
    return numbers.read(text, decimal_comma)


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


def _choice(text: str, column: Column) -> str:
    word = text.strip().casefold()
    if word not in column.words:
        raise Wrong("bad-kind", f'"{brief(text)}" is not {column.holds}')
    return word


def _size(text: str) -> str:
    if sizes.size(text) is None:
        raise Wrong("bad-size", f'"{brief(text)}" is not a width and a height in stitches')
    return text.strip()


def _month(text: str) -> str:
    try:
        return dates.month(text)
    except Wrong:
        raise Wrong("bad-month", f'"{brief(text)}" is not a month') from None


_WORDS: dict[str, Callable[[str], str]] = {
    "name": names.tidy,
    "text": str,
    "hex": _hex,
    "yes_no": _yes_no,
    "size": _size,
    "month": _month,
}
