"""A stitch-log analytics workbook: a CSV diary in, reports to talk through out.

The public names load on first use, so that the command line answers at once.
"""

from __future__ import annotations

import importlib
import sys
from typing import Any

from stitchlog.diary.imports import without_address_checker

__version__ = "0.1.0"

# Each public name and the module that it is, or is in.
_MODULES = {
    "explore": "stitchlog.workbook.explore",
    "finish": "stitchlog.reports.finish",
    "forecast": "stitchlog.model.forecast",
    "forms": "stitchlog.workbook.forms",
    "materials": "stitchlog.reports.materials",
    "overview": "stitchlog.workbook.overview",
    "pace": "stitchlog.reports.pace",
    "plan": "stitchlog.reports.plan",
    "review": "stitchlog.reports.review",
    "rotation": "stitchlog.reports.rotation",
    "stash": "stitchlog.reports.stash",
}
_OBJECTS = {
    "Diary": "stitchlog.diary.diary",
    "Page": "stitchlog.render.pages",
    "StitchlogError": "stitchlog.errors",
    "open_diary": "stitchlog.diary.diary",
}
__all__ = [*_OBJECTS, *_MODULES]


def __getattr__(name: str) -> Any:
    if name in _MODULES:
        return _imported(_MODULES[name])
    if name in _OBJECTS:
        return getattr(_imported(_OBJECTS[name]), name)
    raise AttributeError(f"module 'stitchlog' has no attribute {name!r}")


def _imported(module: str) -> Any:
    with without_address_checker():
        return importlib.import_module(module)


def _in_a_notebook() -> None:
    """Where a notebook imports the package, its own charts are shown with no network too."""
    shell = sys.modules["IPython"].get_ipython() if "IPython" in sys.modules else None
    if shell is not None:
        _imported("stitchlog.render.showing").teach(shell)


_in_a_notebook()
