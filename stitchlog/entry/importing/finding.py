"""How sheets are laid out: finds the headings and the days, and tells what each column is."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping, Sequence

from stitchlog.diary import headings
from stitchlog.entry.importing import cells, days, prepared
from stitchlog.entry.importing.layout import BY_DAY, LONG, ONE_PIECE, PIECES, WIDE, Column, Layout, at, texts_of
from stitchlog.entry.importing.workbook import Sheet, Value

# Rows from the top in which headings are looked for, and rows that show what a column holds.
_TOP, _SAMPLE = 40, 400
# Names of sheets and files that name no piece.
_PLAIN_NAMES = frozenset(
    (
        *("sheet", "tabelle", "feuil", "feuille", "hoja", "blad", "foglio", "table", "log", "diary", "journal", "data"),
        *(
            "sessions",
            "stitching",
            "stitches",
            "stitch log",
            "stitching log",
            "my log",
            "export",
            "tagebuch",
            "progress",
        ),
    )
)


def layouts_of(sheet: Sheet, own: Mapping[str, Iterable[str]] | None = None) -> list[Layout]:
    """How a sheet is laid out, one a piece where each has several columns; none where it holds no table for us."""
    sheet = prepared.prepared(sheet)
    found = _by_day(sheet, own) or _pieces(sheet, own)
    return [found] if found else _sessions(sheet, own)


def _by_day(sheet: Sheet, own: Mapping[str, Iterable[str]] | None) -> Layout | None:
    """A row a piece, a column a day: the headings are days, or the days of the month that the sheet is named after."""
    rows = sheet.rows
    for r, row in enumerate(rows[:_TOP]):
        there = [(i, v) for i, v in enumerate(row) if v != ""]
        dated: list[tuple[int, Value]] = [
            (i, v) for i, v in there if days.looks_like(v) and not isinstance(v, float | int)
        ]
        month = _month(sheet, r)
        if len(dated) < 3 or len(dated) * 2 < len(there):
            dated = _numbered(there) if all(month) else []
        if len(dated) < 3 or r + 1 >= len(rows):
            continue
        first = dated[0][0]
        names = [
            (i, sum(isinstance(at(rows, k, i), str) and at(rows, k, i) != "" for k in range(r + 1, len(rows))))
            for i in range(first)
        ]
        if not names or not max(n for _, n in names):
            continue
        found = {i: headings.meaning(at(rows, r, i), headings.PIECE, own) for i in range(first)}
        piece = next((i for i, (m, _) in found.items() if m == "piece"), None)
        if piece is None:
            piece = max(names, key=lambda item: (item[1], -item[0]))[0]
        columns = [Column(piece, str(at(rows, r, piece)), "piece")]
        columns += [
            Column(i, str(at(rows, r, i)), m, s) for i, (m, s) in found.items() if i != piece and m not in ("", "piece")
        ]
        columns += [Column(i, cells.shown(v), "day column", day=v) for i, v in dated]
        return Layout(sheet, BY_DAY, r, tuple(columns), month=month)
    return None


def _numbered(there: Iterable[tuple[int, Value]]) -> list[tuple[int, Value]]:
    """Cells that count the days of a month: 1, 2, 3 and so on."""
    found: list[tuple[int, Value]] = []
    for i, v in there:
        number = int(v) if isinstance(v, str) and v.strip().isdecimal() else v
        day = float(number) if isinstance(number, int | float) and not isinstance(number, bool) else 0.0
        if 1 <= day <= 31 and (not found or day > float(found[-1][1])):  # type: ignore[arg-type]
            found.append((i, day))
    return found if len(found) >= 5 else []


def _month(sheet: Sheet, head: int) -> tuple[int | None, int | None]:
    """The month that the sheet's name, or a title above its headings, says."""
    year, month = headings.month_of(sheet.name)
    for row in sheet.rows[:head]:
        for _, text in texts_of(row):
            y, m = headings.month_of(text)
            year, month = year or y, month or m
    return year, month


def _pieces(sheet: Sheet, own: Mapping[str, Iterable[str]] | None) -> Layout | None:
    """A list of pieces: their name, and two or more other things that only a list of pieces has."""
    rows = sheet.rows
    for r, row in enumerate(rows[:_TOP]):
        if len(texts_of(row)) < 2:
            continue
        as_piece = _meanings(row, headings.PIECE, own)
        as_session = _meanings(row, headings.SESSION, own)
        if "piece" not in as_piece or any(s == headings.SAME for m, (_, s) in as_session.items() if m == "date"):
            continue
        told = [m for m in as_piece if m not in ("piece", "passed_over", "tags")]
        weight = sum(s for m, (_, s) in as_piece.items() if m != "passed_over")
        other = sum(s for m, (_, s) in as_session.items() if m != "passed_over")
        if told and r + 1 < len(rows) and (weight > other or (weight == other and not _has_days(rows[r + 1 :]))):
            columns = [Column(i, str(row[i]), m, s) for m, (i, s) in as_piece.items()]
            return Layout(sheet, PIECES, r, tuple(sorted(columns, key=lambda c: c.at)))
    return None


def _has_days(rows: Sequence[Sequence[Value]]) -> bool:
    return sum(any(days.looks_like(v) for v in row) for row in rows[:_SAMPLE]) * 2 > len(rows[:_SAMPLE])


def _meanings(
    row: Sequence[Value], among: Iterable[str], own: Mapping[str, Iterable[str]] | None
) -> dict[str, tuple[int, float]]:
    """Meaning -> the column that has it most surely, and how sure that is."""
    found: dict[str, tuple[int, float]] = {}
    for i, text in texts_of(row):
        name, sure = headings.meaning(text, among, own)
        if name and (name not in found or sure > found[name][1]):
            found[name] = (i, sure)
    return found


def _sessions(sheet: Sheet, own: Mapping[str, Iterable[str]] | None) -> list[Layout]:
    rows = sheet.rows
    found = _date_column(sheet, own)
    if found is None:
        return []
    head, date, month = found
    if groups := _groups(rows, head, date, own):
        first = Column(date, str(at(rows, head, date)), "date")
        return [Layout(sheet, ONE_PIECE, head, (first, *columns), name, month) for name, columns in groups.items()]
    width = max((len(r) for r in rows[head + 1 : head + 1 + _SAMPLE]), default=0)
    columns = [Column(date, str(at(rows, head, date)), "date")]
    unknown: list[Column] = []
    for i in range(width):
        if i == date:
            continue
        text = str(at(rows, head, i)).strip() if head >= 0 else ""
        below = [v for r in rows[head + 1 :] if (v := at([r], 0, i)) != ""]
        if not below:
            continue
        name, sure = headings.meaning(text, headings.SESSION, own)
        if not _holds(name, sure, below):
            name, sure = "", 0.0
        if headings.is_total(text) and name not in ("so_far",):
            name, sure = "passed_over", 1.0
        if name == "date":
            name = "passed_over"
        column = Column(i, text, name, sure)
        before = next((c for c in columns if c.meaning == name and name != "passed_over"), None)
        if before is not None and (before.sure, -headings.rank(before.heading, name)) < (
            sure,
            -headings.rank(text, name),
        ):
            # The surer of two headings of one meaning counts, then the plainer word: stitches before count.
            columns.remove(before)
            unknown.append(before)
            before = None
        (unknown if not name or before else columns).append(column)
    laid = _long_or_wide(sheet, head, columns, unknown, month)
    return [laid] if laid else []


def _holds(meaning: str, sure: float, below: Sequence[Value]) -> bool:
    """Whether what stands below a heading can be what it seems to say. A name may have a heading's word in it."""
    numbers = sum(isinstance(v, int | float | dt.time | dt.timedelta) for v in below) * 2 > len(below)
    if meaning == "photo":
        return any(isinstance(v, str) and "." in v for v in below)
    if meaning in ("piece", "note", "colours"):
        return not numbers or (meaning != "piece" and sure >= headings.WITH_UNIT)
    if meaning != "passed_over" and sure < headings.WITH_UNIT:
        return _numeric([[v] for v in below], 0)
    return not (meaning == "passed_over" and sure < headings.WITH_UNIT)


def _groups(
    rows: Sequence[Sequence[Value]], head: int, date: int, own: Mapping[str, Iterable[str]] | None
) -> dict[str, tuple[Column, ...]]:
    """Where each piece has several columns under its name (`Stitches | Minutes` again and again): piece -> columns."""
    if head < 1:
        return {}
    below = [(i, text) for i, text in texts_of(rows[head]) if i != date]
    found = [(i, text, *headings.meaning(text, headings.SESSION, own)) for i, text in below]
    meant = [m for _, _, m, s in found if m in (*headings.COUNTS, "minutes", "hours") and s >= headings.WITH_UNIT]
    names = [(i, text) for i, text in texts_of(rows[head - 1]) if i != date and not headings.is_total(text)]
    if len(meant) == len(set(meant)) or len(names) < 2:
        return {}
    out: dict[str, tuple[Column, ...]] = {}
    for n, (start, name) in enumerate(names):
        stop = names[n + 1][0] if n + 1 < len(names) else len(rows[head])
        under = [(i, text, m, s) for i, text, m, s in found if start <= i < stop]
        own_columns = [Column(i, text, m, s) for i, text, m, s in under if m not in ("", "date")]
        if any(c.meaning in (*headings.COUNTS, "minutes", "hours") for c in own_columns):
            out[name] = tuple({c.meaning: c for c in reversed(own_columns)}.values())
    return out


def _long_or_wide(
    sheet: Sheet, head: int, columns: list[Column], unknown: list[Column], month: tuple[int | None, int | None]
) -> Layout | None:
    rows = sheet.rows[head + 1 :]
    meanings = {c.meaning: c for c in columns}
    counts = [c for c in columns if c.meaning in (*headings.COUNTS, "minutes", "hours", "unpicked")]
    # A column "Total" is what was counted where nothing else is.
    totals = [
        c for c in columns if c.meaning == "passed_over" and headings.is_total(c.heading) and _numeric(rows, c.at)
    ]
    if not counts and len(totals) == 1 and not any(_numeric(rows, c.at) for c in unknown):
        counts = [Column(totals[0].at, totals[0].heading, "stitches", headings.NEARLY, by_content=True)]
        columns = [*(c for c in columns if c is not totals[0]), *counts]
    if "piece" not in meanings:
        numeric = [c for c in unknown if c.heading and _numeric(rows, c.at)]
        weak = [c for c in columns if c.sure < headings.WITH_UNIT and c.meaning != "date" and _numeric(rows, c.at)]
        if len(numeric) + len(weak) >= 2 or (numeric and not set(counts) - set(weak)):
            # The names of pieces may have a heading's word in them.
            numeric += weak
            columns = [c for c in columns if c not in weak]
            counts = [c for c in counts if c not in weak]
        named = _names(rows, unknown)
        if named is not None and (counts or len(numeric) == 1 or (not numeric and _one_number(rows, unknown))):
            columns.append(Column(named.at, named.heading, "piece", headings.NEARLY, by_content=True))
            unknown = [c for c in unknown if c is not named]
            if not counts and (number := next((c for c in unknown if _numeric(rows, c.at)), None)):
                columns.append(Column(number.at, number.heading, "stitches", headings.NEARLY, by_content=True))
        elif numeric and not any(c.meaning in headings.COUNTS for c in counts):
            wide = [Column(c.at, c.heading, "piece column", piece=c.heading) for c in _not_sums(rows, numeric)]
            return Layout(sheet, WIDE, head, tuple(columns + wide), month=month)
        elif counts:
            return Layout(sheet, ONE_PIECE, head, tuple(columns), _own_name(sheet, head), month, _about(sheet, head))
        else:
            return None
    elif not counts:
        numbers = [c for c in unknown if _numeric(rows, c.at)]
        if len(numbers) != 1:
            return None
        columns.append(Column(numbers[0].at, numbers[0].heading, "stitches", headings.NEARLY, by_content=True))
    return Layout(sheet, LONG, head, tuple(columns), month=month)


def _date_column(
    sheet: Sheet, own: Mapping[str, Iterable[str]] | None
) -> tuple[int, int, tuple[int | None, int | None]] | None:
    """The row of the headings (-1: none), the column of the days, and the month where they are only numbered."""
    rows = sheet.rows
    sample = rows[: _TOP + _SAMPLE]
    width = max((len(r) for r in sample), default=0)
    counted = [sum(days.looks_like(at([r], 0, i)) for r in sample) for i in range(width)]
    best = max(range(width), key=lambda i: (counted[i], -i), default=None)
    for r, row in enumerate(rows[:_TOP]):
        named = [
            i for i, text in texts_of(row) if headings.meaning(text, headings.SESSION, own) == ("date", headings.SAME)
        ]
        dated = [i for i in named if i < width and counted[i]]
        if dated and len(texts_of(row)) >= 2:
            return r, max(dated, key=lambda i: counted[i]), (None, None)
        if named and all(month := _month(sheet, r)) and _numbered_down(rows, r, named[0]):
            return r, named[0], month
    if best is None or counted[best] < 3:
        return None
    first = next(r for r, row in enumerate(rows) if days.looks_like(at([row], 0, best)))
    above = [r for r in range(first) if len(texts_of(rows[r])) >= 2 or (len(rows[r]) > best + 1 and texts_of(rows[r]))]
    return (above[-1] if above else -1), best, (None, None)


def _numbered_down(rows: Sequence[Sequence[Value]], head: int, column: int) -> bool:
    values = [v for r in rows[head + 1 :] if (v := at([r], 0, column)) != ""]
    whole = [
        v
        for v in values
        if (isinstance(v, int | float) and 1 <= v <= 31) or (isinstance(v, str) and v.strip(" .").isdecimal())
    ]
    return len(whole) >= 3 and len(whole) * 10 >= len(values) * 7


def _numeric(rows: Sequence[Sequence[Value]], column: int) -> bool:
    """Whether most of a column's cells count something."""
    values = [v for r in rows if (v := at([r], 0, column)) != ""]
    counted = sum(
        (isinstance(v, int | float)) or (isinstance(v, str) and any(c.isdecimal() for c in v[:8]) and len(v) < 30)
        for v in values
    )
    return bool(values) and counted * 2 >= len(values)


def _one_number(rows: Sequence[Sequence[Value]], unknown: Iterable[Column]) -> bool:
    return sum(_numeric(rows, c.at) for c in unknown) == 1


def _names(rows: Sequence[Sequence[Value]], unknown: Iterable[Column]) -> Column | None:
    """The one column of text that names pieces: its words come again and again."""
    found = []
    for column in unknown:
        texts = [v.strip().casefold() for r in rows if isinstance(v := at([r], 0, column.at), str) and v.strip()]
        if len(texts) >= 4 and len(set(texts)) * 2 <= len(texts) and not _numeric(rows, column.at):
            found.append(column)
    return found[0] if len(found) == 1 else None


def _not_sums(rows: Sequence[Sequence[Value]], columns: list[Column]) -> list[Column]:
    """The columns without one that adds up all the others, row by row."""
    if len(columns) < 3:
        return columns

    def value(row: Sequence[Value], column: Column) -> float:
        v = at([row], 0, column.at)
        return float(v) if isinstance(v, int | float) else 0.0

    for candidate in (columns[-1], columns[0]):
        others = [c for c in columns if c is not candidate]
        some = [r for r in rows if any(value(r, c) for c in others)]
        same = sum(abs(value(r, candidate) - sum(value(r, c) for c in others)) < 1e-6 for r in some)
        several = any(sum(bool(value(r, c)) for c in others) > 1 for r in some)
        if len(some) >= 3 and several and same >= 0.9 * len(some):
            return others
    return columns


def _own_name(sheet: Sheet, head: int) -> str:
    """The piece that a sheet is about: its name, or the title above its headings where its name says nothing."""
    name = sheet.name.strip()
    bare = headings.plain(name).rstrip("0123456789 ")
    if bare and bare not in _PLAIN_NAMES and headings.month_of(name)[1] is None:
        return name
    titles = [texts[0][1] for row in sheet.rows[:head] if len(texts := texts_of(row)) == 1]
    return titles[0] if titles else ""


def _about(sheet: Sheet, head: int) -> dict[str, tuple[int, int]]:
    """Pairs above the headings that say something of the piece: `Total | 12000`, by meaning the cell of the value."""
    found: dict[str, tuple[int, int]] = {}
    for r, row in enumerate(sheet.rows[:head]):
        for i, text in texts_of(row):
            name, sure = headings.meaning(text, headings.PIECE)
            if (
                name not in ("", "piece", "passed_over")
                and sure >= headings.WITH_UNIT
                and at(sheet.rows, r, i + 1) != ""
            ):
                found.setdefault(name, (r, i + 1))
    return found
