"""A card as it is drawn: text, crosses and pictures at places in pixels, and the PNG that comes of them."""

from __future__ import annotations

import html
import re

import vl_convert
from PIL import Image

from stitchlog.render import lettering, pictures, theme

_FONT = "Liberation Sans, Helvetica, Arial, DejaVu Sans, sans-serif"
# What XML cannot hold.
_CONTROLS = re.compile(r"[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


class Card:
    """A sheet of `width` x `height` pixels, `margin` of them free of words all round; paper "none" is see-through."""

    def __init__(self, width: int, height: int, margin: int, paper: str = theme.PAPER) -> None:
        self.width, self.height, self.margin, self.paper = width, height, margin, paper
        self._parts: list[str] = []

    @property
    def inner(self) -> int:
        """Pixels between the margins."""
        return self.width - 2 * self.margin

    def text(
        self, x: float, y: float, text: str, size: float, colour: str = theme.INK, bold: bool = False, end: bool = False
    ) -> None:
        """One line, its baseline at `y`, that begins (with `end`: ends) at `x`."""
        look = f'font-weight="{"bold" if bold else "normal"}" text-anchor="{"end" if end else "start"}"'
        where = f'x="{x:.1f}" y="{y:.1f}" font-size="{size:.1f}"'
        written = html.escape(_CONTROLS.sub("", text), quote=False)
        self._parts.append(f'<text {where} fill="{colour}" {look}>{written}</text>')

    def block(
        self,
        x: float,
        y: float,
        text: str,
        across: float,
        down: float,
        sizes: tuple[int, ...],
        colour: str = theme.INK,
        bold: bool = False,
    ) -> float:
        """Text in a box from `y` down, broken and if need be smaller. Returns where its lower edge came to lie."""
        if not text:
            return y
        lines, size = lettering.fit(text, across, down, sizes)
        for i, line in enumerate(lines):
            self.text(x, y + size * (0.92 + i * lettering.LEADING), line, size, colour, bold)
        return y + len(lines) * size * lettering.LEADING

    def crosses(self, x: float, y: float, cell: float, columns: int, kinds: str) -> None:
        """Stitches in rows of `columns`, one a letter of `kinds`: o a pale cross, x a dark bold one, else a dot."""
        arm = cell * 0.34
        cross = f"m{-arm:.1f} {arm:.1f}l{2 * arm:.1f} {-2 * arm:.1f}m{-2 * arm:.1f} 0l{2 * arm:.1f} {2 * arm:.1f}"
        looks = {"o": (cross, theme.RAMP[2], 0.16), "x": (cross, theme.ACCENT, 0.24), ".": ("h.01", theme.EDGE, 0.15)}
        for kind, (shape, colour, thick) in looks.items():
            places = [divmod(i, columns) for i, own in enumerate(kinds) if own == kind]
            path = "".join(f"M{x + (c + 0.5) * cell:.1f} {y + (r + 0.5) * cell:.1f}{shape}" for r, c in places)
            self._parts.append(
                f'<path d="{path}" stroke="{colour}" stroke-width="{cell * thick:.2f}" '
                'stroke-linecap="round" fill="none"/>'
            )

    def rule(self, x: float, y: float, across: float) -> None:
        """A thin line."""
        self._parts.append(f'<path d="M{x:.1f} {y:.1f}h{across:.1f}" stroke="{theme.RULE}" stroke-width="2"/>')

    def picture(self, x: float, y: float, image: Image.Image) -> None:
        """A picture with its upper left corner at a place, in its own pixels."""
        where = f'x="{x:.0f}" y="{y:.0f}" width="{image.width}" height="{image.height}"'
        self._parts.append(f'<image {where} xlink:href="{pictures.uri(image)}"/>')

    def box(
        self, x: float, y: float, across: float, down: float, colour: str = theme.PAPER, opacity: float = 1.0
    ) -> None:
        """A filled rectangle."""
        where = f'x="{x:.1f}" y="{y:.1f}" width="{across:.1f}" height="{down:.1f}"'
        self._parts.append(f'<rect {where} fill="{colour}" fill-opacity="{opacity}"/>')

    def svg(self) -> str:
        """The card as SVG."""
        return (
            '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" '
            f'width="{self.width}" height="{self.height}" viewBox="0 0 {self.width} {self.height}" '
            f'font-family="{_FONT}"><rect width="{self.width}" height="{self.height}" fill="{self.paper}"/>'
            f"{''.join(self._parts)}</svg>"
        )

    def png(self) -> bytes:
        """The card as a PNG of exactly its size."""
        return vl_convert.svg_to_png(self.svg())
