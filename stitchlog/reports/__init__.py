"""Running the notebooks and making pages of them; notes, cards and other things that a report hands out."""

from __future__ import annotations

import importlib
from typing import Any

# What notebooks show through; these load on first use.
__all__ = ["cards", "notes", "storyboard"]

# Every report and what it answers, in the order in which they are read.
REPORTS = {
    "review": "what happened in a period, ready to be talked through",
    "pace": "how fast you are on which piece, compared fairly",
    "rotation": "what gets the needle, and what to pick up next",
    "finish": "when big pieces will be finished, with the chances",
    "plan": "whether your stitch-alongs, challenges and due dates fit",
    "materials": "cloth size, thread per colour, what to buy, what will show",
}


def __getattr__(name: str) -> Any:
    if name in __all__:
        return importlib.import_module(f"stitchlog.reports.{name}")
    raise AttributeError(f"module 'stitchlog.reports' has no attribute {name!r}")
