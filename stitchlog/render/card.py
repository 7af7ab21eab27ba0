"""A card as it is drawn: text, crosses and pictures at places in pixels, and the PNG that comes of them."""

from __future__ import annotations

import html
import io
import re

import vl_convert
from PIL import Image, ImageColor

from stitchlog.render import lettering, theme

_FONT = "Liberation Sans, Helvetica, Arial, DejaVu Sans, sans-serif"
# What XML cannot hold.
_CONTROLS = re.compile(r"[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


class Card:
    """A sheet of `width` x `height` pixels, `margin` of them free of words all round; paper "none" is see-through."""

    def __init__(self, width: int, height: int, margin: int, paper: str = theme.PAPER) -> None:
        self.width, self.height, self.margin, self.paper = width, height, margin, paper
        self._parts: list[str] = []
        self._under: list[tuple[Image.Image, tuple[int, int]]] = []

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
        """A picture with its upper left corner at a place, in its own pixels, under all that is drawn."""
        self._under.append((image, (round(x), round(y))))

    def box(
        self, x: float, y: float, across: float, down: float, colour: str = theme.PAPER, opacity: float = 1.0
    ) -> None:
        """A filled rectangle; where it lets something through, over the pictures so far and under all that is drawn."""
        if opacity < 1:
            tint = (*ImageColor.getrgb(colour)[:3], round(opacity * 255))
            self._under.append((Image.new("RGBA", (round(across), round(down)), tint), (round(x), round(y))))
            return
        where = f'x="{x:.1f}" y="{y:.1f}" width="{across:.1f}" height="{down:.1f}"'
        self._parts.append(f'<rect {where} fill="{colour}"/>')

    def png(self) -> bytes:
        """The card as a PNG of exactly its size."""
        if not self._under:
            return vl_convert.svg_to_png(self._svg(self.paper))
        # Laid under the drawing here: faster than in it, and the renderer darkens what is half see-through.
        bare = (0, 0, 0, 0) if self.paper == "none" else self.paper
        sheet = Image.new("RGBA", (self.width, self.height), bare)
        for image, where in self._under:
            sheet.alpha_composite(image.convert("RGBA"), where)
        sheet.alpha_composite(Image.open(io.BytesIO(vl_convert.svg_to_png(self._svg("none")))).convert("RGBA"))
        out = io.BytesIO()
        (sheet if self.paper == "none" else sheet.convert("RGB")).save(out, "PNG", compress_level=2)
        return out.getvalue()

    def _svg(self, paper: str) -> str:
        return (
            '<svg xmlns="http://www.w3.org/2000/svg" '
            f'width="{self.width}" height="{self.height}" viewBox="0 0 {self.width} {self.height}" '
            f'font-family="{_FONT}"><rect width="{self.width}" height="{self.height}" fill="{paper}"/>'
            f"{''.join(self._parts)}</svg>"
        )
