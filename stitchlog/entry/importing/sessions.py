"""The sessions of one sheet, whatever its layout, and every cell of it that is none, with its place and the reason."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from dataclasses import dataclass, field, replace

from stitchlog.diary import headings, names
from stitchlog.diary.reading import numbers
from stitchlog.diary.reading.problems import Wrong
from stitchlog.entry.importing import cells, days, layout
from stitchlog.entry.importing.counted import SESSION, SHARE, SO_FAR, counted_as, question_of, without_repeats
from stitchlog.entry.importing.layout import Layout
from stitchlog.entry.importing.proposal import Cell, LeftOut, Place, Question, Session
from stitchlog.entry.importing.workbook import Value

_PLAIN = ("half", "quarter", "three_quarter", "backstitch", "knots", "beads")
_TEXT = ("colours", "photo", "note")
ABOUT = "approximate"


@dataclass
class Read:
    """What one sheet gave."""

    sheet: str
    sessions: list[Session] = field(default_factory=list)
    left_out: list[LeftOut] = field(default_factory=list)
    remarks: list[str] = field(default_factory=list)
    question: Question | None = None


def day_cells(laid: Layout) -> list[Value]:
    """The cells of a sheet that hold its sessions' days."""
    if laid.kind == layout.BY_DAY:
        return [c.day for c in laid.each("day column")]
    date = laid.of("date")
    rows = laid.sheet.rows
    return [layout.at(rows, r, date.at) for r in range(laid.head + 1, len(rows))] if date else []


def read(laid: Layout, order: str | None, counts: str | None = None, today: dt.date | None = None) -> Read:
    """The sessions of a sheet. order: how it writes its days. counts: what its numbers are, where that was asked."""
    reader = _Reader(laid, order)
    if laid.kind == layout.BY_DAY:
        reader.by_day()
    else:
        reader.by_row()
    out = reader.out
    mode = SESSION if reader.adds_up else counted_as(laid, out.sessions)
    mode = counts or mode
    if mode is None:
        out.question = question_of(laid, out.sessions)
    elif mode != SESSION:
        out.sessions = [_renamed(s, mode) for s in out.sessions]
        for s in [s for s in out.sessions if float(s.cells.get("percent", 0)) > 100]:
            out.sessions.remove(s)
            out.left_out.append(LeftOut(s.place, f"{s.cells['percent']:g}", "more than 100 percent"))
    if reader.shares or mode == SHARE:
        out.remarks.append(f'Sheet "{out.sheet}": 0.12 is taken as 12 % of a piece.')
    if reader.may_be_swapped():
        out.remarks.append(
            f'Sheet "{out.sheet}" has days as text and real dates, none of these after the 12th of a month. '
            "The spreadsheet may have swapped their day and month; look at the first few."
        )
    out.sessions.sort(key=lambda s: s.date)
    out.sessions, same = without_repeats(out.sessions)
    out.left_out += same
    if today is not None and (late := [s for s in out.sessions if s.date > today]):
        first = late[0]
        out.remarks.append(f"{first.place.say()}: {first.date.isoformat()} is still to come; look at its year.")
    return out


def _renamed(session: Session, mode: str) -> Session:
    """The session with its number taken for a count so far, or for a percentage."""
    if "stitches" not in session.cells:
        return session
    told = dict(session.cells)
    value = float(told.pop("stitches"))
    name = "so_far" if mode == SO_FAR else "percent"
    scale = 100.0 if name == "percent" and mode == SHARE else 1.0
    return replace(session, cells={name: round(value * scale, 6), **told})


class _Reader:
    def __init__(self, laid: Layout, order: str | None) -> None:
        self.laid, self.order = laid, order
        self.piece = laid.piece
        self.rows, self.name = laid.sheet.rows, laid.sheet.name
        self.out = Read(self.name)
        texts = [v for row in self.rows[laid.head + 1 :] for v in row if isinstance(v, str) and len(v) < 30]
        self.marks = cells.marks_of(t for t in texts if not days.readings(t))
        self.sums: dict[int, list[float]] = defaultdict(lambda: [0.0, 0.0])
        self.shares = self._are_shares("percent")
        # Whether a total of the sheet's own is the sum of its numbers: they are then no counts so far.
        self.adds_up = False

    def _are_shares(self, meaning: str) -> bool:
        """Whether a column of percentages holds shares of 1, as spreadsheets store them."""
        column = self.laid.of(meaning)
        if column is None:
            return False
        found = [
            v for r in self.rows[self.laid.head + 1 :] if isinstance(v := layout.at([r], 0, column.at), float | int)
        ]
        return bool(found) and max(found) <= 1 and any(v % 1 for v in found)

    def may_be_swapped(self) -> bool:
        """Whether some days are real dates and others text, as where it read what it could its own way."""
        told = day_cells(self.laid)
        real = [v for v in told if isinstance(v, dt.date)]
        text = [ways for v in told if isinstance(v, str) and (ways := days.readings(v)) and "" not in ways]
        one_way = text and all(len({days.DAY_FIRST, days.MONTH_FIRST} & set(ways)) == 1 for ways in text)
        return len(real) >= 3 and bool(one_way) and all(v.day <= 12 for v in real)

    def leave(self, row: int, column: int | None, value: Value, reason: str, kind: str = "") -> None:
        self.out.left_out.append(LeftOut(Place(self.name, row, column), cells.shown(value), reason, kind))

    def by_row(self) -> None:
        date = self.laid.of("date")
        assert date is not None
        sections = self.laid.sections
        titles = [texts[0][1] for row in self.rows[: self.laid.head] if len(texts := layout.texts_of(row)) == 1]
        if sections and titles:
            self.piece = titles[-1]
        for r in range(self.laid.head + 1, len(self.rows)):
            row = self.rows[r]
            there = [(i, v) for i, v in enumerate(row) if v != ""]
            if not there:
                continue
            if self.laid.repeats_head(r):
                self.piece = sections.get(r, self.piece)
                self.leave(r, None, there[0][1], "the headings again", "heading")
                continue
            day = self._day(r, layout.at(self.rows, r, date.at), there)
            if day is None:
                continue
            if self.laid.kind == layout.WIDE:
                self._wide(r, day)
            else:
                self._long(r, day)

    def _day(self, r: int, value: Value, there: list[tuple[int, Value]]) -> dt.date | None:
        date = self.laid.of("date")
        assert date is not None
        if value == "" or (isinstance(value, str) and not days.readings(value) and self.laid.month == (None, None)):
            # A row of totals, a month's title, or a row that lacks its day.
            self._no_day(r, date.at, value, there)
            return None
        try:
            return self._made(value)
        except Wrong as fault:
            if len(there) > 1 or isinstance(value, str):
                self.leave(r, date.at, value, fault.reason, "total" if headings.is_total(value) else "")
            return None

    def _made(self, value: Value) -> dt.date:
        year, month = self.laid.month
        if year and month and not isinstance(value, dt.date):
            digits = cells.shown(value).strip(" .")
            if digits.isdecimal() and len(digits) <= 2:
                try:
                    return dt.date(year, month, int(digits))
                except ValueError:
                    raise Wrong("bad-date", f"the month has no day {digits}") from None
        return days.read(value, self.order)

    def _no_day(self, r: int, at: int, value: Value, there: list[tuple[int, Value]]) -> None:
        figures = [(i, float(v)) for i, v in there if isinstance(v, float | int) and not isinstance(v, bool)]
        total = any(headings.is_total(v) for _, v in there if isinstance(v, str))
        sums = [i for i, v in figures if v and any(abs(v - s) < 1e-6 for s in self.sums[i])]
        if total and self.laid.kind == layout.WIDE and sums:
            self.adds_up = True
        if total or sums:
            reason = "a row that adds up others" if total else "a row equal to the sum of those above"
            self.leave(r, None, there[0][1], reason, "total")
            for i in self.sums:
                self.sums[i][1] = 0.0
        elif value != "" and headings.month_of(value)[1] is not None:
            self.leave(r, None, value, "a month's title", "heading")
        elif value != "":
            if figures or len(there) > 1:
                self.leave(r, at, value, f'"{cells.shown(value)}" is not a day')
            else:
                self.leave(r, at, value, "a line of text, no session", "heading")
        elif figures:
            self.leave(r, None, there[0][1], "the row has no day")
        elif len(there) == 1:
            self.leave(r, there[0][0], there[0][1], "a line of text, no session", "heading")
        else:
            self.leave(r, None, there[0][1], "the row has no day")

    def _added_up(self, column: int, value: Value) -> None:
        if isinstance(value, float | int) and not isinstance(value, bool):
            self.sums[column][0] += value
            self.sums[column][1] += value

    def _long(self, r: int, day: dt.date) -> None:
        piece_column = self.laid.of("piece")
        piece: Value = self.piece if piece_column is None else layout.at(self.rows, r, piece_column.at)
        told: dict[str, Cell] = {}
        notes: list[str] = []
        empty: list[tuple[int, Value, str, str]] = []
        for column in self.laid.columns:
            value = layout.at(self.rows, r, column.at)
            if value == "" or column.meaning in ("date", "piece", "passed_over"):
                continue
            if column.meaning in _TEXT:
                text = cells.shown(value)
                if column.meaning == "note":
                    notes.insert(0, text)
                else:
                    told[column.meaning] = text
                continue
            self._added_up(column.at, value)
            try:
                self._one(column.meaning, column.at, value, told, notes, empty)
            except Wrong as fault:
                empty.append((column.at, value, fault.reason, ""))
        if not any(n in told for n in (*headings.COUNTS, "minutes", "unpicked", *_PLAIN)):
            for at, value, reason, kind in empty:
                self.leave(r, at, value, reason, kind)
            if not empty and (notes or piece not in ("", self.piece)):
                self.leave(r, None, notes[0] if piece == "" else piece, "nothing is counted in the row", "nought")
            return
        if piece == "":
            self.leave(r, None, cells.shown(next(v for v in self.rows[r] if v != "")), "the row names no piece")
            return
        if headings.is_total(piece):
            self.leave(r, piece_column.at if piece_column else None, piece, "a row that adds up others", "total")
            return
        for at, value, reason, kind in empty:
            if kind != "nought":
                self.leave(r, at, value, reason, kind)
        self._add(r, None, cells.shown(piece), day, told, notes)

    def _one(
        self,
        meaning: str,
        at: int,
        value: Value,
        told: dict[str, Cell],
        notes: list[str],
        empty: list[tuple[int, Value, str, str]],
    ) -> None:
        """One cell of a session into what is told of it. Raises Wrong."""
        if meaning in ("minutes", "hours"):
            found = cells.minutes(value, self.marks, hours=meaning == "hours")
            if found:
                told["minutes"] = found
            return
        read = cells.number(value, self.marks)
        if read.kind == cells.NUMBER:
            self._number(meaning, read, told, notes)
        else:
            empty.append((at, value, *_why_not(read, value)))

    def _number(self, meaning: str, read: cells.Reading, told: dict[str, Cell], notes: list[str]) -> None:
        value = read.value
        name = "percent" if read.percent and meaning in headings.COUNTS else meaning
        if name == "percent":
            value = value * 100 if self.shares and not read.percent else value
            if not 0 <= value <= 100:
                raise Wrong("bad-percent", f"{value:g} is not between 0 and 100")
        unpicked = read.unpicked
        if name == "stitches" and value < 0:
            value, unpicked = 0.0, unpicked - value
        if max(value, unpicked) > numbers.LARGEST:
            raise Wrong("too-large", f"{value:,.0f} is more than can be stitched")
        if value < 0:
            raise Wrong("negative", f"{value:g} is below 0")
        if value or not unpicked:
            told[name] = round(value, 6)
        if unpicked:
            told["unpicked"] = float(told.get("unpicked", 0.0)) + unpicked
        if read.approximate:
            notes.append(ABOUT)
        if read.words:
            notes.append(read.words)

    def _wide(self, r: int, day: dt.date) -> None:
        made = len(self.out.sessions)
        for column in self.laid.each("piece column"):
            value = layout.at(self.rows, r, column.at)
            self._added_up(column.at, value)
            self._cell(r, column.at, column.piece, day, value)
        of_day = self.out.sessions[made:]
        for column in self.laid.columns:
            value = layout.at(self.rows, r, column.at)
            if value == "" or column.meaning in ("date", "piece column", "passed_over"):
                continue
            if column.meaning in _TEXT and of_day:
                first = self.out.sessions[made]
                said = "; ".join(x for x in (cells.shown(value), str(first.cells.get(column.meaning, ""))) if x)
                self.out.sessions[made] = replace(first, cells={**first.cells, column.meaning: said})
            elif column.meaning in ("minutes", "hours") and len(of_day) == 1:
                try:
                    found = cells.minutes(value, self.marks, hours=column.meaning == "hours")
                except Wrong as fault:
                    self.leave(r, column.at, value, fault.reason)
                    continue
                if found:
                    only = self.out.sessions[made]
                    self.out.sessions[made] = replace(only, cells={**only.cells, "minutes": found})
            else:
                reason = "there is no session on that day" if not of_day else "it does not say which piece it is for"
                self.leave(r, column.at, value, reason, "" if of_day else "nought")

    def by_day(self) -> None:
        column = self.laid.of("piece")
        assert column is not None
        dated: list[tuple[int, dt.date]] = []
        for c in self.laid.each("day column"):
            try:
                dated.append((c.at, self._made(c.day)))
            except Wrong as fault:
                self.leave(self.laid.head, c.at, c.day, fault.reason)
        for r in range(self.laid.head + 1, len(self.rows)):
            piece = layout.at(self.rows, r, column.at)
            there = [v for v in self.rows[r] if v != ""]
            if not there:
                continue
            head = layout.at(self.rows, self.laid.head, column.at)
            if piece == "" or headings.is_total(piece):
                reason = "the row names no piece" if piece == "" else "a row that adds up others"
                self.leave(r, column.at, piece or there[0], reason, "total")
            elif piece == head and head != "":
                self.leave(r, None, piece, "the headings again", "heading")
            else:
                for at, day in dated:
                    self._cell(r, at, cells.shown(piece), day, layout.at(self.rows, r, at))
                worked = [v for at, _ in dated if isinstance(v := layout.at(self.rows, r, at), int | float)]
                behind = self.rows[r][dated[-1][0] + 1 :] if dated else []
                self.adds_up |= len(worked) > 1 and any(isinstance(v, int | float) and v == sum(worked) for v in behind)

    def _cell(self, r: int, at: int, piece: str, day: dt.date, value: Value) -> None:
        """A cell that holds one piece's work of one day."""
        if value == "":
            return
        told: dict[str, Cell] = {}
        notes: list[str] = []
        try:
            read = cells.number(value, self.marks)
            if read.kind != cells.NUMBER:
                self.leave(r, at, value, *_why_not(read, value))
                return
            self._number("stitches", read, told, notes)
        except Wrong as fault:
            self.leave(r, at, value, fault.reason)
            return
        self._add(r, at, piece, day, told, notes)

    def _add(self, r: int, at: int | None, piece: str, day: dt.date, told: dict[str, Cell], notes: list[str]) -> None:
        if notes:
            told["note"] = "; ".join(dict.fromkeys(notes))
        self.out.sessions.append(Session(Place(self.name, r, at), names.tidy(piece), day, told))


def _why_not(read: cells.Reading, value: Value) -> tuple[str, str]:
    if read.kind == cells.TICK:
        return "a tick says that you stitched, not how much", ""
    if read.kind == cells.WORDS:
        return "words, no count", ""
    return "nothing was stitched", "nought"
