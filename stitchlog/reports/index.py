"""The page that leads to the reports of a run."""

from __future__ import annotations

import html
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from stitchlog.reports import export

# What each report answers, as a person would ask it, in the order that they are read.
QUESTIONS = {
    "review": ("Review", "What was worked on, in which order, from where to where; what was started and finished."),
    "pace": ("Pace", "How fast each piece goes, compared fairly."),
    "rotation": ("Rotation", "What is getting the needle, what is neglected, what to pick up next."),
    "finish": ("Finish", "When a piece should be finished: a window with a chance."),
    "plan": ("Plan", "Whether stitch-alongs, challenges and events fit in the time there is, and what has to give."),
    "materials": ("Materials", "Fabric, thread and skeins to buy; whether every colour will show on the cloth."),
}


@dataclass(frozen=True)
class Entry:
    """One report of a run: its `name`, a `line` that says what it covers, and why it `failed` (None: it did not)."""

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
    target = Path(out) / "index.html"
    if entries is None:
        entries = [Entry(name) for name in QUESTIONS if (Path(out) / f"{name}.html").exists()]
    items = "\n".join(_item(Path(out), entry) for entry in entries)
    said = f"<p>{html.escape(line)}</p>" if line else ""
    target.write_text(
        export.page(title, f'<h1>{html.escape(title)}</h1>{said}<ul class="reports">\n{items}\n</ul>'), "utf-8"
    )
    return target


def _item(out: Path, entry: Entry) -> str:
    heading, question = QUESTIONS.get(entry.name, (entry.name, ""))
    link = html.escape(entry.name, quote=True)
    if entry.failed:
        return (
            f"<li><h2>{html.escape(heading)}</h2><p>{html.escape(question)}</p>"
            f'<p class="failed">This one could not be made: {html.escape(entry.failed)}</p></li>'
        )
    more = "".join(f"<p>{part}</p>" for part in (html.escape(question), html.escape(entry.line)) if part)
    return f'<li><h2><a href="{link}.html">{html.escape(heading)}</a></h2>{more}{_beside(out, entry.name)}</li>'


def _beside(out: Path, name: str) -> str:
    """Links to what a report wrote besides its page."""
    links = []
    if (out / f"{name}.ipynb").exists():
        links.append(f'<a href="{html.escape(name)}.ipynb">notebook</a>')
    if (out / name / "notes.md").exists():
        links.append(f'<a href="{html.escape(name)}/notes.md">notes to talk from</a>')
    if (out / name).is_dir():
        links.append(f'<a href="{html.escape(name)}/">tables and pictures</a>')
    return f'<p class="quiet">{" · ".join(links)}</p>' if links else ""
