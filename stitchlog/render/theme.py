"""One look for charts, pages and cards: colours, type and spacing in one place.

Two schemes, light (the paper) and dark. Charts are specified in light colours; `dark_of` says what each becomes.
"""

from __future__ import annotations

from dataclasses import astuple, dataclass, fields
from pathlib import Path
from typing import Any


@dataclass(frozen=True)
class Scheme:
    """The colours of one scheme, as hex.

    paper: behind everything; raised: behind tables and charts; ink: text; quiet: lesser text (4.5 : 1); rule: lines
    that only decorate; edge: lines that mean something (3 : 1); care: behind a caution. hues: for different things,
    apart for colour-blind readers and 3 : 1 on paper. ramp: little to much of one thing, for areas that are outlined.
    """

    paper: str
    raised: str
    ink: str
    quiet: str
    rule: str
    edge: str
    care: str
    hues: tuple[str, ...]
    ramp: tuple[str, ...]


LIGHT = Scheme(
    paper="#fbf9f4",
    raised="#fffefb",
    ink="#2b2a27",
    quiet="#635f57",
    rule="#d9d3c5",
    edge="#8a8374",
    care="#f6ecd6",
    hues=("#1a5998", "#b9703f", "#17431d", "#9274c3", "#726322", "#952755", "#5c8c8a"),
    ramp=("#e6ecef", "#b7cfe0", "#83abcd", "#4b82b3", "#184f87"),
)
DARK = Scheme(
    paper="#1c1b19",
    raised="#242320",
    ink="#ece8df",
    quiet="#b3aea3",
    rule="#46433c",
    edge="#8f897c",
    care="#3a3222",
    hues=("#70aff4", "#e08f5f", "#b4e5b3", "#8f68ca", "#f3d552", "#c8546a", "#5e8c89"),
    ramp=("#2b3138", "#2f4a66", "#3d6a97", "#5a93cc", "#a5cdf7"),
)

PAPER, INK, QUIET, RULE, EDGE = LIGHT.paper, LIGHT.ink, LIGHT.quiet, LIGHT.rule, LIGHT.edge
HUES, RAMP = LIGHT.hues, LIGHT.ramp
ACCENT = HUES[0]
# The chart parameters that hold the piece a reader follows and the days looked at, and what other pieces fade to.
FOLLOW, ZOOM, FADED = "follow", "zoom", 0.15
# The width, in pixels, of the plot of a chart of its container's width where there is no container: in the workbook,
# on paper and in its PNG, which is so many times finer. What stands beside the plot adds to it.
PLOT_WIDTH, PNG_SCALE = 560, 2
FONT = "Liberation Sans, Helvetica, Arial, sans-serif"
SERIF = 'Charter, Georgia, "Liberation Serif", serif'


def dark_of() -> dict[str, str]:
    """Each light colour and the dark one that takes its place."""

    def flat(scheme: Scheme) -> list[str]:
        return [c for value in astuple(scheme) for c in ([value] if isinstance(value, str) else value)]

    return dict(zip(flat(LIGHT), flat(DARK), strict=True))


def chart_config() -> dict[str, Any]:
    """The Vega-Lite `config` of every chart."""
    words = {
        "labelColor": INK,
        "titleColor": INK,
        "labelFontSize": 13,
        "titleFontSize": 13,
        "titleFontWeight": "normal",
    }
    return {
        "background": "transparent",
        "font": FONT,
        # A chart is one picture with one text alternative, not one voice a mark.
        "aria": False,
        "axis": words
        | {"gridColor": RULE, "domainColor": EDGE, "tickColor": EDGE, "labelLimit": 190, "labelSeparation": 8},
        # Measuring what never grows long doubles the time that a picture takes.
        "axisQuantitative": {"labelLimit": 0},
        "axisTemporal": {"labelLimit": 0},
        "axisXDiscrete": {"labelOverlap": "greedy", "labelSeparation": 4},
        "legend": words | {"labelLimit": 240, "symbolSize": 110},
        "header": {"labelColor": INK, "titleColor": INK, "labelFontSize": 13, "titleFontSize": 13, "labelLimit": 240},
        "title": {"color": INK, "subtitleColor": QUIET, "fontWeight": "normal", "fontSize": 14},
        "range": {"category": list(HUES), "ramp": list(RAMP), "heatmap": list(RAMP), "ordinal": list(RAMP)},
        "mark": {"color": ACCENT, "aria": False},
        "area": {"color": ACCENT},
        "bar": {"color": ACCENT},
        "line": {"color": ACCENT, "strokeWidth": 2},
        "point": {"color": ACCENT, "opacity": 1},
        "circle": {"opacity": 1},
        "tick": {"color": ACCENT, "opacity": 1},
        "rule": {"color": QUIET},
        "text": {"color": INK, "fontSize": 13},
        "view": {"stroke": None, "continuousHeight": 260},
    }


def css() -> str:
    """The style sheet of a page: light, dark where the reader's system asks for it, and print."""
    return (
        f":root{{color-scheme:light dark;{_variables(LIGHT)}}}\n"
        f"@media screen and (prefers-color-scheme:dark){{:root{{{_variables(DARK)}}}}}\n"
        + Path(__file__).with_suffix(".css").read_text("utf-8").replace("FONT", FONT).replace("SERIF", SERIF)
    )


def picture_css() -> str:
    """The style that a static picture of a chart carries, so that it turns dark with the page and nowhere else."""
    rules = "".join(
        f'[{part}="{light}"]{{{part}:{dark}}}' for light, dark in dark_of().items() for part in ("fill", "stroke")
    )
    return f"@media screen and (prefers-color-scheme:dark){{{rules}}}"


def workbook_css() -> str:
    """The few rules that a page's parts need inside JupyterLab, which brings its own colours."""
    return (
        "<style>.says{font-size:115%;max-width:46em;margin:.6em 0 .2em}.note{max-width:46em}"
        f".caution{{max-width:46em;border-left:4px solid {HUES[1]};padding-left:.8em}}"
        ".jp-RenderedHTMLCommon table.data{margin:0}table.data caption{text-align:left;font-weight:bold}"
        ".jp-RenderedHTMLCommon table.data :is(td,th){text-align:left;white-space:normal}"
        ".jp-RenderedHTMLCommon table.data .num{text-align:right;font-variant-numeric:tabular-nums}"
        ".wide{overflow-x:auto}.swatch{display:inline-block;width:.9em;height:.9em;border:1px solid;margin-right:.4em}"
        "</style>"
    )


def _variables(scheme: Scheme) -> str:
    single = {f.name: getattr(scheme, f.name) for f in fields(scheme) if isinstance(getattr(scheme, f.name), str)}
    return "".join(
        f"--{name}:{value};" for name, value in (single | {"accent": scheme.hues[0], "warm": scheme.hues[1]}).items()
    )
