"""The charts of the demo pieces: which colour every stitch has, and in which order they are worked."""

from __future__ import annotations

from dataclasses import dataclass
from random import Random

import numpy as np

from . import motifs, small_motifs
from .story import Piece

PAGE = (60, 75)  # cells of a chart's page, across and down
BLOCK = 10
WAYS = {"harbour": "pages", "rowan": "around"}  # how a piece is worked; the others from the middle outwards


@dataclass(frozen=True)
class Chart:
    """`order`: the code of every stitch as it is worked; `place`: its (row, column), where the chart is drawn."""

    order: list[str]
    place: np.ndarray | None = None


def chart(piece: Piece) -> Chart:
    """The chart as it is worked: drawn, or known by its colours alone."""
    drawn = drawing(piece)
    return drawn if drawn and not piece.palette else Chart(order_from_palette(piece.total, piece.palette, piece.name))


def drawing(piece: Piece) -> Chart | None:
    """What the pictures of a piece show; None where it is never photographed."""
    if not piece.motif:
        return None
    cells = (motifs.DRAWN | small_motifs.DRAWN)[piece.motif]()
    if cells.shape != (piece.height, piece.width):
        raise ValueError(f"{piece.name}: the drawing is {cells.shape}, the piece says {(piece.height, piece.width)}")
    place = _working_order(cells, WAYS.get(piece.motif, "middle"))
    return Chart([str(cells[row, column]) for row, column in place], place)


def _working_order(cells: np.ndarray, way: str) -> np.ndarray:
    """Page by page, around the frame or from the middle outwards; block of ten by block of ten, colour by colour."""
    rows, columns = np.nonzero(cells != "")
    down, across = rows // BLOCK, columns // BLOCK
    y, x = down - (cells.shape[0] / BLOCK - 1) / 2, across - (cells.shape[1] / BLOCK - 1) / 2
    if way == "pages":
        block = (rows // PAGE[1] * 1000 + columns // PAGE[0]) * 10_000 + down * 100 + across
    elif way == "around":  # clockwise from the top left corner
        block = np.round(((np.arctan2(y, x) + 0.75 * np.pi) % (2 * np.pi)) * 1e6).astype(int)
    else:
        block = np.round(y**2 + x**2).astype(int) * 10_000 + down * 100 + across
    _, code = np.unique(cells[rows, columns], return_inverse=True)
    return np.stack([rows, columns], axis=1)[np.lexsort((columns, rows, code, block))]


def order_from_palette(total: int, palette: str, name: str) -> list[str]:
    """A chart known only by its colours: every code as often as its weight says, in runs, in blocks of a hundred."""
    shares = {code: float(weight) for code, weight in (item.split() for item in palette.split(", "))}
    scale = total / sum(shares.values())
    counts = {code: int(weight * scale) for code, weight in shares.items()}
    counts[next(iter(counts))] += total - sum(counts.values())
    draw = Random(name).random
    runs: list[tuple[float, str, int]] = []
    for number, (code, count) in enumerate(counts.items()):
        middle = number / len(counts)
        while count > 0:
            run = min(count, 3 + int(30 * draw()))
            place = draw() * 0.8 + middle * 0.2
            runs.append((place, code, run))
            count -= run
    runs.sort()
    return [code for _, code, run in runs for _ in range(run)]


def order_of_row(row: dict[str, str]) -> list[str]:
    """The stitches of a chart in the drawer that says its colours."""
    total = row["total"] or int(row["width"]) * int(row["height"]) * float(row["coverage"])
    return order_from_palette(int(total), row["palette"], row["piece"])
