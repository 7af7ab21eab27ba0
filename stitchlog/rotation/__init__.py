"""What gets the needle, what waits, and what to pick up next."""

from stitchlog.rotation.flow import on_the_go, say_on_the_go, say_switches, switches
from stitchlog.rotation.picking import next_up, say_next_up, say_weights
from stitchlog.rotation.shares import balance, say_balance, say_untouched, say_wanted

__all__ = [
    "balance",
    "next_up",
    "on_the_go",
    "say_balance",
    "say_next_up",
    "say_on_the_go",
    "say_switches",
    "say_untouched",
    "say_wanted",
    "say_weights",
    "switches",
]
