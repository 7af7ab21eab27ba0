"""What a sheet says of its pieces: totals, sizes, fabrics, days of start and finish."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, field

from stitchlog.diary import headings, names, schema
from stitchlog.diary.reading import sizes
from stitchlog.diary.reading.problems import Wrong, brief
from stitchlog.entry.importing import cells, days, layout
from stitchlog.entry.importing.layout import Layout
from stitchlog.entry.importing.proposal import Cell, LeftOut, Piece, Place
from stitchlog.entry.importing.workbook import Value

_DATES = tuple(c.name for c in schema.PIECES.columns if c.kind == "date")
_NUMBERS = tuple(c.name for c in schema.PIECES.columns if c.kind in ("count", "whole"))


@dataclass(frozen=True)
class Read:
    sheet: str
    pieces: list[Piece]
    left_out: list[LeftOut] = field(default_factory=list)


def day_cells(laid: Layout) -> list[Value]:
    """The cells of a sheet that hold a piece's days."""
    rows = laid.sheet.rows
    columns = [c.at for c in laid.columns if c.meaning in _DATES]
    below = [layout.at(rows, r, i) for r in range(laid.head + 1, len(rows)) for i in columns]
    return below + [layout.at(rows, *cell) for name, cell in laid.about.items() if name in _DATES]


def read(laid: Layout, order: str | None) -> Read:
    """The pieces of a sheet, those with no more than a name too where it is a list of them."""
    rows, name = laid.sheet.rows, laid.sheet.name
    marks = cells.marks_of(v for row in rows for v in row if isinstance(v, str))
    out = Read(name, [])
    if laid.kind == layout.ONE_PIECE:
        if laid.piece and laid.about:
            told = {m: (Place(name, r, c), layout.at(rows, r, c)) for m, (r, c) in laid.about.items()}
            out.pieces.append(Piece(Place(name, 0), laid.piece, _cells(told, order, marks, out.left_out)))
        return out
    column = laid.of("piece")
    if column is None or laid.kind not in (layout.PIECES, layout.BY_DAY):
        return out
    wanted = [c for c in laid.columns if c.meaning in headings.PIECE and c.meaning not in ("piece", "passed_over")]
    head = layout.at(rows, laid.head, column.at)
    for r in range(laid.head + 1, len(rows)):
        piece = layout.at(rows, r, column.at)
        place = Place(name, r, column.at)
        there = [v for v in rows[r] if v != ""]
        if piece == "":
            if there and laid.kind == layout.PIECES:
                out.left_out.append(LeftOut(Place(name, r), cells.shown(there[0]), "the row names no piece"))
            continue
        if headings.is_total(piece):
            if laid.kind == layout.PIECES:
                out.left_out.append(LeftOut(place, str(piece), "a row that adds up others", "total"))
            continue
        if piece == head and sum(layout.at(rows, r, c.at) == layout.at(rows, laid.head, c.at) for c in wanted) > 0:
            continue
        told = {c.meaning: (Place(name, r, c.at), layout.at(rows, r, c.at)) for c in wanted}
        found = _cells(told, order, marks, out.left_out)
        if found or laid.kind == layout.PIECES:
            out.pieces.append(Piece(place, names.tidy(cells.shown(piece)), found))
    return out


def _cells(
    told: dict[str, tuple[Place, Value]], order: str | None, marks: cells.Marks, left_out: list[LeftOut]
) -> dict[str, Cell]:
    out: dict[str, Cell] = {}
    for meaning, (place, value) in told.items():
        if value == "":
            continue
        try:
            found = _one(meaning, value, order, marks)
        except Wrong as fault:
            left_out.append(LeftOut(place, cells.shown(value), fault.reason))
            continue
        out |= {name: cell for name, cell in found.items() if name not in out or name == meaning}
    # Two columns say more than one cell.
    if "width" in out and "height" in out:
        out.pop("size", None)
    return out


def _one(meaning: str, value: Value, order: str | None, marks: cells.Marks) -> dict[str, Cell]:
    """The columns of pieces.csv that one cell fills. Raises Wrong."""
    text = cells.shown(value).strip()
    if text in ("-", "?", "n/a"):
        return {}
    if meaning in _DATES:
        return {meaning: days.read(value, order).isoformat()}
    if meaning == "size":
        both = sizes.size(text)
        if both is None:
            raise Wrong("bad-size", f'"{brief(text)}" is not a width and a height in stitches')
        return {"width": both[0], "height": both[1]}
    if meaning in ("count", "fabric"):
        return _fabric(meaning, text)
    if meaning == "over":
        found = re.search(r"[12]", text)
        return {"over": float(found[0])} if found else {}
    if meaning == "coverage":
        number = cells.number(value, marks)
        return {"coverage": number.value / 100 if number.percent or number.value > 1 else number.value}
    if meaning in _NUMBERS:
        both = sizes.size(text) if meaning == "total" and isinstance(value, str) else None
        if both is not None:
            return {"width": both[0], "height": both[1]}
        number = cells.number(value, marks)
        if number.kind == cells.WORDS or number.percent:
            raise Wrong("bad-number", f'"{brief(text)}" is not a number')
        return {meaning: number.value} if number.kind == cells.NUMBER else {}
    return {meaning: text}


def _fabric(meaning: str, text: str) -> dict[str, Cell]:
    """`28ct over 2` is a count and a way of stitching; `28ct linen` a count and a fabric."""
    said = sizes.count_over(text)
    found = re.search(r"(\d+(?:[.,]\d+)?)\s*-?(?:ct|count)\b", text, re.I) if said is None else None
    if said is None and found is None:
        if meaning == "count":
            raise Wrong("bad-number", f'"{brief(text)}" is not a fabric\'s count')
        return {"fabric": text}
    count, over = said if said is not None else (float(found[1].replace(",", ".")), None)  # type: ignore[index]
    out: dict[str, Cell] = {"count": count}
    late = re.search(r"\bover\s+(1|2|one|two)\b|\bo/?([12])\b", text, re.I)
    if over is None and late:
        over = 1 if (late[1] or late[2]).casefold() in ("1", "one") else 2
    if over:
        out["over"] = float(over)
    rest = re.sub(
        r"\d+(?:[.,]\d+)?\s*-?(?:ct|count)?\b\.?|\bover\s+(?:1|2|one|two)\b|\bo/?[12]\b", " ", text, flags=re.I
    )
    rest = " ".join(rest.split()).strip(" ,;-/")
    if rest and any(c.isalpha() for c in rest):
        out["fabric"] = rest
    return out


def joined(found: Iterable[Piece]) -> list[Piece]:
    """The pieces, each once: what is said of one in several places together, the first saying first."""
    out: dict[str, Piece] = {}
    for piece in found:
        key = names.key_of(piece.piece)
        before = out.get(key)
        out[key] = piece if before is None else Piece(before.place, before.piece, {**piece.cells, **before.cells})
    return list(out.values())
