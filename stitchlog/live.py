"""What a reader can do with a chart, whoever drew it: follow one piece, and look closer at a long period."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pandas as pd

from stitchlog import theme

_CHILDREN = ("layer", "hconcat", "vconcat", "concat")
_COMPOSITE = {"boxplot", "errorbar", "errorband"}
# Marks that draw many rows as one; they show a single piece only where it splits them.
_JOINED = {"line", "area", "trail"}
_SPLITTING = {"color", "fill", "stroke", "detail", "shape", "strokeDash", "facet", "row", "column"}
# From here on a chart of days is worth looking at in parts.
_LONG_DAYS = 120

_FOLLOW = {"name": theme.FOLLOW, "select": {"type": "point", "fields": ["piece"], "toggle": False}}
# Dragging is the mouse's alone, so that a finger still scrolls the page; the wheel zooms with Ctrl, as a pinch does.
_ZOOM = {
    "name": theme.ZOOM,
    "select": {
        "type": "interval",
        "encodings": ["x"],
        "translate": "[pointerdown[event.pointerType == 'mouse'], window:pointerup] > window:pointermove!",
        "zoom": "wheel![event.ctrlKey]",
    },
    "bind": "scales",
}


def enliven(spec: dict[str, Any]) -> dict[str, Any]:
    """The Vega-Lite `spec`, changed in place: `follow` where its marks are pieces, `zoom` where its days are many."""
    units = list(_units(spec, {}, None))
    pieces = [(u, e) for u, e, _ in units if _shows_piece(u, e)]
    if pieces and not _has_param(units, theme.FOLLOW):
        for unit, encoding in pieces:
            if "opacity" not in encoding:
                unit.setdefault("encoding", {})["opacity"] = _fading(unit)
        pieces[0][0].setdefault("params", []).append(_FOLLOW)
    if not any(k in spec for k in ("hconcat", "vconcat", "concat", "facet", "spec", "repeat")):
        for unit, encoding, data in units:
            # Rows with a name each carry labels at their ends, which a zoomable plot would cut off.
            named = encoding.get("y", {}).get("type") in ("nominal", "ordinal") or {"row", "column", "facet"} & set(
                encoding
            )
            if not named and _is_long(encoding.get("x"), _rows(spec, data)):
                unit.setdefault("params", []).append(_ZOOM)
                break
    return spec


def _units(
    spec: dict[str, Any], above: dict[str, Any], data: Any
) -> Iterator[tuple[dict[str, Any], dict[str, Any], Any]]:
    """Every view that draws marks, with the encoding that holds there and its data."""
    encoding = above | spec.get("encoding", {})
    data = spec.get("data", data)
    if "mark" in spec:
        yield spec, encoding, data
    for key in _CHILDREN:
        for child in spec.get(key, []):
            yield from _units(child, encoding, data)
    if isinstance(spec.get("spec"), dict):
        yield from _units(spec["spec"], encoding, data)


def _mark(unit: dict[str, Any]) -> dict[str, Any]:
    return {"type": unit["mark"]} if isinstance(unit["mark"], str) else unit["mark"]


def _shows_piece(unit: dict[str, Any], encoding: dict[str, Any]) -> bool:
    kind = _mark(unit)["type"]
    channels = {name for name, channel in encoding.items() if _is_piece(channel)}
    if kind in _COMPOSITE:
        return False
    return bool(channels & _SPLITTING if kind in _JOINED else channels)


def _is_piece(channel: Any) -> bool:
    if isinstance(channel, list):
        return any(_is_piece(c) for c in channel)
    return isinstance(channel, dict) and channel.get("field") == "piece"


def _fading(unit: dict[str, Any]) -> dict[str, Any]:
    own = _mark(unit).get("opacity", 1)
    return {"condition": {"param": theme.FOLLOW, "value": own}, "value": min(own, theme.FADED)}


def _has_param(units: list[tuple[dict[str, Any], Any, Any]], name: str) -> bool:
    return any(p.get("name") == name for unit, _, _ in units for p in unit.get("params", []))


def _rows(spec: dict[str, Any], data: Any) -> list[dict[str, Any]]:
    if not isinstance(data, dict):
        return []
    return spec.get("datasets", {}).get(data.get("name")) or data.get("values") or []


def _is_long(x: Any, rows: Any) -> bool:
    if not isinstance(x, dict) or x.get("type") != "temporal" or "bin" in x or not isinstance(rows, list):
        return False
    days = [str(row[x["field"]]) for row in rows if row.get(x.get("field"))]
    if not days:
        return False
    return (pd.Timestamp(max(days)) - pd.Timestamp(min(days))).days > _LONG_DAYS
