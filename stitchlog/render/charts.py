"""Charts as a notebook shows them: alive with no network, and as a picture wherever nothing can draw them."""

from __future__ import annotations

import base64
from typing import Any

import altair as alt
from IPython.core.getipython import get_ipython

from stitchlog import rounding, words
from stitchlog.render import interaction, theme, vega

MIME = vega.MIME
_SCHEMA = "https://vega.github.io/schema/vega-lite/v5.json"
# The menu beside a chart saves pictures; what would send its rows to an editor on the network is not in it.
_MENU = {"embedOptions": {"actions": {"export": True, "source": False, "compiled": False, "editor": False}}}
# What altair puts into every chart, where the look of a page says otherwise.
_ALTAIRS_OWN = {"view": {"continuousWidth": 300, "continuousHeight": 300}}


def spec_of(chart: alt.TopLevelMixin) -> tuple[dict[str, Any], bool]:
    """The Vega-Lite specification of a chart of any kind and number of rows, in the look of a page.

    With it, whether the chart is as wide as its page. Numbers are rounded to six significant digits and data sets are
    numbered, so that equal charts are equal on every machine. What the chart's own configuration says goes before the
    look.
    """
    with alt.data_transformers.enable("default", max_rows=None):
        spec = _steady(interaction.enliven(chart.to_dict()))
    own = {name: value for name, value in spec.get("config", {}).items() if value != _ALTAIRS_OWN.get(name)}
    look = theme.chart_config()
    for name, value in own.items():
        look[name] = look[name] | value if isinstance(look.get(name), dict) and isinstance(value, dict) else value
    # Inside the workbook, whose own colours may be dark, a chart stands on paper; in a page on the page.
    spec["config"] = look | {"background": theme.PAPER}
    spec["$schema"] = _SCHEMA
    spec["usermeta"] = _MENU
    fluid = spec.get("width") == "container"
    if fluid:
        # JupyterLab draws a chart of its container's width over and over; pages give it back that width.
        spec["width"] = theme.PLOT_WIDTH
        # Room set aside for labels beside the plot would count twice.
        spec.pop("padding", None)
        spec.pop("autosize", None)
    return spec, fluid


def bundle(chart: alt.TopLevelMixin, sentence: str = "", **about: Any) -> tuple[dict[str, Any], dict[str, Any]]:
    """What stands for a chart in a notebook, by kind, and what is remarked of it there.

    sentence: its text alternative where the chart has no description. In a live notebook a picture is among the kinds.
    """
    spec, fluid = spec_of(chart)
    alternative = spec.get("description") or sentence or "A chart."
    if sentence:
        spec.setdefault("description", alternative)
    data = {MIME: spec, "text/plain": alternative}
    remarks: dict[str, Any] = {"stitchlog": about | {"part": "chart", "alt": alternative, "fluid": fluid}}
    if hasattr(get_ipython(), "kernel"):
        still = vega.thumbnail(vega.svg(spec, words.language()))
        data |= {"image/png": base64.b64encode(still).decode("ascii")}
        remarks |= {"image/png": {"alt": alternative}}
    return data, remarks


def _steady(spec: dict[str, Any]) -> dict[str, Any]:
    """The Vega-Lite `spec` with its numbers rounded and its data sets named `data-1`, `data-2` ... in their order."""
    names = {old: f"data-{number}" for number, old in enumerate(spec.get("datasets", {}), 1)}

    def renamed(value: Any) -> Any:
        if isinstance(value, dict):
            return {k: names.get(v, v) if k == "name" and isinstance(v, str) else renamed(v) for k, v in value.items()}
        return [renamed(held) for held in value] if isinstance(value, list) else value

    datasets = {names[old]: rows for old, rows in spec.pop("datasets", {}).items()}
    steady: dict[str, Any] = rounding.tree(renamed(spec) | ({"datasets": datasets} if datasets else {}))
    return steady
