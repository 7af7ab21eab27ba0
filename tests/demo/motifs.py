"""The small drawn charts of the demo: one function a piece, each returns its grid of colour codes."""

from __future__ import annotations

import math

import numpy as np

from .canvas import Canvas
from .scenes import harbour, otter


def pears() -> np.ndarray:
    """Three pears in a row."""
    c = Canvas(84, 56)
    looks = ((16, ["Y03", "Y06", "G05", "G09"]), (42, ["Y06", "Y16", "O05", "O08"]), (68, ["G02", "G05", "G09", "G11"]))
    for x, colours in looks:
        top = 3 if x == 42 else 6
        body = (
            c.oval(x, 37, 12.6, 12.4)
            | c.oval(x, 22 + top / 3, 6.6, 9.5)
            | c.shape((x - 6.4, 23), (x + 6.4, 23), (x + 11, 32), (x - 11, 32))
        )
        light = ((c.x - x + 5) / 20) ** 2 + ((c.y - 32) / 24) ** 2
        c.fade(body, colours, light * 1.25)
        c.fill(body & c.oval(x - 5.5, 33, 1.6, 4, 15), "N01")
        c.sprinkle(body & (c.x > x), "E15", 19, salt=x)
        c.fill(c.line(x, 15, x + 2, 7 + top / 3, 1.7), "E15")
        c.fill(c.oval(x + 8, 9 + top / 3, 6.4, 2.9, -24), "G11")
        c.fill(c.line(x + 3, 11 + top / 3, x + 12, 7 + top / 3, 0.9), "G02")
    shadow = (c.oval(16, 50, 14, 2) | c.oval(42, 50, 14, 2) | c.oval(68, 50, 14, 2)) & (c.cells == "")
    c.fill(shadow, "N19")
    c.fill(c.box(1, 52, 83, 53), "E18")
    return c.cells


def moth() -> np.ndarray:
    """A moth under a crescent moon, the same left and right."""
    c = Canvas(110, 110)
    crescent = c.oval(55, 24, 17, 17) & ~c.oval(55, 17.5, 16.5, 15.5)
    c.fade(crescent, ["Y03", "Y16"], np.abs(c.x - 55) / 17)
    for side in (-1, 1):
        x = 55
        hind = c.oval(x + side * 21, 84, 19, 14, side * 38)
        c.fade(hind, ["E18", "N19", "Y16", "E15"], (((c.x - x - side * 21) / 21) ** 2 + ((c.y - 84) / 18) ** 2))
        fore = c.oval(x + side * 27, 60, 28, 13.5, side * -24)
        c.fade(fore, ["N19", "E18", "E15", "E24"], np.abs(c.x - x) / 52)
        c.fill(fore & (np.abs(np.hypot(c.x - x, c.y - 78) - 34) < 1.3), "Y03")
        c.fill(fore & (np.abs(np.hypot(c.x - x, c.y - 78) - 43) < 1.0), "N01")
        for cx, cy, r in ((27, 58, 6.5), (20, 84, 5.5)):
            c.fill(c.oval(x + side * cx, cy, r, r), "E24")
            c.fill(c.oval(x + side * cx, cy, r - 1.8, r - 1.8), "Y10")
            c.fill(c.oval(x + side * cx, cy, r - 3.6, r - 3.6), "B24")
            c.fill(c.box(x + side * cx - 1, cy - 2, x + side * cx + 0.6, cy - 0.6), "N01")
        for step in range(14):
            ax = x + side * (3 + step * 1.1)
            ay = 48 - step * 1.15 - 3 * math.sin(step / 4)
            c.fill(c.oval(ax, ay, 0.9, 0.9), "Y16")
            c.fill(c.oval(ax + side * 1.8, ay + 1.2, 0.6, 0.6), "Y16")
    c.fill(c.oval(55, 74, 5.5, 22), "E18")
    c.fill(c.oval(55, 74, 5.5, 22) & (np.floor(c.y) % 5 < 2) & (c.y > 64), "E24")
    c.fill(c.oval(55, 56, 6.5, 8), "N19")
    c.fill(c.oval(55, 50, 4, 3.6), "E15")
    for x, y in (
        (14, 14),
        (92, 10),
        (30, 32),
        (84, 36),
        (12, 92),
        (98, 94),
        (38, 8),
        (72, 4),
        (6, 46),
        (104, 50),
        (28, 104),
        (82, 104),
    ):
        c.fill(c.line(x, y - 2, x, y + 3, 1) | c.line(x - 2, y + 0.5, x + 3, y + 0.5, 1), "V04")
    edge = (np.minimum(np.minimum(c.x, 110 - c.x), np.minimum(c.y, 110 - c.y)) < 1) & (
        (np.floor(c.x) + np.floor(c.y)) % 4 < 2
    )
    c.fill(edge, "V15")
    return c.cells


def owl() -> np.ndarray:
    """A little owl on a branch, wide awake."""
    c = Canvas(72, 84)
    c.fill(c.oval(57, 14, 11, 11) & ~c.oval(52, 11, 10, 10), "Y06")
    c.fill(c.shape((18, 22), (21, 8), (33, 18)) | c.shape((52, 22), (49, 8), (37, 18)), "E12")
    body = c.oval(35, 46, 20, 27)
    c.fade(body, ["E21", "E09", "E12"], np.abs(c.x - 35) / 22)
    belly = c.fill(c.oval(35, 54, 13, 18), "N22")
    scallop = (np.floor(c.y) % 6 < 2) & (np.abs((c.x + 4 * (np.floor(c.y) // 6 % 2)) % 8 - 4) < 2.6)
    c.fill(belly & scallop & (c.y > 44), "E18")
    for x in (27, 43):
        c.fill(c.oval(x, 28, 9.4, 9.4), "N22")
        c.fill(c.oval(x, 28, 7.2, 7.2), "Y10")
        c.fill(c.oval(x, 28, 4.6, 4.6), "N16")
        c.fill(c.oval(x + 1.7, 26.2, 1.3, 1.3), "N01")
    c.fill(c.shape((32, 33), (38, 33), (35, 41)), "O05")
    for side in (-1, 1):
        wing = c.oval(35 + side * 17, 52, 6, 19, side * -8)
        c.fill(wing, "E12")
        c.fill(wing & (np.floor(c.y) % 5 == 0), "E21")
    c.fill(c.line(2, 76, 70, 72, 4.6), "E15")
    c.fill(c.line(2, 75, 70, 71, 1.4), "E18")
    c.fill(c.line(58, 72, 66, 62, 2), "E15")
    c.fill(c.oval(67, 60, 4.4, 2.3, -50) | c.oval(61, 64, 4, 2, -15), "G15")
    c.fill(c.oval(10, 71, 4.6, 2.2, 24), "G15")
    for x in (28, 42):
        for d in (-3, 0, 3):
            c.fill(c.oval(x + d, 73, 1.3, 2.6), "O05")
    for x, y in ((8, 10), (16, 4), (6, 30), (66, 36), (62, 46), (40, 4), (9, 50), (13, 62)):
        c.fill(c.line(x, y - 1, x, y + 2, 1) | c.line(x - 1, y + 0.5, x + 2, y + 0.5, 1), "B27")
    return c.cells


def teapot() -> np.ndarray:
    """A blue teapot whose steam is the cloud and whose tea is the rain."""
    c = Canvas(88, 92)
    cloud = c.oval(44, 15, 24, 9) | c.oval(30, 13, 12, 9) | c.oval(52, 9, 13, 8.5) | c.oval(64, 16, 13, 7)
    c.fade(cloud, ["N01", "N04", "B07", "B10"], (c.y - 2) / 22)
    for x, shift in ((38, 0.0), (46, 1.6)):
        steam = (np.abs(c.x - x - 3.2 * np.sin(c.y / 4 + shift)) < 1.1) & (c.y > 24) & (c.y < 40)
        c.fill(steam, "B07")
    ring = c.oval(74, 62, 12, 14) & ~c.oval(73, 62, 7.6, 9.4)
    c.fade(ring, ["B12", "B14", "B18"], (c.y - 48) / 28)
    c.fade(c.shape((20, 74), (20, 60), (7, 47), (2, 48), (4, 52)), ["B07", "B12", "B14"], (c.x - 2) / 18)
    body = c.oval(44, 66, 27, 20)
    c.fade(body, ["B07", "B12", "B12", "B14", "B18"], ((c.x - 34) / 40) ** 2 + ((c.y - 58) / 34) ** 2)
    c.fill(body & (c.y > 60) & (c.y < 72), "N01")
    c.fill(body & (((c.y > 60) & (c.y < 61)) | ((c.y > 71) & (c.y < 72))), "B21")
    for x in range(22, 72, 9):
        bloom = (c.oval(x, 66, 2.6, 1.2) | c.oval(x, 66, 1.2, 2.6)) & body
        c.fill(bloom, "B27")
        c.fill(c.box(x - 0.6, 65.4, x + 0.9, 66.9) & body, "Y10")
        c.fill(c.oval(x + 4.5, 66.5, 1.2, 1.2) & body, "G09")
    c.fill(c.box(30, 84, 58, 88), "B18")
    c.fade(c.oval(44, 47, 15, 4.6), ["B07", "B12", "B14"], (c.x - 29) / 30)
    c.fill(c.oval(44, 41.5, 3.2, 3), "Y10")
    c.fill(c.oval(35, 56, 5, 1.8, -24), "N01")
    for x, y in ((4, 58), (1.5, 64), (6.5, 66), (3.5, 73), (8, 76), (1.5, 80), (5.5, 84)):
        c.fill(c.oval(x, y, 0.9, 2.2), "B12")
    c.fill(c.box(10, 88, 78, 89.2) | c.box(16, 90, 72, 91.2), "E18")
    return c.cells


def fox() -> np.ndarray:
    """A fox sitting in the snow between firs, on dark cloth."""
    c = Canvas(90, 105, scale=0.75)
    c.fade(c.oval(92, 22, 13, 13), ["Y03", "N22", "B03"], ((c.x - 86) / 20) ** 2 + ((c.y - 16) / 20) ** 2)
    for x, foot, k in ((14, 112, 1.0), (106, 116, 1.15), (32, 100, 0.6)):
        c.fill(c.box(x - 2 * k, foot - 6 * k, x + 2 * k, foot + 3), "E15")
        for tier, (top, wide) in enumerate(((66, 9), (50, 12), (32, 14.5))):
            y = foot - top * k
            c.fill(
                c.shape((x, y - 8 * k), (x + wide * k, y + 24 * k), (x - wide * k, y + 24 * k)),
                "G25" if tier % 2 else "G15",
            )
            c.fill(c.shape((x, y - 8 * k), (x + 0.45 * wide * k, y + 6 * k), (x - wide * 0.45 * k, y + 6 * k)), "B03")
    ground = c.y > 112 + 5 * np.sin(c.x / 17) + 2 * np.sin(c.x / 6)
    c.fade(ground, ["N01", "N01", "B03", "B07"], (c.y - 110) / 34)
    tail = c.oval(84, 106, 10, 24, 40) | c.oval(74, 118, 16, 8, -8)
    c.fade(tail, ["O05", "O05", "O08"], (c.y - 84) / 38)
    c.fill(tail & c.oval(97, 90, 10, 10), "N01")
    c.fade(c.oval(58, 98, 19, 30), ["O05", "O05", "O08"], np.abs(c.x - 58) / 20)
    c.fill(c.shape((47, 72), (69, 72), (64, 104), (58, 112), (52, 104)), "N01")
    c.sprinkle(c.shape((47, 72), (69, 72), (64, 104), (58, 112), (52, 104)), "B03", 4)
    for x in (51, 65):
        c.fill(c.line(x, 104, x, 124, 7.6), "O05")
        c.fill(c.line(x, 117, x, 125, 7.8), "E24")
        c.fill(c.oval(x, 127, 5, 2.6), "E24")
    _fox_head(c)
    c.sprinkle((c.cells == "") & (c.y < 108), "N01", 97, salt=5)
    return c.cells


def _fox_head(c: Canvas) -> None:
    for side in (-1, 1):
        x = 58
        c.fill(c.shape((x + side * 6, 50), (x + side * 24, 22), (x + side * 27, 56)), "O08")
        c.fill(c.shape((x + side * 11, 48), (x + side * 22.4, 30), (x + side * 24, 52)), "E24")
    c.fill(c.shape((32, 50), (44, 42), (72, 42), (84, 50), (89, 64), (70, 78), (58, 84), (46, 78), (27, 64)), "O05")
    c.fill(
        c.shape((27, 64), (42, 60), (55, 72), (58, 84), (46, 78))
        | c.shape((89, 64), (74, 60), (61, 72), (58, 84), (70, 78)),
        "N01",
    )
    c.fade(c.shape((51, 42), (65, 42), (61, 72), (58, 74), (55, 72)), ["O08", "O05", "O11"], (c.y - 42) / 30)
    c.fill(c.oval(58, 79, 3.8, 3), "N16")
    c.fill(c.box(57, 77, 58, 78), "N04")
    for x in (46, 70):
        c.fill(c.oval(x, 60, 3.4, 2.9), "N16")
        c.fill(c.box(x, 58, x + 1, 59), "N01")


def rowan() -> np.ndarray:
    """A square border of rowan leaves and berries, in one colour around bare cloth."""
    side, band = 150, 26
    frame = np.zeros((side, side), dtype=bool)
    strip = _rowan_side(side - band, band)
    for _ in range(4):  # each side with the corner at its beginning, turned a quarter
        frame[:band, : side - band] |= strip
        frame = np.rot90(frame)
    return np.where(frame, "R08", "").astype("<U3")


def _rowan_side(length: int, band: int) -> np.ndarray:
    c = Canvas(length, band)
    column, row = np.floor(c.x), np.floor(c.y)
    ink = (row == 0) | (column == 0)
    ink |= ((row == 2) & (column > 1) & (column % 6 < 4)) | ((column == 2) & (row > 1) & (row % 6 < 4))
    ink |= ((row == 23) & (column > 22) & (column % 6 < 4)) | ((row == 25) & (column > 24))
    step = (length - band) / 4
    for k in range(4):
        start, way = band + k * step, -1 if k % 2 else 1
        ink |= (
            (np.abs(c.y - 13 - way * 3 * np.sin(math.pi * (c.x - start) / step)) < 0.9)
            & (c.x >= start)
            & (c.x < start + step)
        )
        for leaf in range(4):
            x, y = start + 2.5 + 4.6 * leaf, 13 + way * 2.4 * math.sin(math.pi * (2.5 + 4.6 * leaf) / step)
            ink |= c.oval(x + 1.6, y - way * 4.4, 1.9, 4.2, -way * 26)
            if leaf in (1, 2):
                ink |= c.oval(x - 1.6, y + way * 3.9, 1.7, 3.3, -way * 26)
        for bx, by in ((20.5, 5.5), (23.5, 7.5), (18.5, 8.5), (22, 10)):
            berry = start + bx, 13 + way * (by - 1)
            ink |= c.oval(*berry, 1.9, 1.9)
            ink &= ~c.box(berry[0] - 0.9, berry[1] - 0.9, berry[0] + 0.1, berry[1] + 0.1)
    ink |= _rowan_corner(c)
    return ink


def _rowan_corner(c: Canvas) -> np.ndarray:
    """Four leaves around a ring of berries."""
    ink = np.zeros(c.cells.shape, dtype=bool)
    for turn in (45, 135, 225, 315):
        dx, dy = math.cos(math.radians(turn)), math.sin(math.radians(turn))
        leaf = c.oval(13.5 + 7 * dx, 13.5 + 7 * dy, 4.6, 2.6, turn)
        ink |= leaf & ~c.line(13.5 + 4 * dx, 13.5 + 4 * dy, 13.5 + 9 * dx, 13.5 + 9 * dy, 0.4)
    for turn in (0, 90, 180, 270):
        dx, dy = round(math.cos(math.radians(turn))), round(math.sin(math.radians(turn)))
        ink |= c.oval(13.5 + 5 * dx, 13.5 + 5 * dy, 2.3, 2.3) & ~c.box(
            13 + 5 * dx, 13 + 5 * dy, 14 + 5 * dx, 14 + 5 * dy
        )
    return ink | c.oval(13.5, 13.5, 2.3, 2.3)


DRAWN = {f.__name__: f for f in (otter, harbour, pears, moth, owl, teapot, fox, rowan)}
