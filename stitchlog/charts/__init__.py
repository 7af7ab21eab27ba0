"""Charts: each a function of one tidy frame that returns an altair chart. They load on first use."""

from __future__ import annotations

import importlib
from typing import Any

__all__ = ["finish", "materials", "pace", "plan", "review", "rotation"]


def __getattr__(name: str) -> Any:
    if name in __all__:
        return importlib.import_module(f"stitchlog.charts.{name}")
    raise AttributeError(f"module 'stitchlog.charts' has no attribute {name!r}")
