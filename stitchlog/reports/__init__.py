"""Running the notebooks and making pages of them; notes, cards and other things that a report hands out."""

from __future__ import annotations

import importlib
from typing import Any

# What notebooks show through; these load on first use.
__all__ = ["cards", "notes", "storyboard"]


def __getattr__(name: str) -> Any:
    if name in __all__:
        return importlib.import_module(f"stitchlog.reports.{name}")
    raise AttributeError(f"module 'stitchlog.reports' has no attribute {name!r}")
