"""The page that leads to the reports of a run."""

from __future__ import annotations

import html
import re
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from stitchlog.reports import export

# What each report answers, as a person would ask it, in the order that they are read.
QUESTIONS = {
    "review": ("Review", "What happened, ready to be talked through?"),
    "pace": ("Pace", "How fast does each piece go, compared fairly?"),
    "rotation": ("Rotation", "What gets the needle, what is neglected, what to pick up next?"),
    "finish": ("Finish", "When will a piece be finished, with which chance?"),
    "plan": ("Plan", "Does it all fit in the time there is, and what has to give?"),
    "materials": ("Materials", "What cloth and thread does it take, what to buy, what will show?"),
}
# A report's first sentence, and its first chart's name, as they stand in its page.
_SAYS = re.compile(r'<p class="says"[^>]*>(.*?)</p>', re.DOTALL)
_CHART = re.compile(r'<figure class="chart" id="chart-([^"]+)"')


@dataclass(frozen=True)
class Entry:
    """One report of a run: its `name`, a `line` to say of it, and why it `failed` (None: it did not).

    An empty line stands for the first sentence that the report itself says.
    """

    name: str
    line: str = ""
    failed: str | None = None


def write(
    out: str | Path, entries: Sequence[Entry] | None = None, title: str = "Your stitching diary", line: str = ""
) -> Path:
    """Writes `out/index.html`, which leads to the page of every entry, and returns its path.

    entries: None for every report whose page lies in `out`. line: what diary this is and up to when. Links are
    relative, so the folder can be moved.
    """
    out = Path(out)
    if entries is None:
        entries = [Entry(name) for name in QUESTIONS if (out / f"{name}.html").exists()]
    items = "\n".join(_item(out, entry) for entry in entries)
    said = f"<p>{html.escape(line)}</p>" if line else ""
    body = f'<h1>{html.escape(title)}</h1>{said}<ul class="reports">\n{items}\n</ul>'
    target = out / "index.html"
    target.write_text(export.page(title, body), "utf-8")
    return target


def _item(out: Path, entry: Entry) -> str:
    heading, question = QUESTIONS.get(entry.name, (entry.name, ""))
    name = html.escape(entry.name, quote=True)
    asked = f'<p class="quiet">{html.escape(question)}</p>' if question else ""
    if entry.failed:
        failed = f'<p class="failed">This one could not be made: {html.escape(entry.failed)}</p>'
        return f"<li><h2>{html.escape(heading)}</h2>{asked}{failed}</li>"
    says, picture = _glimpse(out, entry)
    return (
        f'<li><h2><a href="{name}.html">{html.escape(heading)}</a></h2>{asked}{picture}{says}{_beside(out, name)}</li>'
    )


def _glimpse(out: Path, entry: Entry) -> tuple[str, str]:
    """What a report says first, and its first chart, as HTML; '' for what it has not."""
    page = out / f"{entry.name}.html"
    text = page.read_text("utf-8") if page.exists() else ""
    first = _SAYS.search(text)
    says = html.escape(entry.line) or (first[1] if first else "")
    chart = _CHART.search(text)
    if chart is None:
        return (f"<p>{says}</p>" if says else ""), ""
    path = f"{entry.name}/{html.unescape(chart[1])}"
    alternative = out / f"{path}.txt"
    said = alternative.read_text("utf-8").strip() if alternative.exists() else ""
    source = html.escape(f"{path}.png", quote=True)
    picture = f'<img class="glimpse" loading="lazy" alt="{html.escape(said, quote=True)}" src="{source}">'
    return (f"<p>{says}</p>" if says else ""), picture if (out / f"{path}.png").exists() else ""


def _beside(out: Path, name: str) -> str:
    """Links to what a report wrote besides its page."""
    links = [
        f'<a href="{name}{path}">{what}</a>'
        for path, what in ((".ipynb", "notebook"), ("/notes.md", "notes to talk from"), ("/", "tables and pictures"))
        if (out / f"{name}{path}").exists()
    ]
    return f'<p class="quiet beside">{" · ".join(links)}</p>' if links else ""
