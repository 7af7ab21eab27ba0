"""Charts as pictures, and the one script that keeps them alive in a page."""

from __future__ import annotations

import functools
import html
import io
import re
from importlib.metadata import version
from typing import Any

import vl_convert
from PIL import Image

from stitchlog.render import theme

# The kind of output that JupyterLab draws by itself, with no network.
MIME = "application/vnd.vegalite.v5+json"
# The drawing library's version in pages and pictures. JupyterLab brings its own, so charts keep to what both know.
VEGA_LITE = "6.4"
SCHEMA = "https://vega.github.io/schema/vega-lite/v6.json"


def svg(spec: dict[str, Any], language: str = "en_GB") -> str:
    """A chart as an SVG picture in the light colours, on nothing."""
    on_nothing = spec | {"background": "transparent"}
    locale = _locale(language)
    return vl_convert.vegalite_to_svg(
        on_nothing, vl_version=VEGA_LITE, allowed_base_urls=[], format_locale=locale, time_format_locale=locale
    )


def picture(drawn: str, alternative: str) -> str:
    """An SVG for a page: it says what it shows, and turns dark with the page."""
    inside = f"<title>{html.escape(alternative)}</title><style>{theme.picture_css()}</style>"
    return drawn.replace(">", f">{inside}", 1)


def png(drawn: str, scale: float = theme.PNG_SCALE) -> bytes:
    """An SVG as a PNG on paper."""
    paper = f'<rect width="100%" height="100%" fill="{theme.PAPER}"/>'
    return vl_convert.svg_to_png(drawn.replace(">", f">{paper}", 1), scale=scale)


def thumbnail(drawn: str) -> bytes:
    """An SVG as a PNG on paper that takes little room: as small as it is drawn, in few colours."""
    image = Image.open(io.BytesIO(png(drawn, scale=1)))
    out = io.BytesIO()
    few = image.convert("RGB").quantize(64, Image.Quantize.FASTOCTREE, dither=Image.Dither.NONE)
    few.save(out, "PNG", optimize=True)
    return out.getvalue()


def size(drawn: str) -> tuple[int, int]:
    """Width and height of an SVG in pixels."""
    opening = dict(re.findall(r'(\w+)="([\d.]+)"', drawn.partition(">")[0]))
    return round(float(opening["width"])), round(float(opening["height"]))


def locales(language: str) -> tuple[dict[str, Any], dict[str, Any]] | None:
    """How the drawing library writes numbers and days in a language; None where it does not know it."""
    name = _locale(language)
    if name is None:
        return None
    return vl_convert.get_format_locale(name), vl_convert.get_time_format_locale(name)


@functools.cache
def bundle() -> str:
    """The drawing library as one script that asks no other host for anything.

    Making it takes seconds, so it is made once for each version of the library and kept in the user's cache folder;
    where nothing can be kept there, once a process.
    """
    from filelock import FileLock
    from platformdirs import user_cache_path

    try:
        folder = user_cache_path("stitchlog", ensure_exists=True)
        kept = folder / f"charts-{version('vl-convert-python')}-{VEGA_LITE}.js"
        with FileLock(kept.with_suffix(".lock")):
            if not kept.exists():
                part = kept.with_suffix(".part")
                part.write_text(_made(), "utf-8")
                part.replace(kept)
            return kept.read_text("utf-8")
    except OSError:
        return _made()


def _made() -> str:
    script = vl_convert.javascript_bundle("window.vegaEmbed = vegaEmbed;", vl_version=VEGA_LITE)
    # Neither may stand inside a script element of a page.
    return script.replace("</script", "<\\/script").replace("<!--", "<\\!--")


@functools.cache
def _locale(language: str) -> Any:
    """The drawing library's name for a language; None where it has none of that name."""
    name: Any = language.replace("_", "-")
    try:
        vl_convert.get_format_locale(name)
        vl_convert.get_time_format_locale(name)
    except ValueError:
        return None
    return name
