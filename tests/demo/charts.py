"""The charts of the demo pieces: which colour every stitch has, and in which order they are worked."""

from __future__ import annotations

from dataclasses import dataclass
from random import Random

from .story import Piece

ROUGH = {"otter": (19400, "B14 9, B12 8, B07 7, B21 6, G11 8, G15 6, G09 8, G34 7, E09 10, E12 6, E15 4, E06 5, E18 6, N01 3, N16 2, N10 2, Y16 3"),
"harbour": (90000, "B03 9, B07 9, B10 9, B21 8, B30 8, B14 7, B18 6, O14 6, O02 6, Y19 6, Y10 2, N01 3, N04 4, N13 4, R12 3, E12 4, V15 4, V04 2"),
"pears": (1912, "Y06 5, G05 22, G09 20, Y16 8, O05 6, E15 5, G11 12"),
"moth": (4820, "N19 20, E18 14, E15 12, Y03 14, Y16 12, Y10 6, V15 8, B24 4, N01 6, E24 4"),
"owl": (2614, "E21 20, E18 16, E12 12, N22 12, Y10 6, N16 6, B27 10, N01 8"),
"teapot": (3370, "B14 22, B12 18, B07 12, N01 12, N04 10, B21 14, Y10 4, B27 8"),
"fox": (9480, "O05 22, O08 14, O11 6, N01 22, B03 12, N16 5, G18 9, G15 6, V15 4"),
"rowan": (5380, "R08 1")}

@dataclass(frozen=True)
class Chart:
    order: list[str]
    cells: list | None = None

def chart(piece: Piece) -> Chart:
    total, palette = ROUGH[piece.motif] if piece.motif else (piece.total, piece.palette)
    return Chart(order_from_palette(total, palette, piece.name))

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
