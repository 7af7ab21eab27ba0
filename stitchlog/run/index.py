"""The page that leads to the reports of a run."""

from __future__ import annotations

import html
import json
from pathlib import Path
from urllib.parse import quote

from stitchlog.render import document
from stitchlog.reports import REPORTS


def write(out: Path) -> Path:
    """Writes `out/index.html`, which leads to every report whose page lies in `out`, those that notebooks of the
    user's own have made among them, and returns its path.

    Links are relative, so the folder can be moved.
    """
    own = (path.parent.name for path in sorted(out.glob(f"*/{document.SUMMARY}")) if path.parent.name not in REPORTS)
    pages = [name for name in (*REPORTS, *own) if all((out / part).exists() for part in _parts(name))]
    items = "\n".join(_item(out, name) for name in pages)
    target = out / "index.html"
    title = "Your stitching diary"
    target.write_text(document.page(title, f'<h1>{title}</h1><ul class="reports">\n{items}\n</ul>'), "utf-8")
    return target


def _parts(name: str) -> tuple[str, str]:
    return f"{name}.html", f"{name}/{document.SUMMARY}"


def _item(out: Path, name: str) -> str:
    """A report's question, its first chart, what it says first, and links to what it wrote besides its page."""
    about = json.loads((out / name / document.SUMMARY).read_text("utf-8"))
    title = name.capitalize() if name in REPORTS else about["title"]
    parts = [f'<h2><a href="{html.escape(quote(name))}.html">{html.escape(title)}</a></h2>']
    parts.append(f'<p class="quiet">{REPORTS.get(name, "a page of your own").capitalize()}.</p>')
    if chart := about["chart"]:
        source = html.escape(quote(f"{name}/{chart['file']}"))
        alternative = html.escape(chart["alternative"], quote=True)
        parts.append(f'<img class="glimpse" loading="lazy" alt="{alternative}" src="{source}">')
    if about["says"]:
        parts.append(f"<p>{html.escape(about['says'])}</p>")
    beside = {".ipynb": "notebook", "/notes.md": "notes to talk from", "/": "tables and pictures"}
    links = [f'<a href="{name}{path}">{what}</a>' for path, what in beside.items() if (out / f"{name}{path}").exists()]
    return f'<li>{"".join(parts)}<p class="quiet beside">{" · ".join(links)}</p></li>'
