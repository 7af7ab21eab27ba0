"""Drawings, for pictures alone, of demo pieces whose charts are known by their colours."""

from __future__ import annotations

import math

import numpy as np

from .canvas import Canvas

# Letters of five cells by seven.
_LETTERS = {
    "A": ".###. #...# #...# ##### #...# #...# #...#",
    "D": "####. #...# #...# #...# #...# #...# ####.",
    "I": ".###. ..#.. ..#.. ..#.. ..#.. ..#.. .###.",
    "J": "..### ...#. ...#. ...#. ...#. #..#. .##..",
    "L": "#.... #.... #.... #.... #.... #.... #####",
    "M": "#...# ##.## #.#.# #.#.# #...# #...# #...#",
    "N": "#...# ##..# ##..# #.#.# #..## #..## #...#",
    "P": "####. #...# #...# ####. #.... #.... #....",
    "S": ".#### #.... #.... .###. ....# ....# ####.",
    "T": "##### ..#.. ..#.. ..#.. ..#.. ..#.. ..#..",
    "U": "#...# #...# #...# #...# #...# #...# .###.",
    "W": "#...# #...# #...# #.#.# #.#.# ##.## #...#",
}


def _write(c: Canvas, text: str, left: int, top: int, scale: int, code: str) -> None:
    for number, letter in enumerate(text):
        for y, row in enumerate(_LETTERS[letter].split()):
            for x, mark in enumerate(row):
                if mark == "#":
                    at = left + (number * 6 + x) * scale, top + y * scale
                    c.cells[at[1] : at[1] + scale, at[0] : at[0] + scale] = code


def snail() -> np.ndarray:
    """A snail with a letter on its back."""
    c = Canvas(40, 32)
    c.fill(c.oval(19, 26, 16, 3.2) | c.shape((30, 26), (33, 14), (37, 15), (36, 28)), "E18")
    c.fill(c.line(34, 15, 32, 8, 1) | c.line(36, 15, 38, 8, 1), "E09")
    shell = c.fill(c.oval(16, 17, 11, 10), "E18")
    turn = np.arctan2(c.y - 17, c.x - 16)
    away = np.hypot((c.x - 16) / 11, (c.y - 17) / 10)
    c.fill(shell & (((away * 3.1 - turn / (2 * math.pi)) % 1) < 0.34), "E09")
    c.fill(c.box(6, 3, 24, 13), "B07")
    c.fill(c.line(6, 3, 15, 9, 0.8) | c.line(24, 3, 15, 9, 0.8), "N13")
    c.fill(c.box(19, 9, 23, 12), "R04")
    c.fill(c.box(2, 29, 38, 31) & (np.floor(c.x) % 3 > 0), "R04")
    return c.cells


def kingfisher() -> np.ndarray:
    """A kingfisher on a branch over the river, tall and narrow."""
    c = Canvas(26, 110)
    for edge in (c.box(0, 0, 1, 110) | c.box(25, 0, 26, 110), c.box(0, 0, 26, 1) | c.box(0, 109, 26, 110)):
        c.fill(edge, "B14")
    c.fill(c.line(2, 62, 24, 58, 2.2), "N16")
    c.fill(c.oval(13, 46, 6.6, 11, 12), "O05")
    c.fill(c.shape((16, 34), (21, 44), (17, 66), (14, 66), (13, 44)), "B12")
    c.fill(c.oval(11, 32, 6.6, 6), "B12")
    c.fill(c.oval(8, 35, 2.6, 1.8), "O05")
    c.fill(c.oval(14, 36, 2.2, 1.6), "N01")
    c.fill(c.shape((6, 30), (6, 33), (1, 34)) | c.oval(8.5, 31, 1.2, 1.2), "N16")
    c.sprinkle(c.oval(11, 29, 5.6, 3) | c.shape((16, 38), (20, 44), (17, 54), (15, 44)), "B14", 4)
    for y in range(74, 108, 4):
        wave = np.abs(c.y - y - 1.3 * np.sin(c.x / 2.6 + y)) < 0.9
        c.fill(wave & c.box(2, 70, 24, 108), ("G25", "B14", "B12")[y // 4 % 3])
    for x, top in ((4, 8), (7, 14), (21, 6)):
        c.fill(c.line(x, top, x + 1.5, 27, 1.1), "G25")
    return c.cells


def sampler() -> np.ndarray:
    """SALT WIND in a border of waves, with gulls and a boat."""
    c = Canvas(150, 190)
    for inset, code in ((0, "B14"), (2, "B21"), (13, "B14")):
        high = c.box(inset, inset, 150 - inset, 190 - inset) & ~c.box(inset + 1, inset + 1, 149 - inset, 189 - inset)
        c.fill(high, code)
    band = c.box(4, 4, 146, 186) & ~c.box(12, 12, 138, 178)
    c.fill(band & (np.abs((c.x + c.y) % 12 - 6) < 1.6 + 0.25 * np.abs((c.x - c.y) % 8 - 4)), "B27")
    c.fill(band & ((np.floor(c.x) + np.floor(c.y)) % 12 == 0), "G28")
    _write(c, "SALT", 29, 24, 4, "B14")
    _write(c, "WIND", 29, 60, 4, "B21")
    for x, y in ((30, 98), (108, 94), (88, 102), (52, 106)):  # gulls, seven stitches each
        for dx, dy in ((-3, 1), (-2, 0), (-1, 0), (0, 1), (1, 0), (2, 0), (3, 1)):
            c.cells[y + dy, x + dx] = "N07"
    c.fill(c.shape((48, 134), (102, 134), (94, 146), (56, 146)), "R08")
    c.fill(c.box(73, 104, 75, 134), "E06")
    c.fill(c.shape((77, 106), (98, 131), (77, 131)), "N07")
    c.fill(c.shape((71, 110), (71, 131), (54, 131)), "B27")
    sea = c.box(15, 146, 135, 175)
    c.fade(sea & ((c.y - 146 + 2 * np.sin(c.x / 4)) % 6 < 4), ["B27", "B21", "B14"], (c.y - 146) / 29)
    c.fill(c.box(18, 138, 40, 146) & c.oval(28, 147, 14, 9), "E06")
    return c.cells


def jam() -> np.ndarray:
    """A label: PLUM JAM between two plums."""
    c = Canvas(54, 42)
    c.fill((c.box(0, 0, 54, 42) & ~c.box(2, 2, 52, 40)) & ((np.floor(c.x) + np.floor(c.y)) % 3 > 0), "R15")
    _write(c, "PLUM", 4, 6, 2, "R15")
    _write(c, "JAM", 11, 25, 2, "V12")
    for x in (4, 47):
        c.fill(c.oval(x + 1.5, 32, 3.6, 4), "V12")
        c.fill(c.oval(x + 0.4, 31, 0.9, 1.3), "N13")
        c.fill(c.line(x + 1.5, 28, x + 3.5, 24, 1), "G02")
        c.fill(c.oval(x + 4, 25, 2, 1.1, -20), "G11")
    return c.cells


def patchwork() -> np.ndarray:
    """Sixteen allotment beds, every cell stitched."""
    c = Canvas(80, 80)
    beds = (
        "G05",
        "E09",
        "G11",
        "R26",
        "G15",
        "Y06",
        "E09",
        "G05",
        "V08",
        "G11",
        "N01",
        "E09",
        "E09",
        "R26",
        "G15",
        "Y06",
    )
    crops = (
        "G11",
        "G05",
        "Y06",
        "G15",
        "V08",
        "R26",
        "R26",
        "N01",
        "G05",
        "E09",
        "V08",
        "G15",
        "Y06",
        "G11",
        "R26",
        "G05",
    )
    for number, (bed, crop) in enumerate(zip(beds, crops, strict=True)):
        x, y = number % 4 * 20, number // 4 * 20
        own = c.fill(c.box(x, y, x + 20, y + 20), bed)
        rows = (c.y - y) % 6 if number % 2 else (c.x - x) % 6
        along = (c.x - x) % 5 if number % 2 else (c.y - y) % 5
        c.fill(own & (np.hypot(rows - 3, along - 2.5) < 1.9 + number % 3 * 0.35), crop)
        c.fill(own & ~c.box(x + 1, y + 1, x + 19, y + 19), "E09")
    return c.cells


def beetles() -> np.ndarray:
    """Nine beetles in a cabinet, every cell stitched."""
    c = Canvas(56, 56)
    c.fill(c.box(0, 0, 56, 56), "E12")
    looks = ("G25", "B14", "V12", "Y13", "R12", "G25", "B14", "Y13", "V12")
    for number, code in enumerate(looks):
        x, y = 9.5 + number % 3 * 18.5, 9.5 + number // 3 * 18.5
        c.fill(c.box(x - 8, y - 8, x + 8, y + 8), "B27")
        for side in (-1, 1):
            for low in (-3, 1, 5):
                c.fill(c.line(x, y + low - 1, x + side * 6.6, y + low + (low - 1) * 0.4, 0.9), "N16")
            c.fill(c.line(x, y - 5, x + side * 3, y - 7.5, 0.8), "N16")
        c.fill(c.oval(x, y + 1, 4.4, 5.8), code)
        c.fill(c.oval(x, y - 4.4, 3, 2.4), "N16")
        c.fill(c.box(x - 0.5, y - 3, x + 0.5, y + 7), "N16")
        c.fill(c.oval(x - 2, y - 0.5, 0.9, 1.6), "Y13" if code != "Y13" else "R12")
    return c.cells


DRAWN = {f.__name__: f for f in (snail, kingfisher, sampler, jam, patchwork, beetles)}
