"""What waits in the drawer: charts, fabric and thread, and which of them go together."""

from stitchlog.reports.stash import drawing, headings
from stitchlog.reports.stash.drawer import unmeasured
from stitchlog.reports.stash.fitting import fits, fits_asked, to_get
from stitchlog.reports.stash.frames import Totals, charts, moves, totals
from stitchlog.reports.stash.sentences import (
    listed_charts,
    say_hours,
    say_missing,
    say_moves,
    say_ready,
    say_sharing,
    say_sharing_rule,
    say_times,
    say_to_get,
    say_totals,
    say_unmeasured,
    say_waited,
    waited_longest,
)
from stitchlog.reports.stash.shades import say_twice, twice
from stitchlog.reports.stash.sharing import Sharing, share_out
from stitchlog.reports.stash.summary_card import draw_card

__all__ = [
    "Sharing",
    "Totals",
    "charts",
    "draw_card",
    "drawing",
    "fits",
    "fits_asked",
    "headings",
    "listed_charts",
    "moves",
    "say_hours",
    "say_missing",
    "say_moves",
    "say_ready",
    "say_sharing",
    "say_sharing_rule",
    "say_times",
    "say_to_get",
    "say_totals",
    "say_twice",
    "say_unmeasured",
    "say_waited",
    "share_out",
    "to_get",
    "totals",
    "twice",
    "unmeasured",
    "waited_longest",
]
