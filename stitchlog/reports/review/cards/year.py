"""Cards of a year: its months side by side, its records, its finishes in pictures."""

from __future__ import annotations

import math

from stitchlog import words
from stitchlog.diary.frames import each_record, each_row
from stitchlog.render import lettering, theme
from stitchlog.render.card import Card
from stitchlog.reports.review.cards import parts, sheets
from stitchlog.reports.review.cards.parts import SMALL, TITLES, Facts, Row
from stitchlog.reports.review.recap import Recap

_RECORDS = {
    "day": "Best day",
    "month": "Best month",
    "streak": "Longest streak",
    "session": "Longest session",
}
# What one cross of a month may stand for, in stitches.
_UNITS = (1, 2, 5, 10, 20, 50, 100, 200, 500, 1_000, 2_000, 5_000, 10_000, 20_000, 50_000)


def months(recap: Recap) -> Facts | None:
    """The months of the year, and its figures."""
    if recap.year is None or recap.months.empty:
        return None
    year = recap.months
    figures = [(words.number(year["stitches"].sum()), "stitches")]
    if year["minutes"].notna().any():
        figures.append((words.duration(round(year["minutes"].sum() / 60) * 60), "timed"))
    figures.append((words.number(year["starts"].sum()), "started"))
    figures.append((words.number(year["finishes"].sum()), "finished"))
    if not math.isnan(recap.thread_metres):
        figures.append((f"{words.number(recap.thread_metres)} m", "of thread"))
    return Facts(recap.year.name, figures=tuple(figures))


def draw_months(recap: Recap, facts: Facts, size: str) -> Card:
    """A column of crosses a month, over the figures of the year."""
    card, y = parts.begin(size, "Month by month")
    y = card.block(card.margin, y, facts.title, card.inner, 200, TITLES[1:], bold=True) + 20
    floor = card.height - card.margin - 150
    figures = facts.figures
    if size != "wide" and len(figures) > 3:
        parts.draw_figures(card, figures[:2], card.margin, floor - 150, card.inner)
        parts.draw_figures(card, figures[2:], card.margin, floor, card.inner)
        floor -= 150
    else:
        parts.draw_figures(card, figures, card.margin, floor, card.inner)
    floor -= 130
    most = recap.months["stitches"].max()
    across = card.inner / len(recap.months)
    wide = 3
    cell = min(across / (wide + 0.6), 60.0)
    unit = next((u for u in _UNITS if math.ceil(most / u / wide) * cell <= floor - y), _UNITS[-1])
    for i, row in enumerate(each_record(recap.months)):
        left = card.margin + i * across
        number = round(max(row["stitches"], 0) / unit)
        high = math.ceil(number / wide)
        # The top row may be half full; the others are full.
        kinds = "x" * number
        for level in range(high):
            card.crosses(left, floor - (level + 1) * cell, cell, wide, kinds[level * wide : (level + 1) * wide])
        name = words.month(row["month"], year=False)[: 3 if lettering.width("Mmm", SMALL) < across else 1]
        card.text(left + 4, floor + 42, name, SMALL, theme.QUIET)
    card.text(card.margin, floor + 94, f"a cross for {words.count(unit, 'stitch', 'stitches')}", SMALL, theme.QUIET)
    return card


def records(recap: Recap) -> Facts | None:
    """The records of the year, each with what it was."""
    if recap.year is None or recap.records.empty:
        return None
    rows = list(each_record(recap.records))
    beside = tuple(_record(row) for row in rows)
    return Facts("Records", rows=tuple(_RECORDS[row["record"]] for row in rows), beside=beside, marks="x" * len(rows))


def _record(row: Row) -> str:
    if row["unit"] == "minutes":
        value = words.duration(row["value"])
    else:
        value = words.count(row["value"], *{"stitches": ("stitch", "stitches"), "days": ("day", "days")}[row["unit"]])
    when = words.month(row["first"], year=False) if row["record"] == "month" else words.day(row["last"], year=False)
    return f"{value}, {'to ' if row['record'] == 'streak' else ''}{when}"


def finishes(recap: Recap) -> Facts | None:
    """The finishes of the year."""
    if recap.year is None or recap.finishes.empty:
        return None
    rows = tuple(f"{row.piece} ({words.day(row.finished, year=False)})" for row in each_row(recap.finishes))
    return Facts(words.count(len(rows), "finish", "finishes"), (recap.year.name,), rows=rows)


def draw_finishes(recap: Recap, facts: Facts, size: str) -> Card:
    """Every finish with its last picture and its day."""
    tiles = [
        sheets.Tile(row["piece"], words.day(row["finished"], year=False), row["photo"], "x" * 100)
        for row in each_record(recap.finishes)
    ]
    return sheets.draw_tiles(recap, tiles, facts.title, facts.below[0], size)
