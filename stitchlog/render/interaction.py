"""What a reader can do with a chart, whoever drew it: follow one piece, and look closer at a long period."""

from __future__ import annotations

from typing import Any

import pandas as pd

from stitchlog.render import theme

# Marks that draw many rows as one; they show a single piece only where it splits them.
_JOINED = {"line", "area"}
_SPLITTING = {"color", "fill", "stroke", "detail", "shape", "strokeDash", "row", "column"}
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
    """The Vega-Lite `spec`, changed in place: `follow` where its marks are pieces, `zoom` where its days are many.

    spec: one view or one level of layers, each with its own encoding; a chart put together in any other way stays as
    it is.
    """
    views = spec.get("layer", [spec])
    if not all("mark" in view for view in views):
        return spec
    pieces = [view for view in views if _shows_piece(view)]
    for view in pieces:
        view["encoding"].setdefault("opacity", _fading(view))
    for view in pieces[:1]:
        view.setdefault("params", []).append(_FOLLOW)
    for view in [view for view in views if _is_long(view, spec)][:1]:
        view.setdefault("params", []).append(_ZOOM)
    return spec


def _mark(view: dict[str, Any]) -> dict[str, Any]:
    return {"type": view["mark"]} if isinstance(view["mark"], str) else view["mark"]


def _shows_piece(view: dict[str, Any]) -> bool:
    channels = {name for name, channel in view.get("encoding", {}).items() if _is_piece(channel)}
    return bool(channels & _SPLITTING if _mark(view)["type"] in _JOINED else channels)


def _is_piece(channel: Any) -> bool:
    parts = channel if isinstance(channel, list) else [channel]
    return any(part.get("field") == "piece" for part in parts)


def _fading(view: dict[str, Any]) -> dict[str, Any]:
    own = _mark(view).get("opacity", 1)
    return {"condition": {"param": theme.FOLLOW, "value": own}, "value": min(own, theme.FADED)}


def _is_long(view: dict[str, Any], spec: dict[str, Any]) -> bool:
    """Whether a view's x goes over many days. Rows with a name each carry labels that a zoomable plot would cut off."""
    encoding = view.get("encoding", {})
    x = encoding.get("x", {})
    named = encoding.get("y", {}).get("type") in ("nominal", "ordinal") or {"row", "column"} & set(encoding)
    if x.get("type") != "temporal" or named:
        return False
    data = view.get("data") or spec.get("data") or {}
    rows = spec.get("datasets", {}).get(data.get("name"), [])
    days = [row[x["field"]] for row in rows if row.get(x.get("field"))]
    return bool(days) and (pd.Timestamp(max(days)) - pd.Timestamp(min(days))).days > _LONG_DAYS
