"""A stitch-log analytics workbook: a CSV diary in, reports to talk through out.

The public names load on first use, so that the command line answers at once.
"""

from __future__ import annotations

import importlib
from typing import Any

__version__ = "0.1.0"

_MODULES = (
    "charts",
    "forecast",
    "form",
    "materials",
    "overview",
    "pace",
    "pages",
    "plan",
    "reports",
    "review",
    "rotation",
)
__all__ = ["Diary", "StitchlogError", "open_diary", *_MODULES]


def __getattr__(name: str) -> Any:
    if name in _MODULES:
        return importlib.import_module(f"stitchlog.{name}")
    if name in ("Diary", "open_diary"):
        return getattr(importlib.import_module("stitchlog.diary"), name)
    if name == "StitchlogError":
        return importlib.import_module("stitchlog.errors").StitchlogError
    raise AttributeError(f"module 'stitchlog' has no attribute {name!r}")
