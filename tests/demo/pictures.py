"""Takes the demo's photographs: a chart filling up on cloth, laid on a wooden table.

Everything repeats stitch by stitch and row by row, so that the files stay small without losing a pixel.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np
from PIL import Image

from .charts import Chart, drawing
from .life import Progress, Session
from .story import Piece, by_hand

WIDTH, HEIGHT = 900, 700
MARGIN = 36  # bare cloth around the chart, at least
TABLE = ("#B48A5C", "#BB9163", "#B28758", "#C0976A", "#B78D60")
GRID, GRID_ON_DARK = "#B9A3CC", "#8F86B5"


def _rgb(code: str) -> np.ndarray:
    return np.array([int(code[i : i + 2], 16) for i in (1, 3, 5)], dtype=float)


HEX = {row["code"]: _rgb(row["hex"]) for row in by_hand("threads.csv")}
# Pictures of what was bought: colours of the folded fabric, or of the skeins.
FOLDED = (
    ("fabric", "#A8B69C", "photos/bought/2026-10-03-swap-table-green.png"),
    ("thread", "#2C91BA", "photos/bought/2026-10-14-the-same-teal.png"),
    ("fabric", "#A9B79A", "photos/bought/2026-03-21-sage-linen.png"),
)


def take(folder: Path, pieces: tuple[Piece, ...], book: dict[str, Progress], sessions: list[Session]) -> None:
    """Draw a picture for every session that has one.

    Its path is noted in the session, but for days with a `+`: those pictures lie in a folder of the piece's own, to be
    found by their names.
    """
    for piece in pieces:
        own = [s for s in sessions if s.piece == piece.name]
        wanted = {id(s): named for s, named in _photographed(piece, own)}
        chart = drawing(piece)
        done = float(piece.done_before)
        for session in own:
            done += session.net
            if id(session) not in wanted or chart is None:
                continue
            path = f"photos/{piece.name}/{session.date.isoformat()}.png"
            if wanted[id(session)]:
                path = f"photos/{piece.name.lower().replace(' ', '-')}-{session.date.isoformat()}.png"
                session.photo = path
            # A chart known by its colours alone has not quite as many stitches as its drawing.
            shown = int(done * len(chart.order) / len(book[piece.name].order))
            _save(draw(piece, chart, shown), folder.parent / path)
    for what, colour, path in FOLDED:
        _save(_folded(what, colour), folder.parent / path)


def _save(pixels: np.ndarray, path: Path) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    _few_colours(pixels).save(path, optimize=True)


def _photographed(piece: Piece, own: list[Session]) -> list[tuple[Session, bool]]:
    """The sessions that `piece.photos` asks for (the first, the last, the last one of a month or day), and whether
    the session names its picture.
    """
    found = []
    for asked in piece.photos:
        when = asked.removesuffix("+")
        if when == "first":
            session = own[0]
        elif when == "finish":
            session = own[-1]
        else:
            session = [s for s in own if s.date.isoformat().startswith(when)][-1]
        found.append((session, when == asked))
    return found


def _few_colours(pixels: np.ndarray) -> Image.Image:
    """The picture with its 256 commonest colours; any other pixel takes the nearest of them."""
    number = pixels.astype(np.int64) @ np.array([65536, 256, 1])
    colours, place, times = np.unique(number, return_inverse=True, return_counts=True)
    kept = np.sort(np.argsort(-times, kind="stable")[:256])
    channels = np.stack([colours // 65536, colours // 256 % 256, colours % 256], axis=1)
    away = ((channels[:, None, :] - channels[None, kept, :]) ** 2).sum(axis=2)
    image = Image.fromarray(np.argmin(away, axis=1)[place].reshape(pixels.shape[:2]).astype(np.uint8))
    image.putpalette(channels[kept].astype(np.uint8).tobytes())
    return image


def draw(piece: Piece, chart: Chart, done: int) -> np.ndarray:
    """The picture after `done` stitches, as an array of (HEIGHT, WIDTH, 3) bytes."""
    assert chart.place is not None
    size = min((WIDTH - 2 * MARGIN) // piece.width, (HEIGHT - 2 * MARGIN) // piece.height)
    scene = _table()
    spread = _Spread(piece, size)
    _shadow(scene, spread)
    cloth = _cloth(piece, size, spread)
    finished = done >= len(chart.order)
    if not finished and size > 1:
        _grid(cloth, spread, _rgb(GRID_ON_DARK if piece.fabric_colour < "#6" else GRID))
    _stitches(cloth, spread, chart, done)
    scene[spread.top : spread.bottom, spread.left : spread.right] = cloth
    if not finished:
        row, column = chart.place[min(done, len(chart.place) - 1)]
        thread = HEX[chart.order[min(done, len(chart.order) - 1)]]
        _needle(scene, spread.left + spread.x0 + column * size, spread.top + spread.y0 + row * size, thread)
    return np.clip(np.round(scene), 0, 255).astype(np.uint8)


@dataclass(frozen=True)
class _Spread:
    """Where the cloth lies in the picture (left, top, right, bottom) and where the chart begins on it (x0, y0)."""

    piece: Piece
    size: int

    @property
    def x0(self) -> int:
        return min(12 * self.size, (WIDTH - self.piece.width * self.size) // 2 - 14, 70) if self.size > 2 else 34

    @property
    def y0(self) -> int:
        return min(self.x0, (HEIGHT - self.piece.height * self.size) // 2 - 12)

    @property
    def left(self) -> int:
        return (WIDTH - self.piece.width * self.size) // 2 - self.x0

    @property
    def top(self) -> int:
        return (HEIGHT - self.piece.height * self.size) // 2 - self.y0

    @property
    def right(self) -> int:
        return WIDTH - self.left

    @property
    def bottom(self) -> int:
        return HEIGHT - self.top


def _table() -> np.ndarray:
    """Planks: every row of pixels has one tone."""
    rows = np.arange(HEIGHT)
    plank = rows // 140
    tone = np.stack([_rgb(TABLE[p % len(TABLE)]) for p in plank])
    grain = (
        1.0
        + 0.018 * np.sin(rows * 0.71 + plank)
        + 0.014 * np.sin(rows * 0.23)
        - 0.22 * (rows % 140 == 0)
        + 0.05 * (rows % 140 == 1)
    )
    return np.repeat((tone * grain[:, None])[:, None, :], WIDTH, axis=1)


def _shadow(scene: np.ndarray, at: _Spread) -> None:
    for step in range(7):
        dark = 0.93
        scene[at.top + 3 + step : at.bottom + 9 - step, at.left + 3 + step : at.right + 9 - step] *= dark


def _weave(piece: Piece, size: int) -> np.ndarray:
    """One stitch's worth of bare cloth, as light (1: the cloth's own colour)."""
    y, x = (np.mgrid[0:size, 0:size] + 0.5) / size
    if piece.fabric == "aida":  # blocks with a hole at the corners
        edge = np.minimum(np.minimum(x, 1 - x), np.minimum(y, 1 - y))
        hole = np.hypot(np.minimum(x, 1 - x), np.minimum(y, 1 - y)) < 0.2
        return np.where(hole, 0.80, np.where(edge < 0.14, 0.945, 1.0 + 0.012 * np.sign(np.sin(x * 25))))
    threads = 2 if piece.over == 2 else 1
    over = (np.floor(x * threads) + np.floor(y * threads)) % 2 == 0
    across, down = np.abs((x * threads) % 1 - 0.5), np.abs((y * threads) % 1 - 0.5)
    return np.where(over, 1.02 - 0.10 * (across > 0.3), 0.965 - 0.08 * (down > 0.3))


def _cloth(piece: Piece, size: int, at: _Spread) -> np.ndarray:
    high, wide = at.bottom - at.top, at.right - at.left
    tile = _weave(piece, size if size > 2 else 4)
    y, x = np.mgrid[0:high, 0:wide]
    light = tile[(y - at.y0) % len(tile), (x - at.x0) % len(tile)]
    hem = np.minimum(np.minimum(x, wide - 1 - x), np.minimum(y, high - 1 - y))
    light = np.where(hem < 2, 0.86, light)
    running = (hem >= 8) & (hem < 10) & ((x + y) % 14 < 8)
    return _rgb(piece.fabric_colour) * np.where(running, 0.80, light)[:, :, None]


def _grid(cloth: np.ndarray, at: _Spread, colour: np.ndarray) -> None:
    """Tens marked out with a thread, in and out of the cloth."""
    wide, high = at.piece.width * at.size, at.piece.height * at.size
    for step in range(0, at.piece.width + 1, 10):
        x = at.x0 + step * at.size
        rows = np.arange(at.y0, at.y0 + high)
        cloth[rows[(rows - at.y0) // (2 * at.size) % 2 == 0], x] = colour
    for step in range(0, at.piece.height + 1, 10):
        y = at.y0 + step * at.size
        columns = np.arange(at.x0, at.x0 + wide)
        cloth[y, columns[(columns - at.x0) // (2 * at.size) % 2 == 0]] = colour


def _cross(size: int) -> tuple[np.ndarray, np.ndarray]:
    """One cross: how much of each pixel it covers, and how light the thread is there. The top arm runs / upwards."""
    fine = 8
    n = size * fine
    y, x = (np.mgrid[0:n, 0:n] + 0.5) / n
    top, under = np.abs(x + y - 1) / np.sqrt(2), np.abs(x - y) / np.sqrt(2)
    thick = 0.255
    light = np.where(
        top < thick,
        1.10 - 0.34 * (top / thick) ** 2 + 0.05 * (x + y < 1),
        np.where(under < thick, 0.92 - 0.30 * (under / thick) ** 2, 0.0),
    )
    covered = (light > 0).astype(float)
    shape = (size, fine, size, fine)
    cover = covered.reshape(shape).mean(axis=(1, 3))
    tone = (light * covered).reshape(shape).mean(axis=(1, 3)) / np.maximum(cover, 1e-9)
    return np.minimum(1.0, cover * 1.04), tone


def _stitches(cloth: np.ndarray, at: _Spread, chart: Chart, done: int) -> None:
    assert chart.place is not None
    size = at.size
    cover, tone = _cross(size)
    if size <= 2:
        cover = np.full((size, size), 0.97)
        tone = np.array([[1.05, 0.97], [0.93, 1.03]])[:size, :size]
    worked = np.array(chart.order[:done])
    for code in np.unique(worked):
        cells = chart.place[:done][worked == code]
        for dy in range(size):
            for dx in range(size):
                rows, columns = at.y0 + cells[:, 0] * size + dy, at.x0 + cells[:, 1] * size + dx
                bare = cloth[rows, columns] * 0.78  # cloth in the shade of the thread
                share = cover[dy, dx]
                cloth[rows, columns] = bare * (1 - share) + np.minimum(HEX[code] * tone[dy, dx], 255) * share


def _needle(scene: np.ndarray, x: float, y: float, thread: np.ndarray) -> None:
    """A needle parked where the next stitch goes, its thread hanging down in a curve."""
    for step in np.arange(0.0, 1.0, 0.008):
        px = x + 46 - 14 * step + 26 * np.sin(step * 3.0)
        py = y - 30 + 128 * step + 8 * np.sin(step * 7.0)
        _dot(scene, px + 1.5, py + 2, 1.4, np.array([60.0, 45.0, 35.0]), 0.25)
    for step in np.arange(0.0, 1.0, 0.008):
        px = x + 46 - 14 * step + 26 * np.sin(step * 3.0)
        py = y - 30 + 128 * step + 8 * np.sin(step * 7.0)
        _dot(scene, px, py, 1.5, thread * (0.90 + 0.1 * np.sin(step * 160)), 1.0)
    for step in np.arange(0.0, 1.0, 0.008):
        _dot(scene, x + 50 * step + 2, y - 34 * step + 3, 1.6, np.array([50.0, 40.0, 35.0]), 0.22)
    for step in np.arange(0.0, 1.0, 0.008):
        wide = 0.7 + 1.3 * min(1.0, step * 3)
        _dot(scene, x + 50 * step, y - 34 * step, wide, np.array([206.0, 209.0, 214.0]), 1.0)
        _dot(scene, x + 50 * step - 0.4, y - 34 * step - 0.7, wide * 0.4, np.array([250.0, 250.0, 252.0]), 1.0)
    for step in np.arange(0.86, 0.95, 0.01):
        _dot(scene, x + 50 * step, y - 34 * step, 0.7, np.array([110.0, 104.0, 100.0]), 1.0)


def _dot(scene: np.ndarray, x: float, y: float, r: float, colour: np.ndarray, strength: float) -> None:
    top, left = int(y - r - 1), int(x - r - 1)
    bottom, right = int(y + r + 2), int(x + r + 2)
    if top < 0 or left < 0 or bottom > HEIGHT or right > WIDTH:
        return
    yy, xx = np.mgrid[top:bottom, left:right] + 0.5
    share = np.clip(r + 0.5 - np.hypot(xx - x, yy - y), 0.0, 1.0)[:, :, None] * strength
    scene[top:bottom, left:right] = scene[top:bottom, left:right] * (1 - share) + colour * share


def _folded(what: str, colour: str) -> np.ndarray:
    """A folded cut of fabric, or three skeins side by side, on the table."""
    scene = _table()
    light, tone = np.ones((HEIGHT, WIDTH)), _rgb(colour)
    y, x = np.mgrid[0:HEIGHT, 0:WIDTH]
    if what == "fabric":
        inside = (x > 190) & (x < 710) & (y > 150) & (y < 550)
        light = 0.97 + 0.04 * ((x // 3 + y // 3) % 2) - 0.16 * (np.abs((y - 150) % 134 - 132) < 2) - 0.10 * (x > 696)
    else:
        inside = np.zeros_like(light, dtype=bool)
        for left in (240, 400, 560):
            skein = (x > left) & (x < left + 100) & (y > 120) & (y < 580)
            band = skein & (((y > 200) & (y < 250)) | ((y > 450) & (y < 500)))
            light = np.where(skein, 0.90 + 0.13 * np.abs(np.sin((x - left) * 0.31)), light)
            scene[120 + 10 : 580 + 10, left + 10 : left + 110] *= 0.72
            scene[skein] = 0
            inside |= skein & ~band
            scene[band] = _rgb("#F3EBDA")
    if what == "fabric":
        scene[160:560, 200:722] *= 0.72
    scene[inside] = tone * light[inside][:, None]
    return np.clip(np.round(scene), 0, 255).astype(np.uint8)
