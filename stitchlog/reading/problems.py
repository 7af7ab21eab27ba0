"""What can be wrong with a row: a stable code, its severity, and the mend that a person can make."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

COLUMNS = ("severity", "code", "file", "line", "column", "value", "reason", "mend")

ERROR, WARNING = "error", "warning"

# An error leaves its row out; a warning keeps it.
MENDS: dict[str, tuple[str, str]] = {
    # The shape of a row or a file.
    "unreadable-file": (
        ERROR,
        "save it from the spreadsheet again as CSV (UTF-8), with the names of the columns in its first row",
    ),
    "too-many-values": (
        ERROR,
        'put the text that has a separator in it in double quotes ("like, this"), or give the extra value a heading',
    ),
    "open-quote": (
        ERROR,
        'close the double quote, with nothing after it; a double quote inside quoted text is written twice ("")',
    ),
    "control-character": (ERROR, "type the row again; it holds a character that no spreadsheet shows"),
    "bad-bytes": (ERROR, "type the damaged letters again and save as CSV (UTF-8)"),
    "two-values": (ERROR, "keep one of the two columns of the same name, or the same value in both"),
    "short-row": (
        WARNING,
        "nothing, where the last columns are meant to be empty; otherwise look for a missing separator",
    ),
    "column-twice": (WARNING, "give one of the two columns another heading"),
    "column-unnamed": (WARNING, "give the column a heading, or take its values out"),
    "old-encoding": (WARNING, "save as CSV (UTF-8) once; until then letters with accents are read as Windows-1252"),
    # One value.
    "missing": (ERROR, "fill it in"),
    "bad-number": (ERROR, "write digits only, as in 120 or 12.5; leave it empty where there is nothing to count"),
    "unclear-number": (ERROR, "write it without a thousands separator, as in 1234"),
    "shortened-number": (ERROR, "show the cell as a plain number in the spreadsheet, and save again"),
    "negative": (ERROR, "write 0 or more; stitches taken out go in the column unpicked"),
    "not-whole": (ERROR, "write a whole number"),
    "too-large": (ERROR, "look for a digit too many"),
    "bad-share": (ERROR, "write a number from 0 to 1, as in 0.8, or a percentage, as in 80%"),
    "bad-over": (ERROR, "write 1 or 2"),
    "bad-date": (ERROR, "write the day as 2026-10-31"),
    "unclear-date": (
        ERROR,
        'write date_order = "day-first" or date_order = "month-first" in stitchlog.toml, or write days as 2026-10-31',
    ),
    "mixed-dates": (
        ERROR,
        'write date_order = "day-first" or date_order = "month-first" in stitchlog.toml, or write days as 2026-10-31',
    ),
    "serial-date": (ERROR, "show the cell as a date (2026-10-31) in the spreadsheet, and save again"),
    "bad-hex": (ERROR, "write # and six digits or letters a to f, as in #8fae5d"),
    "bad-kind": (ERROR, "write target, start, finish or length"),
    "bad-yes-no": (ERROR, "write yes or no"),
    "no-count": (ERROR, "write stitches, so_far or minutes; 0 where nothing was stitched"),
    "odd-year": (WARNING, "look at the year; the row is kept as it says"),
    "zero-minutes": (WARNING, "leave minutes empty where the session was not timed"),
    "bad-colour-count": (WARNING, "write colours as code:stitches with ; between, as in B12:120; B14"),
    # Rows beside each other.
    "row-twice": (ERROR, "keep one row of it"),
    "ends-first": (ERROR, "swap the two days, or mend the wrong one"),
    "unknown-piece": (WARNING, "write it in pieces.csv, or spell it as it is written there"),
    "unknown-event": (WARNING, "write it in events.csv, or spell it as it is written there"),
    "finished-first": (WARNING, "look at the days started and finished"),
    "no-target": (WARNING, "write the target in stitches"),
    "no-pace": (WARNING, "time a session whose stitches you count; until then this session counts 0 stitches"),
    "count-fell": (WARNING, "nothing, where stitches were taken out; otherwise look for a wrong count"),
    "counts-disagree": (WARNING, "keep stitches or so_far; stitches is what counts now"),
    "first-count": (WARNING, "write what was stitched before the diary begins in pieces.csv, column done_before"),
    "beyond-total": (WARNING, "look at the piece's total, or at the counts"),
    "odd-pace": (WARNING, "look at stitches and minutes; the row is kept as it says"),
    "long-day": (WARNING, "look at the minutes of that day; the rows are kept as they are"),
    "photo-outside": (
        WARNING,
        "copy the picture into the diary folder and write its path from there; it is not shown now",
    ),
}


def severity(code: str) -> str:
    return MENDS[code][0]


class Wrong(Exception):
    """One value that cannot be what its column wants: a code of MENDS and the reason in words."""

    def __init__(self, code: str, reason: str) -> None:
        super().__init__(reason)
        self.code = code
        self.reason = reason


def brief(text: str, most: int = 40) -> str:
    """A value as it is quoted in a reason: on one line, cut where it is long."""
    line = " ".join(text.split())
    return line if len(line) <= most else line[: most - 1] + "…"


@dataclass
class Problems:
    """Problems as they are found, a list a column, so that a million of them stay cheap."""

    severity: list[str] = field(default_factory=list)
    code: list[str] = field(default_factory=list)
    file: list[str] = field(default_factory=list)
    line: list[int] = field(default_factory=list)
    column: list[str] = field(default_factory=list)
    value: list[str] = field(default_factory=list)
    reason: list[str] = field(default_factory=list)
    mend: list[str] = field(default_factory=list)

    def __len__(self) -> int:
        return len(self.code)

    def add(self, code: str, file: str, line: int, column: str, value: str, reason: str) -> None:
        self.many(code, file, [line], column, [value], [reason])

    def many(
        self, code: str, file: str, lines: Iterable[int], column: str, values: Sequence[str], reasons: Sequence[str]
    ) -> None:
        """The same problem on many rows; one value and reason a row."""
        grade, mend = MENDS[code]
        size = len(values)
        self.severity += [grade] * size
        self.code += [code] * size
        self.file += [file] * size
        self.line += [int(n) for n in lines]
        self.column += [column] * size
        self.value += values
        self.reason += reasons
        self.mend += [mend] * size

    def extend(self, other: Problems) -> None:
        for name in COLUMNS:
            getattr(self, name).extend(getattr(other, name))

    def columns(self) -> dict[str, list]:
        return {name: getattr(self, name) for name in COLUMNS}

    def rows(self) -> list[dict[str, object]]:
        return [dict(zip(COLUMNS, row, strict=True)) for row in zip(*self.columns().values(), strict=True)]
