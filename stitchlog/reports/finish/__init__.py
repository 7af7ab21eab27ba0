"""The finish report: when big pieces will be finished, what would change it, and how past forecasts have done."""

from stitchlog.model.forecast.needs import needed
from stitchlog.model.forecast.sentences import (
    say_care,
    say_due,
    say_finish,
    say_needed,
    say_order,
    say_refused,
    say_rests,
    say_whatif,
    say_windows,
)
from stitchlog.reports.finish import charts
from stitchlog.reports.finish.outlook import (
    HEADINGS,
    NEEDED_HEADINGS,
    ORDER_HEADINGS,
    WHATIF_HEADINGS,
    Outlook,
    fan,
    largest,
    outlook,
    what_if,
    windows,
)

__all__ = [
    "HEADINGS",
    "NEEDED_HEADINGS",
    "ORDER_HEADINGS",
    "WHATIF_HEADINGS",
    "Outlook",
    "charts",
    "fan",
    "largest",
    "needed",
    "outlook",
    "say_care",
    "say_due",
    "say_finish",
    "say_needed",
    "say_order",
    "say_refused",
    "say_rests",
    "say_whatif",
    "say_windows",
    "what_if",
    "windows",
]
