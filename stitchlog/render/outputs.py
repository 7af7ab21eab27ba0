"""What a cell of an analyst's own showed, as a part of a page: frames, pictures, text, and what went wrong."""

from __future__ import annotations

import html
import re
from typing import Any

import mistune

_markdown = mistune.create_markdown()
_ESCAPES = re.compile(r"\x1b\[[0-9;]*[A-Za-z]")
# A frame that shows itself, as pandas, polars and others write it: its own style and border make way for the page's.
_FRAME = re.compile(r'<table border="1" class="dataframe">')
_FRAME_STYLE = re.compile(r"<style(?: scoped)?>\s*\.dataframe.*?</style>", re.DOTALL)
_PICTURES = ("image/png", "image/jpeg")


def to_html(output: Any) -> str:
    """An output of an executed notebook as HTML, in the richest kind it has; nothing where it shows nothing."""
    if output.output_type == "error":
        what = html.escape(f"{output.ename}: {output.evalue}")
        return f'<p class="failed" role="alert">This part of the report could not be made. {what}</p>'
    if output.output_type == "stream":
        return _text(output.text) if output.name == "stdout" else ""
    data = output.get("data", {})
    if "text/html" in data:
        return _framed(data["text/html"])
    if "image/svg+xml" in data:
        return f"<figure>{data['image/svg+xml']}</figure>"
    for kind in _PICTURES:
        if kind in data:
            about = output.get("metadata", {}).get(kind, {})
            alternative = html.escape(about.get("alt", "A picture."), quote=True)
            source = f"data:{kind};base64,{''.join(data[kind].split())}"
            return f'<figure><img class="still" alt="{alternative}" src="{source}"></figure>'
    if "text/markdown" in data:
        return str(_markdown(data["text/markdown"]))
    return _text(data.get("text/plain", ""))


def _framed(fragment: str) -> str:
    """The fragment; a frame in it as a table of the page."""
    if not _FRAME.search(fragment):
        return fragment
    from stitchlog.render import tables  # frames take long to load, and few pages show one as it is

    return tables.box("A table", _FRAME.sub('<table class="data">', _FRAME_STYLE.sub("", fragment)))


def _text(text: str) -> str:
    plain = _ESCAPES.sub("", text).strip("\n")
    return f"<pre>{html.escape(plain)}</pre>" if plain else ""
