"""What gets the needle, what waits, and what to pick up next."""

from stitchlog.rotation.flow import on_the_go, say_on_the_go, say_switches, strip, switches
from stitchlog.rotation.picking import NEXT_UP_HEADINGS, PARTS, next_up, say_next_up, say_weights
from stitchlog.rotation.shares import (
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
