"""The finish report: when big pieces will be finished, what would change it, and how past forecasts have done."""

from stitchlog.model.forecast.backtest import RECORD_HEADINGS
from stitchlog.model.forecast.needs import needed
from stitchlog.reports.finish import charts
from stitchlog.reports.finish.outlook import Outlook, outlook
from stitchlog.reports.finish.sentences import (
    NEEDED_HEADINGS,
    ORDER_HEADINGS,
    SCENARIO_HEADINGS,
    say_bars,
    say_care,
    say_due,
    say_finish,
    say_needed,
    say_next,
    say_record,
    say_refused,
    say_rests,
    say_scenarios,
    say_together,
)

__all__ = [
    "NEEDED_HEADINGS",
    "ORDER_HEADINGS",
    "RECORD_HEADINGS",
    "SCENARIO_HEADINGS",
    "Outlook",
    "charts",
    "needed",
    "outlook",
    "say_bars",
    "say_care",
    "say_due",
    "say_finish",
    "say_needed",
    "say_next",
    "say_record",
    "say_refused",
    "say_rests",
    "say_scenarios",
    "say_together",
]
