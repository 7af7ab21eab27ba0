"""What an import understood of a file: sessions, pieces, what is left out and why, and what it must ask."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field

from stitchlog.entry.importing.workbook import column_letter

Cell = str | float


@dataclass(frozen=True)
class Place:
    """A cell of the file, its row and column counted from 0; column None: the whole row."""

    sheet: str
    row: int
    column: int | None = None

    def say(self) -> str:
        """As people find it: sheet, row, column letter."""
        column = "" if self.column is None else f", column {column_letter(self.column)}"
        return f'sheet "{self.sheet}", row {self.row + 1}{column}'


@dataclass(frozen=True)
class Session:
    """One session of the file, in the columns of diary.csv (numbers and text)."""

    place: Place
    piece: str
    date: dt.date
    cells: Mapping[str, Cell]


@dataclass(frozen=True)
class Piece:
    """What the file says of one piece, in the columns of pieces.csv (numbers, days as text, text)."""

    place: Place
    piece: str
    cells: Mapping[str, Cell]


@dataclass(frozen=True)
class LeftOut:
    """A cell, or a row, that is not taken in. kind: 'nought', 'total' or 'heading', for what is no session at all."""

    place: Place
    value: str
    reason: str
    kind: str = ""


@dataclass(frozen=True)
class Question:
    """Something the file does not prove. answers: what may be answered -> what it means; none: a name is wanted.

    option: how scripts say it.
    """

    about: str
    words: str
    answers: Mapping[str, str]
    option: str


@dataclass(frozen=True)
class Understood:
    """One sheet: how it is laid out, and of each column its letter, its heading and what it was taken for."""

    sheet: str
    kind: str
    columns: tuple[tuple[str, str, str], ...] = ()
    unread: tuple[tuple[str, str], ...] = ()
    sure: float = 1.0


@dataclass(frozen=True)
class Proposal:
    """Everything that an import would do, before anything is written."""

    file: str
    sheets: tuple[Understood, ...] = ()
    passed_over: tuple[tuple[str, str], ...] = ()
    sessions: tuple[Session, ...] = ()
    pieces: tuple[Piece, ...] = ()
    left_out: tuple[LeftOut, ...] = ()
    questions: tuple[Question, ...] = ()
    remarks: tuple[str, ...] = ()
    answers: Mapping[str, str] = field(default_factory=dict)

    @property
    def names(self) -> list[str]:
        """The pieces that the sessions and the lists name, each once."""
        return list(dict.fromkeys([s.piece for s in self.sessions] + [p.piece for p in self.pieces]))
