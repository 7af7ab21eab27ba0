"""An executed notebook becomes one page that opens with no network, and its charts become pictures beside it."""

from __future__ import annotations

import functools
import html
import json
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import jinja2
import mistune
import nbformat

from stitchlog import theme
from stitchlog.reports import vega

_HERE = Path(__file__).parent
# Cells that say how to use the notebook, and papermill's own marks on one that failed, are not part of the page.
_NOT_FOR_PAGES = {"workbook-only", "papermill-error-cell-tag"}
# What a chart's specification has in a page that it has not in the workbook.
_LIVE = {"$schema": vega.SCHEMA}
_FLUID = {"width": "container", "autosize": {"type": "fit-x", "contains": "padding"}}
_HEADING = re.compile(r"<h([1-6])(\b[^>]*)>(.*?)</h\1>", re.DOTALL | re.IGNORECASE)


@dataclass(frozen=True)
class Chart:
    """A chart of a notebook: `name`, Vega-Lite `spec`, text `alternative`, and `drawn`, its picture as SVG."""

    name: str
    spec: dict[str, Any]
    alternative: str
    drawn: str


def to_html(book: nbformat.NotebookNode, title: str | None = None) -> str:
    """The page of an executed notebook: what its markdown says and its cells show, no code.

    title: the page's (None: the notebook's first heading). A cell that failed leaves a line that says so.
    """
    return _page(book, charts(book), title)


def write(notebook: nbformat.NotebookNode | str | Path, out: str | Path, name: str, title: str | None = None) -> Path:
    """Writes `out/NAME.html`, and each chart as `out/NAME/CHART.png` with its text alternative in `CHART.txt`.

    notebook: an executed notebook or its path. Returns the page's path.
    """
    book = nbformat.read(notebook, as_version=4) if isinstance(notebook, str | Path) else notebook
    out = Path(out)
    drawn = charts(book)
    beside = out / name
    if drawn:
        beside.mkdir(parents=True, exist_ok=True)
    for chart in drawn:
        (beside / f"{chart.name}.png").write_bytes(vega.png(chart.drawn))
        (beside / f"{chart.name}.txt").write_text(chart.alternative + "\n", "utf-8")
    target = out / f"{name}.html"
    target.write_text(_page(book, drawn, title), "utf-8")
    return target


def charts(book: nbformat.NotebookNode) -> list[Chart]:
    """The charts of an executed notebook, in order, each with a name of its own, drawn in its diary's language."""
    language = language_of(book)
    found: list[Chart] = []
    for output in _outputs(book):
        spec = _chart_in(output)
        if spec is None:
            continue
        about = _about(output)
        name = _own_name(about.get("name") or "chart", {c.name for c in found})
        alternative = about.get("alt") or spec.get("description") or "A chart without a description."
        drawn = vega.svg(spec, language)
        found.append(Chart(name, spec | _LIVE | (_FLUID if about.get("fluid") else {}), alternative, drawn))
    return found


def language_of(book: nbformat.NotebookNode) -> str:
    """The language that the notebook's page was shown in, a CLDR locale name."""
    for output in _outputs(book):
        if language := _about(output).get("language"):
            return language
    return "en_GB"


def page(title: str, body: str, **more: Any) -> str:
    """A whole page around `body`, which is HTML; its headings are put in order below one `h1`."""
    return _template().render(title=title, body=in_order(body, title), css=theme.css(), **more)


def in_order(body: str, title: str) -> str:
    """`body` with one `h1` (its first heading, or `title` where that is no h1) and no level left out below it."""
    first = _HEADING.search(body)
    if first is None or first[1] != "1":
        body = f"<h1>{html.escape(title)}</h1>\n{body}"
    last = 0

    def put(found: re.Match[str]) -> str:
        nonlocal last
        last = 1 if last == 0 else min(max(int(found[1]), 2), last + 1)
        return f"<h{last}{found[2]}>{found[3]}</h{last}>"

    return _HEADING.sub(put, body)


def _page(book: nbformat.NotebookNode, drawn: list[Chart], title: str | None) -> str:
    body = _with_help("\n".join(_parts(book, iter(drawn))), drawn)
    first = re.search(r"<h1\b[^>]*>(.*?)</h1>", body, re.DOTALL)
    title = title or (html.unescape(re.sub(r"<[^>]+>", "", first[1])).strip() if first else "A report")
    language = language_of(book)
    return page(
        title,
        body,
        lang=language.replace("_", "-") if language.startswith("en") else "en",
        specs=_json([c.spec for c in drawn]),
        bundle=vega.bundle() if drawn else "",
        script=_script(),
        dark=_json(theme.dark_of()),
        locales=_json(vega.locales(language)),
    )


def _parts(book: nbformat.NotebookNode, drawn: Iterator[Chart]) -> Iterator[str]:
    number = 0
    for cell in book.cells:
        if _NOT_FOR_PAGES & set(cell.metadata.get("tags", [])):
            continue
        if cell.cell_type == "markdown":
            yield _markdown(cell.source)
        for output in cell.get("outputs", []):
            if _chart_in(output) is not None:
                yield _figure(number, next(drawn))
                number += 1
            else:
                yield _shown(output)


def _with_help(body: str, drawn: list[Chart]) -> str:
    """`body` with, above its first chart, what a reader can do with the charts; shown where scripts run."""
    help = ""
    if any(_has(c.spec, theme.FOLLOW) for c in drawn):
        help += (
            '<p class="follow"><label for="follow">Follow one piece through the charts</label> '
            '<select id="follow"><option value="">all pieces</option></select></p>'
        )
    if any(_has(c.spec, theme.ZOOM) for c in drawn):
        help += (
            '<p class="follow quiet">Long charts can be dragged sideways, and zoomed with Ctrl and the wheel; '
            "a double click puts them back.</p>"
        )
    place = max(body.rfind('<p class="says"', 0, body.find("<figure")), 0)
    return body[:place] + help + body[place:]


def _figure(number: int, chart: Chart) -> str:
    import base64

    width, height = vega.size(chart.drawn)
    still = base64.b64encode(vega.picture(chart.drawn, chart.alternative).encode()).decode()
    alternative = html.escape(chart.alternative, quote=True)
    follows = " data-follows" if _has(chart.spec, theme.FOLLOW) else ""
    return (
        f'<figure class="chart" id="chart-{html.escape(chart.name, quote=True)}" data-chart="{number}"{follows}>'
        f'<img class="still" width="{width}" height="{height}" alt="{alternative}" '
        f'src="data:image/svg+xml;base64,{still}">'
        f'<div class="live" role="img" aria-label="{alternative}"></div></figure>'
    )


def _shown(output: nbformat.NotebookNode) -> str:
    """An output that is not a chart, as HTML; what only the workbook or the terminal needs is left out."""
    if output.output_type == "error":
        what = html.escape(f"{output.ename}: {output.evalue}")
        return f'<p class="failed" role="alert">This part of the report could not be made. {what}</p>'
    if output.output_type == "stream":
        return f"<pre>{html.escape(output.text)}</pre>" if output.name == "stdout" else ""
    data = output.data
    if _about(output).get("part") == "style":
        return ""
    if any(kind.startswith("application/vnd.jupyter.widget") for kind in data):
        return ""
    if "text/html" in data:
        return data["text/html"]
    for kind in ("image/png", "image/jpeg"):
        if kind in data:
            alternative = html.escape(data.get("text/plain", "A picture."), quote=True)
            return f'<p class="picture"><img alt="{alternative}" src="data:{kind};base64,{data[kind].strip()}"></p>'
    return f"<pre>{html.escape(data['text/plain'])}</pre>" if data.get("text/plain") else ""


def _outputs(book: nbformat.NotebookNode) -> Iterable[nbformat.NotebookNode]:
    return (output for cell in book.cells for output in cell.get("outputs", []))


def _chart_in(output: nbformat.NotebookNode) -> dict[str, Any] | None:
    """The Vega-Lite specification in an output, whichever version it names; None where it holds no chart."""
    for kind, content in output.get("data", {}).items():
        if kind.startswith("application/vnd.vegalite."):
            return content
    return None


def _about(output: nbformat.NotebookNode) -> dict[str, Any]:
    return output.get("metadata", {}).get("stitchlog", {})


def _own_name(name: str, taken: set[str]) -> str:
    """A name that can be a file's on any system, and that no other chart of the page has."""
    base = re.sub(r"[^\w-]+", "-", name).strip("-") or "chart"
    own, n = base, 2
    while own in taken:
        own, n = f"{base}-{n}", n + 1
    return own


def _has(spec: Any, parameter: str) -> bool:
    """Whether any view of a chart has the parameter."""
    if isinstance(spec, dict):
        if any(p.get("name") == parameter for p in spec.get("params", []) if isinstance(p, dict)):
            return True
        parts = ("layer", "hconcat", "vconcat", "concat", "spec")
        return any(_has(v, parameter) for k, v in spec.items() if k in parts)
    return isinstance(spec, list) and any(_has(v, parameter) for v in spec)


def _json(value: Any) -> str:
    """JSON that may stand inside a script element, whatever a diary's names hold."""
    return json.dumps(value, ensure_ascii=False, separators=(",", ":")).replace("<", "\\u003c")


@functools.cache
def _template() -> jinja2.Template:
    return jinja2.Environment(autoescape=True, undefined=jinja2.Undefined).from_string(
        (_HERE / "page.html").read_text("utf-8")
    )


@functools.cache
def _script() -> str:
    return (_HERE / "page.js").read_text("utf-8")


@functools.cache
def _reader() -> Any:
    return mistune.create_markdown(escape=True, plugins=["table", "strikethrough"])


def _markdown(source: str) -> str:
    return _reader()(source)
