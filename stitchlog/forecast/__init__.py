"""When a piece will be finished, how sure that is, and how well such answers have done on this diary."""

from stitchlog.forecast.backtest import RECORD_HEADINGS, backtest, learnt, reliability, say_record
from stitchlog.forecast.finishing import Correction, finish_series
from stitchlog.forecast.needs import needed
from stitchlog.forecast.outlook import (
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
from stitchlog.forecast.paths import simulate_days
from stitchlog.forecast.pieces import Forecast, finish
from stitchlog.forecast.says import (
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
from stitchlog.forecast.together import order

__all__ = [
    "HEADINGS",
    "NEEDED_HEADINGS",
    "ORDER_HEADINGS",
    "RECORD_HEADINGS",
    "WHATIF_HEADINGS",
    "Correction",
    "Forecast",
    "Outlook",
    "backtest",
    "fan",
    "finish",
    "finish_series",
    "largest",
    "learnt",
    "needed",
    "order",
    "outlook",
    "reliability",
    "say_care",
    "say_due",
    "say_finish",
    "say_needed",
    "say_order",
    "say_record",
    "say_refused",
    "say_rests",
    "say_whatif",
    "say_windows",
    "simulate_days",
    "what_if",
    "windows",
]
