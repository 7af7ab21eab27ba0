"""The rotation report: what you stitched on, what waits, and what to pick up next."""

from stitchlog.reports.rotation import charts
from stitchlog.reports.rotation.flow import InProgress, Switches, in_progress, say_in_progress, say_switches, switches
from stitchlog.reports.rotation.picking import NEXT_UP_HEADINGS, PARTS, NextUp, next_up, say_next_up, say_weights
from stitchlog.reports.rotation.shares import (
    HEADINGS,
    UNUSUAL,
    Balance,
    balance,
    largest,
    recent,
    say_balance,
    say_waiting,
    say_wanted,
    waiting,
)

__all__ = [
    "HEADINGS",
    "NEXT_UP_HEADINGS",
    "PARTS",
    "UNUSUAL",
    "Balance",
    "InProgress",
    "NextUp",
    "Switches",
    "balance",
    "charts",
    "in_progress",
    "largest",
    "next_up",
    "recent",
    "say_balance",
    "say_in_progress",
    "say_next_up",
    "say_switches",
    "say_waiting",
    "say_wanted",
    "say_weights",
    "switches",
    "waiting",
]
