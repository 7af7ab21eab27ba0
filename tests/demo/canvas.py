"""A chart grid to draw on: every cell holds a colour code, or nothing where the cloth stays bare.

Shapes are tested at the middle of each cell with plain arithmetic, so that a chart is the same on every machine.
"""

from __future__ import annotations

import math

import numpy as np

# Ordered dither, 4 x 4 (Bayer's index matrix): spreads two colours evenly, as a chart does where a sky fades.
_BAYER = np.array([[0, 8, 2, 10], [12, 4, 14, 6], [3, 11, 1, 9], [15, 7, 13, 5]])


class Canvas:
    """`cells[y, x]` with y downwards. Each method paints over what was there; `where` narrows it to a mask."""

    def __init__(self, width: int, height: int, scale: float = 1.0) -> None:
        """`scale` cells a unit: a drawing made for 120 x 140 units fits 90 x 105 cells at 0.75."""
        self.width, self.height = width, height
        self.cells = np.full((height, width), "", dtype="<U3")
        self.y, self.x = (np.mgrid[0:height, 0:width] + 0.5) / scale

    def fill(self, mask: np.ndarray, code: str) -> np.ndarray:
        self.cells[mask] = code
        return mask

    def oval(self, cx: float, cy: float, rx: float, ry: float, turn: float = 0.0) -> np.ndarray:
        """Mask of an ellipse, turned by `turn` degrees clockwise."""
        c, s = math.cos(math.radians(turn)), math.sin(math.radians(turn))
        dx, dy = self.x - cx, self.y - cy
        return ((dx * c + dy * s) / rx) ** 2 + ((dy * c - dx * s) / ry) ** 2 < 1.0

    def shape(self, *points: tuple[float, float]) -> np.ndarray:
        """Mask of a polygon (even-odd rule)."""
        inside = np.zeros(self.cells.shape, dtype=bool)
        for (x1, y1), (x2, y2) in zip(points, points[1:] + points[:1], strict=True):
            if y1 == y2:
                continue
            crosses = (y1 > self.y) != (y2 > self.y)
            inside ^= crosses & (self.x < (x2 - x1) * (self.y - y1) / (y2 - y1) + x1)
        return inside

    def line(self, x1: float, y1: float, x2: float, y2: float, thick: float = 1.0) -> np.ndarray:
        """Mask of a straight stroke with round ends."""
        dx, dy = x2 - x1, y2 - y1
        along = np.clip(((self.x - x1) * dx + (self.y - y1) * dy) / (dx * dx + dy * dy), 0.0, 1.0)
        away = (self.x - x1 - along * dx) ** 2 + (self.y - y1 - along * dy) ** 2
        return away <= (thick / 2) ** 2 + 0.05

    def box(self, x1: float, y1: float, x2: float, y2: float) -> np.ndarray:
        return (self.x > x1) & (self.x < x2) & (self.y > y1) & (self.y < y2)

    def fade(self, mask: np.ndarray, codes: list[str], amount: np.ndarray) -> None:
        """Paint `mask` with a row of colours: `amount` from 0 (the first) to 1 (the last), dithered in between."""
        level = np.clip(amount, 0.0, 0.9999) * (len(codes) - 1)
        low = level.astype(int)
        threshold = (
            np.tile(_BAYER, (self.height // 4 + 1, self.width // 4 + 1))[: self.height, : self.width] + 0.5
        ) / 16
        index = low + (level - low > threshold)
        self.cells[mask] = np.array(codes)[index][mask]

    def sprinkle(self, mask: np.ndarray, code: str, one_in: int, salt: int = 0) -> None:
        """Single stitches scattered over `mask`, about one cell in `one_in`."""
        x, y = np.floor(self.x).astype(np.int64), np.floor(self.y).astype(np.int64)
        scatter = (x * 374761393 + y * 668265263 + salt * 974634421) & 0xFFFFFFFF
        scatter = ((scatter ^ (scatter >> 13)) * 1274126177) & 0xFFFFFFFF
        self.cells[mask & ((scatter ^ (scatter >> 16)) % one_in == 0)] = code
