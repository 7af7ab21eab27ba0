"""The two large drawn charts of the demo: a creek and a harbour, as grids of colour codes."""

from __future__ import annotations

import numpy as np

from .canvas import Canvas


def otter() -> np.ndarray:
    """An otter on its back in a creek, in an oval."""
    c = Canvas(180, 150)
    frame = c.oval(90, 75, 88, 73)
    sky = frame & (c.y < 46)
    c.fade(sky, ["B07", "B03", "Y19", "O14"], c.y / 46)
    c.fill(frame & c.oval(52, 54, 60, 24), "G22")
    c.fill(frame & c.oval(140, 54, 58, 20), "G28")
    c.fill(frame & c.oval(96, 58, 40, 16), "G09")
    water = frame & (c.y > 46)
    ripple = 0.10 * np.sin(c.x / 9 + 2 * np.sin(c.y / 7)) + 0.06 * np.sin(c.x / 3.1 + c.y)
    c.fade(water, ["B03", "B07", "B10", "B12", "B14"], (c.y - 46) / 96 + ripple)
    for y, x1, x2 in ((56, 60, 92), (62, 104, 140), (112, 40, 84), (118, 96, 150), (126, 60, 120), (134, 80, 110)):
        c.fill(water & c.box(x1, y, x2, y + 1.2), "N01")
        c.fill(water & c.box(x1 + 8, y + 2, x2 + 12, y + 3.2), "B03")
    c.fill(water & c.oval(95, 103, 66, 9), "B14")
    c.fill(water & c.oval(95, 102, 58, 6), "B30")
    _otter_body(c)
    for x, lean, top in (
        (14, 5, 38),
        (20, 3, 30),
        (27, 6, 44),
        (33, 2, 52),
        (150, -4, 36),
        (157, -6, 46),
        (164, -3, 40),
    ):
        for code, shift in (("G15", 0.9), ("G11", 0.0)):
            c.fill(frame & c.line(x + shift, 128, x + lean + shift, top, 1.6), code)
        c.fill(frame & c.line(x + lean, top - 6, x + lean, top + 5, 3.2), "E12")
        c.fill(frame & c.line(x, 112, x - 9, 84, 1.6), "G34")
    c.fill(frame & c.oval(16, 128, 30, 14), "G11")
    c.fill(frame & c.oval(164, 124, 26, 14), "G15")
    c.sprinkle(frame & (c.oval(16, 128, 30, 14) | c.oval(164, 124, 26, 14)), "G09", 5)
    c.sprinkle(frame & (c.oval(16, 128, 30, 14) | c.oval(164, 124, 26, 14)), "Y03", 23, salt=3)
    return c.cells


def _otter_body(c: Canvas) -> None:
    c.fill(c.line(136, 98, 168, 90, 8), "E12")
    c.fill(c.line(136, 97, 167, 89, 5), "E09")
    body = c.fill(c.oval(100, 90, 48, 16), "E09")
    c.fade(body & c.oval(98, 84, 41, 11), ["E06", "E06", "E18", "E21"], ((c.x - 98) / 41) ** 2 + ((c.y - 82) / 11) ** 2)
    c.fill(body & ~c.oval(100, 86, 47, 15), "E12")
    for x in (132, 146):  # hind feet up
        c.fill(c.oval(x, 78, 5, 10, 20), "E12")
        c.fill(c.oval(x + 0.5, 77, 3, 7.5, 20), "E09")
    c.fill(c.oval(50, 84, 21, 18), "E09")
    c.fill(c.oval(36, 68, 5, 5), "E12")
    c.fill(c.oval(63, 67, 5, 5), "E12")
    c.fill(c.oval(36, 69, 2.6, 2.6), "E18")
    c.fill(c.oval(63, 68, 2.6, 2.6), "E18")
    c.fade(c.oval(50, 83, 19, 16), ["E21", "E09", "E09"], (c.y - 68) / 30)
    c.fill(c.oval(50, 92, 14, 9), "E06")
    c.fill(c.oval(44, 91, 7, 5.4), "N22")
    c.fill(c.oval(56, 91, 7, 5.4), "N22")
    c.fill(c.oval(50, 86, 5, 3.2), "N16")
    c.fill(c.box(48, 84, 50, 85), "N10")
    c.fill(c.line(50, 88, 50, 94, 1), "N16")
    c.fill(c.line(50, 95, 45, 97, 1) | c.line(50, 95, 55, 97, 1), "N16")
    for x in (41, 59):
        c.fill(c.oval(x, 79, 2.6, 3), "N16")
        c.fill(c.box(x, 77, x + 1, 78), "N01")
    for dy in (-2, 1, 4):
        c.fill(c.line(38, 91 + dy / 2, 24, 89 + dy * 1.6, 0.8) | c.line(62, 91 + dy / 2, 77, 88 + dy * 1.6, 0.8), "N01")
    c.fill(c.oval(92, 82, 7, 5), "O14")  # a shell between the paws
    c.fill(c.oval(92, 82, 7, 5) & (np.floor(c.x) % 3 == 0), "R30")
    c.fill(c.oval(83, 83, 5, 4, 20) | c.oval(101, 83, 5, 4, -20), "E12")


def harbour() -> np.ndarray:
    """A harbour at sunrise, every stitch of the grid."""
    c = Canvas(300, 300)
    everywhere, horizon = c.y > 0, 158.0
    wave = 0.035 * np.sin(c.x / 37 + c.y / 23) + 0.02 * np.sin(c.x / 11 - c.y / 5)
    sky = ["B21", "B10", "V15", "V21", "R30", "O02", "O14", "Y19"]
    c.fade(everywhere & (c.y < horizon), sky, c.y / horizon + wave)
    for cx, cy, rx, ry in (
        (70, 40, 58, 5),
        (110, 46, 40, 4),
        (215, 66, 60, 5),
        (180, 72, 36, 4),
        (60, 92, 50, 4),
        (262, 30, 36, 4),
    ):
        c.fade(c.oval(cx, cy, rx, ry), ["O02", "R22", "V04"], (c.y - cy + ry) / (2 * ry))
    glow = ((c.x - 196) / 70) ** 2 + ((c.y - horizon) / 56) ** 2
    c.fade((glow < 1) & (c.y < horizon), ["Y03", "Y19", "O14"], glow)
    c.fill(c.oval(196, horizon - 8, 17, 17) & (c.y < horizon), "Y03")
    c.fill(c.oval(196, horizon - 8, 13, 13) & (c.y < horizon), "N01")
    for x, y in ((40, 70), (52, 62), (66, 74), (120, 92), (132, 86)):  # gulls
        c.fill(c.line(x - 5, y - 2, x, y, 1) | c.line(x, y, x + 5, y - 2.5, 1), "N13")
    far = horizon - 10 - 7 * np.sin(c.x / 33) - 4 * np.sin(c.x / 12 + 1)
    c.fill((c.y > far) & (c.y < horizon) & (c.x < 150), "V15")
    near = horizon - 6 - 9 * np.sin((c.x - 210) / 40)
    c.fill((c.y > near) & (c.y < horizon) & (c.x > 222), "B21")
    _town(c, horizon)
    water = c.y >= horizon
    depth = (c.y - horizon) / (300 - horizon)
    swell = 0.07 * np.sin(c.x / 14 + 3 * np.sin(c.y / 6)) + 0.05 * np.sin(c.y / 1.7 + c.x / 60)
    c.fade(water, ["O14", "R30", "V21", "B10", "B30", "B14", "B18"], depth + swell)
    path = np.abs(c.x - 196) < 8 + 30 * depth + 9 * np.sin(c.y / 2.3)
    c.fade(water & path, ["Y03", "Y19", "O14", "R30", "B10"], depth * 1.1 + 2.2 * swell)
    c.fill(water & (np.abs(c.x - 196) < 5 + 14 * depth) & (np.sin(c.y * 1.3 + c.x / 5) > 0.55), "N01")
    for salt, code in enumerate(("B12", "B07", "V15", "G22", "N04")):  # confetti
        c.sprinkle(water & ~path, code, 17 + 3 * salt, salt)
    c.sprinkle(everywhere & (c.y < 120), "R22", 19, salt=8)
    c.sprinkle(everywhere & (c.y < 90), "V04", 23, salt=9)
    _sail(c, 92, 214, 1.5, "R12", "N22")
    _sail(c, 250, 188, 0.7, "N13", "Y16")
    _sail(c, 150, 176, 0.42, "N13", "N04")
    _quay(c)
    return c.cells


def _town(c: Canvas, horizon: float) -> None:
    houses = (
        (2, 16, 20, "R12"),
        (18, 22, 16, "N19"),
        (34, 18, 14, "E18"),
        (48, 26, 15, "N22"),
        (63, 17, 18, "B21"),
        (81, 21, 13, "O08"),
    )
    for x, tall, wide, code in houses:
        top = horizon - tall
        c.fill(c.box(x, top, x + wide, horizon), code)
        c.fill(c.shape((x - 1, top), (x + wide / 2, top - 8), (x + wide + 1, top)), "N13")
        for wx in range(x + 3, x + wide - 3, 5):
            for wy in range(int(top) + 4, int(horizon) - 4, 7):
                c.fill(c.box(wx, wy, wx + 2, wy + 3), "Y10" if (wx + wy) % 3 else "B18")
    c.fill(c.shape((272, horizon), (275, 104), (283, 104), (286, horizon)), "N01")
    for y in (112, 126, 140):
        c.fill(c.shape((272, horizon), (275, 104), (283, 104), (286, horizon)) & (c.y > y) & (c.y < y + 7), "R08")
    c.fill(c.box(273, 100, 285, 104), "N13")
    c.fill(c.box(275, 92, 283, 100), "Y10")
    c.fill(c.shape((273, 92), (279, 85), (285, 92)), "R12")


def _sail(c: Canvas, x: float, y: float, k: float, hull: str, cloth: str) -> None:
    """A sailing boat with its mast at x, its waterline at y, k times as large as the pattern."""
    c.fade(
        c.oval(x + 2 * k, y + 12 * k, 30 * k, 12 * k) & (c.y > y) & (np.floor(c.y) % 3 != 0),
        ["B18", "B14", "B30"],
        (c.y - y) / (24 * k),
    )
    c.fill(c.line(x, y - 8 * k, x, y - 74 * k, max(1.0, 1.4 * k)), "E12")
    main = c.shape((x + 2 * k, y - 71 * k), (x + 2 * k, y - 13 * k), (x + 31 * k, y - 13 * k))
    c.fade(main, [cloth, cloth, "Y19"], (c.x - x) / (31 * k))
    jib = c.shape((x - 2 * k, y - 66 * k), (x - 2 * k, y - 13 * k), (x - 25 * k, y - 11 * k))
    c.fade(jib, ["N04", cloth], (x - c.x) / (25 * k))
    c.fill(c.shape((x - 32 * k, y - 10 * k), (x + 36 * k, y - 10 * k), (x + 27 * k, y), (x - 25 * k, y)), hull)
    c.fill(c.box(x - 31 * k, y - 10 * k, x + 35 * k, y - 10 * k + max(1, 2 * k)), "Y16")


def _quay(c: Canvas) -> None:
    c.fade((c.y > 268 + 3 * np.sin(c.x / 19)), ["N25", "N10", "N13"], (c.y - 268) / 36)
    wall = c.y > 268 + 3 * np.sin(c.x / 19)
    c.fill(wall & (np.floor(c.y) % 9 == 0), "N13")
    c.fill(wall & ((np.floor(c.x) + 13 * (np.floor(c.y) // 9)) % 26 == 0), "N13")
    for x in (34, 160, 268):
        c.fill(c.box(x, 252, x + 9, 276), "E24")
        c.fill(c.box(x - 1, 250, x + 10, 254), "E15")
        c.fill(c.oval(x + 4.5, 262, 6.5, 2.2), "E06")
    c.fill(c.line(44, 262, 100, 272, 1.6) | c.line(100, 272, 158, 262, 1.6), "E06")
