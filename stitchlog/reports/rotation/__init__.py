"""What gets the needle, what waits, and what to pick up next."""

from stitchlog.reports.rotation import charts
from stitchlog.reports.rotation.flow import on_the_go, say_on_the_go, say_switches, strip, switches
from stitchlog.reports.rotation.picking import NEXT_UP_HEADINGS, PARTS, next_up, say_next_up, say_weights
from stitchlog.reports.rotation.shares import (
    HEADINGS,
    UNUSUAL,
    balance,
    glance,
    recent,
    say_balance,
    say_untouched,
    say_wanted,
    waiting,
)

__all__ = [
    "HEADINGS",
    "NEXT_UP_HEADINGS",
    "PARTS",
    "UNUSUAL",
    "balance",
    "charts",
    "glance",
    "next_up",
    "on_the_go",
    "recent",
    "say_balance",
    "say_next_up",
    "say_on_the_go",
    "say_switches",
    "say_untouched",
    "say_wanted",
    "say_weights",
    "strip",
    "switches",
    "waiting",
]
