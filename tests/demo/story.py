"""The invented stitcher of the demo diary: her pieces, and the days between which she stitches. All made up."""

from __future__ import annotations

import csv
from collections.abc import Iterator
from dataclasses import dataclass, fields
from datetime import date
from pathlib import Path

# What is written and not drawn: pieces, charts waiting, settings, notes, and the tables that are kept as they are.
BY_HAND = Path(__file__).parent / "by_hand"
TABLES = ("events.csv", "prompts.csv", "threads.csv", "fabrics.csv", "goals.csv", "bought.csv")


def by_hand(name: str) -> list[dict[str, str]]:
    """The rows of a table in by_hand/."""
    with (BY_HAND / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def day(text: str) -> date:
    return date.fromisoformat(text)


FIRST_DAY = day("2025-01-01")
LAST_DAY = day("2026-10-31")


@dataclass(frozen=True)
class Piece:
    """One row of by_hand/pieces.csv: what data_demo/pieces.csv will say, and how the stitcher is drawn to the piece.

    palette: "code weight, code weight"; empty where `motif`, a drawing, gives the chart and is not for the pictures
    alone. pull: (from, weight), the last one holds. extras: any of fractions, backstitch, knots, beads, so_far,
    minutes_only. by_coverage: the total is left out and follows from width, height and coverage. photos: months or
    days (or "first", "finish") of which the last session has a picture; with a `+` the diary does not name it.
    """

    name: str
    total: int
    width: int
    height: int
    count: int
    over: int
    strands: int
    fabric: str
    fabric_colour: str
    tags: str
    palette: str
    pull: tuple[tuple[str, float], ...]
    done_before: int
    started: str
    set_aside: str
    due: str
    want: str
    motif: str
    extras: str
    by_coverage: bool
    planned_start: str
    chart_known: bool
    photos: tuple[str, ...]
    pages: str
    design_by: str
    chart_from: str
    fabric_from: str
    threads_from: str
    made_up: str


def _pieces() -> Iterator[Piece]:
    for row in by_hand("pieces.csv"):
        numbers = {f.name: int(row[f.name] or 0) for f in fields(Piece) if f.type == "int"}
        pull = tuple((since, float(weight)) for since, weight in (p.split(":") for p in row["pull"].split()))
        yield Piece(
            **row
            | numbers
            | {"pull": pull, "photos": tuple(row["photos"].split())}
            | {name: row[name] == "yes" for name in ("by_coverage", "chart_known")}
        )


PIECES = tuple(_pieces())
