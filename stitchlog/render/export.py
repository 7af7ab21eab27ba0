"""An executed notebook becomes one page that opens with no network, and its charts become pictures beside it."""

from __future__ import annotations

import base64
import html
import json
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import mistune
import nbformat

from stitchlog.render import document, theme, vega
from stitchlog.render import outputs as shown
from stitchlog.render.vega import MIME as CHART_MIME

_HERE = Path(__file__).parent
# What may not stand in the name of a file or a place on a page.
_NOT_IN_NAMES = re.compile(r"[^\w-]+")
_markdown = mistune.create_markdown()
# Cells that say how to use the notebook, and papermill's own marks on one that failed, are not part of the page.
_NOT_FOR_PAGES = {"workbook-only", "papermill-error-cell-tag"}
# What a chart as wide as its container has in a page that it has not in the workbook.
_FLUID = {"width": "container", "autosize": {"type": "fit-x", "contains": "padding"}}
_FOLLOW = (
    '<p class="follow"><label for="follow">Follow one piece through the charts</label> '
    '<select id="follow"><option value="">all pieces</option>{options}</select></p>'
)
_ZOOM = (
    '<p class="follow quiet">Long charts can be dragged sideways, and zoomed with Ctrl and the wheel; '
    "a double click puts them back.</p>"
)


@dataclass(frozen=True)
class Chart:
    """A chart of a notebook: `name`, Vega-Lite `spec`, text `alternative`, and `drawn`, its picture as SVG."""

    name: str
    spec: dict[str, Any]
    alternative: str
    drawn: str

    def has(self, parameter: str) -> bool:
        """Whether one of its views has the parameter (see `stitchlog.live`)."""
        views = [self.spec, *self.spec.get("layer", [])]
        return any(p.get("name") == parameter for view in views for p in view.get("params", []))


def write(notebook: Path, out: Path, name: str, remark: str = "") -> Path:
    """Writes `out/NAME.html`, and each chart as `out/NAME/CHART.png` with its text alternative in `CHART.txt`.

    Besides them `out/NAME/report.json`, which the index page reads.

    notebook: an executed notebook; its charts get pictures too, for programs that cannot draw them. remark: a line on
    the page about the notebook. Returns the page's path.
    """
    book = nbformat.read(notebook, as_version=4)
    drawn = charts(book)
    beside = out / name
    for output, chart in zip(_chart_outputs(book), drawn, strict=True):
        beside.mkdir(parents=True, exist_ok=True)
        (beside / f"{chart.name}.png").write_bytes(vega.png(chart.drawn))
        (beside / f"{chart.name}.txt").write_text(chart.alternative + "\n", "utf-8")
        output.data["image/png"] = base64.b64encode(vega.thumbnail(chart.drawn)).decode("ascii")
        output.metadata["image/png"] = {"alt": chart.alternative}
    if drawn:
        nbformat.write(book, notebook)
    target = out / f"{name}.html"
    target.write_text(to_html(book, drawn, name, remark), "utf-8")
    beside.mkdir(parents=True, exist_ok=True)
    (beside / document.SUMMARY).write_text(
        json.dumps(summary(book, drawn, name), ensure_ascii=False, indent=1) + "\n", "utf-8"
    )
    return target


def summary(book: nbformat.NotebookNode, drawn: list[Chart], name: str = "") -> dict[str, Any]:
    """What the index page says of a report: its title, its first sentence, and its first chart (None: it has none).

    The first sentence is the one above the first chart, where there is one.
    """
    said: dict[str, list[str]] = {"says": [], "note": []}
    for output in _outputs(book):
        said.get(_about(output).get("part", ""), []).append(output.get("data", {}).get("text/plain", ""))
    first = drawn[0] if drawn else None
    return {
        "title": _title(book) or name,
        "says": next(iter([*said["says"], *said["note"]]), ""),
        "chart": {"file": f"{first.name}.png", "alternative": first.alternative} if first else None,
    }


def charts(book: nbformat.NotebookNode) -> list[Chart]:
    """The charts of an executed notebook, in order, drawn in its diary's language, each by a name of its own."""
    language = _language(book)
    found: list[Chart] = []
    for number, output in enumerate(_chart_outputs(book), 1):
        spec, about = output.data[CHART_MIME], _about(output)
        live = spec | {"$schema": vega.SCHEMA} | (_FLUID if about.get("fluid") else {})
        # How JupyterLab is to show it; in a page it has no menu.
        live.pop("usermeta", None)
        name = _NOT_IN_NAMES.sub("-", about.get("name", "")) or f"chart-{number}"
        name = f"{name}-{number}" if any(chart.name == name for chart in found) else name
        alternative = about.get("alt") or output.data.get("text/plain", "A chart.")
        found.append(Chart(name, live, alternative, vega.svg(spec, language)))
    return found


def to_html(book: nbformat.NotebookNode, drawn: list[Chart], name: str = "", remark: str = "") -> str:
    """The page of an executed notebook with its `charts`: what its markdown says and its cells show, no code.

    A cell that failed leaves a line that says so. name: the page's title where the notebook has no heading.
    remark: a line below the page about the notebook.
    """
    language = _language(book)
    return document.page(
        _title(book) or name,
        _with_help("\n".join(_parts(book, drawn)), drawn, _pieces(book))
        + (f'<p class="quiet">{html.escape(remark)}</p>' if remark else ""),
        lang=language.replace("_", "-") if language.startswith("en") else "en",
        specs=_json([c.spec for c in drawn]),
        bundle=vega.bundle() if drawn else "",
        script=(_HERE / "page.js").read_text("utf-8"),
        dark=_json(theme.dark_of()),
        locales=_json(vega.locales(language)),
    )


def _parts(book: nbformat.NotebookNode, drawn: list[Chart]) -> Iterator[str]:
    figures = map(_figure, range(len(drawn)), drawn)
    heading = ""  # waits for what it stands above: a section that shows nothing has none
    for cell in _cells(book):
        if cell.cell_type == "markdown":
            text = str(_markdown(cell.source))
            if cell.source.startswith("## ") and "\n" not in cell.source.strip():
                heading = text
                continue
            yield heading + text
            heading = ""
        for output in cell.get("outputs", []):
            if _about(output).get("part") in ("style", "choices"):  # the workbook's own
                continue
            yield heading + (next(figures) if CHART_MIME in output.get("data", {}) else shown.to_html(output))
            heading = ""


def _with_help(body: str, drawn: list[Chart], pieces: list[str]) -> str:
    """`body` with, above its first chart, what a reader can do with the charts; shown where scripts run.

    pieces: those of the diary; a chart may also have a row for several together, which nobody can follow.
    """
    following = [
        row for c in drawn if c.has(theme.FOLLOW) for rows in c.spec.get("datasets", {}).values() for row in rows
    ]
    names = set(pieces) & {row.get("piece") for row in following if isinstance(row, dict)}
    options = "".join(f"<option>{html.escape(name)}</option>" for name in sorted(names, key=str.casefold))
    help = _FOLLOW.format(options=options) if names else ""
    help += _ZOOM if any(c.has(theme.ZOOM) for c in drawn) else ""
    place = max(body.rfind('<p class="says"', 0, body.find("<figure")), 0)
    return body[:place] + help + body[place:]


def _figure(number: int, chart: Chart) -> str:
    width, height = vega.size(chart.drawn)
    still = base64.b64encode(vega.picture(chart.drawn, chart.alternative).encode()).decode()
    alternative = html.escape(chart.alternative, quote=True)
    follows = " data-follows" if chart.has(theme.FOLLOW) else ""
    return (
        f'<figure class="chart" id="chart-{chart.name}" data-chart="{number}"{follows}>'
        f'<img class="still" width="{width}" height="{height}" alt="{alternative}" '
        f'src="data:image/svg+xml;base64,{still}">'
        f'<div class="live" role="img" aria-label="{alternative}"></div></figure>'
    )


def _pieces(book: nbformat.NotebookNode) -> list[str]:
    """The pieces of the diary that the notebook's page was opened on."""
    return [name for output in _outputs(book) for name in _about(output).get("pieces", [])]


def _language(book: nbformat.NotebookNode) -> str:
    """The language that the notebook's page was shown in, a CLDR locale name."""
    named = (_about(output).get("language") for output in _outputs(book))
    return next(filter(None, named), "en_GB")


def _title(book: nbformat.NotebookNode) -> str:
    """The first heading of a notebook, without its marks."""
    lines = (line for cell in book.cells if cell.cell_type == "markdown" for line in cell.source.splitlines())
    return next((line.lstrip("# ") for line in lines if line.startswith("#")), "")


def _cells(book: nbformat.NotebookNode) -> Iterator[nbformat.NotebookNode]:
    return (cell for cell in book.cells if not _NOT_FOR_PAGES & set(cell.metadata.get("tags", [])))


def _chart_outputs(book: nbformat.NotebookNode) -> list[nbformat.NotebookNode]:
    return [output for output in _outputs(book) if CHART_MIME in output.get("data", {})]


def _outputs(book: nbformat.NotebookNode) -> Iterator[nbformat.NotebookNode]:
    return (output for cell in _cells(book) for output in cell.get("outputs", []))


def _about(output: nbformat.NotebookNode) -> dict[str, Any]:
    about: dict[str, Any] = output.get("metadata", {}).get("stitchlog", {})
    return about


def _json(value: Any) -> str:
    """JSON that may stand inside a script element, whatever a diary's names hold."""
    return json.dumps(value, ensure_ascii=False, separators=(",", ":")).replace("<", "\\u003c")
