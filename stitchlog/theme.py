"""One look for charts, pages and cards: palette, type and spacing in one place."""

from __future__ import annotations

from typing import Any

# Seven hues that stay apart for colour-blind readers, each at least 3 : 1 on the paper (checked by a test).
HUES = ("#1f5f8b", "#b4531a", "#3b7d3f", "#8a4f9e", "#8c6d00", "#b03060", "#4a6d7c")
PAPER = "#fbf9f4"
INK = "#2b2a27"
QUIET = "#6b675f"
RULE = "#d9d3c5"
ACCENT = HUES[0]
FONT = "Liberation Sans, Helvetica, Arial, sans-serif"


def chart_config() -> dict[str, Any]:
    """The Vega-Lite `config` of every chart."""
    return {
        "background": "transparent",
        "font": FONT,
        "axis": {
            "labelColor": INK,
            "titleColor": INK,
            "labelFontSize": 13,
            "titleFontSize": 13,
            "titleFontWeight": "normal",
            "gridColor": RULE,
            "domainColor": QUIET,
            "tickColor": QUIET,
        },
        "legend": {"labelColor": INK, "titleColor": INK, "labelFontSize": 13, "titleFontSize": 13},
        "range": {"category": list(HUES)},
        "bar": {"color": ACCENT},
        "line": {"color": ACCENT, "strokeWidth": 2},
        "point": {"color": ACCENT},
        "text": {"color": INK, "fontSize": 13},
        "view": {"stroke": None},
    }
