"""One look for charts, pages and cards: colours, type and spacing in one place.

Two schemes, light (the paper) and dark. Charts are specified in light colours; `dark_of` says what each becomes.
"""

from __future__ import annotations

from dataclasses import astuple, dataclass, fields
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
# What a piece that is not the one followed fades to.
FADED = 0.15
# The width, in pixels, that a chart of its container's width has on paper and in its PNG, and how much finer a PNG is.
CHART_WIDTH, PNG_SCALE = 720, 2
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
        "axis": words | {"gridColor": RULE, "domainColor": EDGE, "tickColor": EDGE, "labelLimit": 190},
        "legend": words | {"labelLimit": 240, "symbolSize": 110},
        "header": {"labelColor": INK, "titleColor": INK, "labelFontSize": 13, "titleFontSize": 13, "labelLimit": 240},
        "title": {"color": INK, "subtitleColor": QUIET, "fontWeight": "normal", "fontSize": 14},
        "range": {"category": list(HUES), "ramp": list(RAMP), "heatmap": list(RAMP), "ordinal": list(RAMP)},
        "mark": {"color": ACCENT},
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
        + _RULES.replace("FONT", FONT).replace("SERIF", SERIF)
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


_RULES = """
*{box-sizing:border-box}
html{background:var(--paper);color:var(--ink);font:100%/1.55 FONT;-webkit-text-size-adjust:100%}
body{margin:0 auto;padding:1.5rem 1rem 4rem;max-width:54rem;overflow-wrap:anywhere}
h1,h2,h3,h4{font-family:SERIF;font-weight:normal;line-height:1.2;text-wrap:balance}
h1{font-size:clamp(1.7rem,5vw,2.4rem);margin:.2em 0 .5em;padding-bottom:.55em;position:relative}
h1::after{content:"";position:absolute;left:0;bottom:0;width:min(100%,18rem);height:9px;background:
 linear-gradient(45deg,transparent 45%,var(--accent) 45% 55%,transparent 55%) 0 0/12px 9px,
 linear-gradient(-45deg,transparent 45%,var(--accent) 45% 55%,transparent 55%) 0 0/12px 9px}
h2{font-size:1.5rem;margin:2.2em 0 .5em}
h3{font-size:1.2rem;margin:1.8em 0 .4em}
p,ul,ol{max-width:40rem;margin:.6em 0}
a{color:var(--accent);text-underline-offset:.15em}
:focus-visible{outline:3px solid var(--accent);outline-offset:2px}
.skip{position:absolute;left:-999rem}.skip:focus{left:1rem;top:.5rem;background:var(--raised);padding:.3em .6em;z-index:9}
.says{font:1.22rem/1.4 SERIF;margin:1.8em 0 .5em;max-width:42rem}
.quiet,.note{color:var(--quiet)}
.caution{background:var(--care);border-left:4px solid var(--warm);padding:.7em 1em;border-radius:2px}
.failed{border:2px solid var(--warm);padding:.7em 1em}
figure{margin:.4em 0 1.6em}
.chart{background:var(--raised);border:1px solid var(--rule);border-radius:3px;padding:.8rem .8rem .5rem;overflow-x:auto}
.chart .live{width:100%;display:none}
.drawn .live{display:block}.drawn .still{display:none}
.still{display:block;max-width:100%;height:auto}
.picture img{display:block;max-width:100%;height:auto;border:1px solid var(--rule)}
.follow{display:none;gap:.6em;align-items:baseline;flex-wrap:wrap;margin:1em 0}
.scripted .follow{display:flex}
select{font:inherit;color:inherit;background:var(--raised);border:1px solid var(--edge);border-radius:3px;padding:.25em .4em;max-width:100%}
.wide{overflow-x:auto;margin:.8em 0 1.8em;max-width:100%}
table{border-collapse:collapse;font-size:.95rem;overflow-wrap:normal}
caption{text-align:left;font-weight:bold;padding:0 0 .5em;caption-side:top}
th,td{padding:.35em .9em .35em 0;text-align:start;vertical-align:top;border-bottom:1px solid var(--rule)}
th{font-weight:normal}thead th{color:var(--quiet);border-bottom:1px solid var(--edge);vertical-align:bottom;line-height:1.25}
td,tbody th{min-width:3.5em;max-width:22em}
.num{text-align:right;font-variant-numeric:tabular-nums;white-space:nowrap}.day{white-space:nowrap}
.swatch{display:inline-block;width:.95em;height:.95em;border:1px solid var(--edge);border-radius:2px;margin-inline-end:.45em;vertical-align:-.1em}
code{font-size:.92em}
.more{color:var(--quiet);font-size:.92rem;margin-top:.5em}
footer{margin-top:4rem;padding-top:1rem;border-top:1px solid var(--rule);color:var(--quiet);font-size:.9rem}
.reports{list-style:none;padding:0;max-width:none;display:grid;gap:1rem;grid-template-columns:repeat(auto-fill,minmax(min(100%,16rem),1fr))}
.reports li{background:var(--raised);border:1px solid var(--rule);border-radius:3px;padding:1rem 1.1rem}
.reports h2{margin:0 0 .3em;font-size:1.25rem}.reports p{margin:.3em 0}
#vg-tooltip-element.vg-tooltip{background:var(--raised);color:var(--ink);border:1px solid var(--edge);font:14px/1.4 FONT;max-width:20rem}
#vg-tooltip-element.vg-tooltip table{font-size:inherit}#vg-tooltip-element.vg-tooltip table tr td{border:0;padding:1px 4px;color:var(--ink)}
#vg-tooltip-element.vg-tooltip table tr td.key{color:var(--quiet);max-width:12rem}
@media (max-width:30rem){body{padding:1rem .8rem 3rem}.chart{padding:.5rem .3rem}}
@media print{
 @page{margin:16mm 14mm}
 html{font-size:10.5pt;background:none}body{max-width:none;padding:0}
 .skip,.follow,.hint{display:none!important}
 .drawn .live{display:none}.drawn .still{display:block}
 .chart{border:0;padding:0;background:none;overflow:visible}.wide{overflow:visible}
 figure,.chart,tr,.card{break-inside:avoid}h2,h3,.says,caption{break-after:avoid}
 thead{display:table-header-group}.says{margin-top:1.2em}
 .sheet{break-before:page}
 a{color:inherit;text-decoration:none}
}
"""
