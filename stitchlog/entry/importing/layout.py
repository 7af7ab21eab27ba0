"""What is known of a sheet once it is understood: where its headings stand, what each column is, what a row means."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from stitchlog.entry.importing.workbook import Sheet, Value

# A row a session; a column a piece; a row a piece and a column a day; one piece's own sheet; a list of pieces.
LONG, WIDE, BY_DAY, ONE_PIECE, PIECES = "long", "wide", "by day", "one piece", "pieces"


@dataclass(frozen=True)
class Column:
    """One column. meaning: as in `headings`, or 'piece column' or 'day column' with its piece or day."""

    at: int
    heading: str
    meaning: str
    sure: float = 1.0
    piece: str = ""
    day: Value = ""
    by_content: bool = False


@dataclass(frozen=True)
class Layout:
    """A sheet understood. head: the row of its headings (-1: none). about: cells above that say something of a piece.

    month: the one that its name or title says.
    """

    sheet: Sheet
    kind: str
    head: int
    columns: tuple[Column, ...]
    piece: str = ""
    month: tuple[int | None, int | None] = (None, None)
    about: Mapping[str, tuple[int, int]] = field(default_factory=dict)

    def of(self, meaning: str) -> Column | None:
        return next((c for c in self.columns if c.meaning == meaning), None)

    def each(self, meaning: str) -> list[Column]:
        return [c for c in self.columns if c.meaning == meaning]

    def repeats_head(self, row: int) -> bool:
        """Whether a row below the headings has the headings again."""
        head, own = (self.sheet.rows[r] for r in (self.head, row))
        there = [(i, v) for i, v in enumerate(own) if v != ""]
        return self.head >= 0 and len(there) > 1 and all(at([head], 0, i) == v for i, v in there)

    @property
    def sections(self) -> dict[int, str]:
        """Rows with the headings again under a line of their own -> that line: the next piece of a sheet of several."""
        out = {}
        for r in range(self.head + 1, len(self.sheet.rows)) if self.kind == ONE_PIECE else ():
            above = next((texts_of(row) for row in reversed(self.sheet.rows[:r]) if any(v != "" for v in row)), [])
            if len(above) == 1 and self.repeats_head(r):
                out[r] = above[0][1]
        return out

    @property
    def sure(self) -> float:
        return min((c.sure for c in self.columns if c.meaning), default=0.0)


def at(rows: Sequence[Sequence[Value]], row: int, column: int) -> Value:
    return rows[row][column] if 0 <= row < len(rows) and 0 <= column < len(rows[row]) else ""


def texts_of(row: Sequence[Value]) -> list[tuple[int, str]]:
    return [(i, v.strip()) for i, v in enumerate(row) if isinstance(v, str) and v.strip()]
