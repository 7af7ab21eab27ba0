"""A whole page of HTML around what it shows, in the look of all pages."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import jinja2

from stitchlog.render import theme

_HERE = Path(__file__).parent
# What a report leaves in its folder for the index page.
SUMMARY = "report.json"


def page(title: str, body: str, **more: Any) -> str:
    """A whole page around `body`, which is HTML."""
    template = jinja2.Environment(autoescape=True).from_string((_HERE / "page.html").read_text("utf-8"))
    return template.render(title=title, body=body, css=theme.css(), **more)
