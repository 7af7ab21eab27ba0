"""The page that leads to the reports of a run."""

from __future__ import annotations

import html
import re
from pathlib import Path
from urllib.parse import quote

from stitchlog.render import export
from stitchlog.reports import REPORTS

# What stands in a report's page: the sentence above its first chart, its first sentence, its first chart's name.
_SAYS = re.compile(r'<p class="says">(.*?)</p>', re.DOTALL)
_NOTE = re.compile(r'<p class="note">(.*?)</p>', re.DOTALL)
_TITLE = re.compile(r"<title>(.*?)</title>", re.DOTALL)
_CHART = re.compile(r'<figure class="chart" id="chart-([^"]+)"')


def write(out: Path) -> Path:
    """Writes `out/index.html`, which leads to every report whose page lies in `out`, those that notebooks of the
    user's own have made among them, and returns its path.

    Links are relative, so the folder can be moved.
    """
    names = [*REPORTS, *(path.stem for path in sorted(out.glob("*.html")) if path.stem not in (*REPORTS, "index"))]
    pages = [name for name in names if all((out / f"{name}{kind}").exists() for kind in (".html", ".ipynb"))]
    items = "\n".join(_item(out, name) for name in pages)
    target = out / "index.html"
    title = "Your stitching diary"
    target.write_text(export.page(title, f'<h1>{title}</h1><ul class="reports">\n{items}\n</ul>'), "utf-8")
    return target


def _item(out: Path, name: str) -> str:
    """A report's question, its first chart, what it says first, and links to what it wrote besides its page."""
    text = (out / f"{name}.html").read_text("utf-8")
    title = name.capitalize() if name in REPORTS else html.unescape(_TITLE.search(text)[1])  # type: ignore[index]
    parts = [f'<h2><a href="{html.escape(quote(name))}.html">{html.escape(title)}</a></h2>']
    parts.append(f'<p class="quiet">{REPORTS.get(name, "a page of your own").capitalize()}.</p>')
    if chart := _CHART.search(text):
        alternative = html.escape((out / name / f"{chart[1]}.txt").read_text("utf-8").strip(), quote=True)
        parts.append(f'<img class="glimpse" loading="lazy" alt="{alternative}" src="{name}/{chart[1]}.png">')
    if says := _SAYS.search(text) or _NOTE.search(text):
        parts.append(f"<p>{says[1]}</p>")
    beside = {".ipynb": "notebook", "/notes.md": "notes to talk from", "/": "tables and pictures"}
    links = [f'<a href="{name}{path}">{what}</a>' for path, what in beside.items() if (out / f"{name}{path}").exists()]
    return f'<li>{"".join(parts)}<p class="quiet beside">{" · ".join(links)}</p></li>'
