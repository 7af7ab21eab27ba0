"""When a piece will be finished, how sure that is, and how well such answers have done on this diary."""

from stitchlog.model.forecast.backtest import RECORD_HEADINGS, backtest, learnt, reliability, say_record
from stitchlog.model.forecast.finishing import Correction, finish_series
from stitchlog.model.forecast.paths import simulate_days
from stitchlog.model.forecast.pieces import Forecast, finish
from stitchlog.model.forecast.together import order

__all__ = [
    "RECORD_HEADINGS",
    "Correction",
    "Forecast",
    "backtest",
    "finish",
    "finish_series",
    "learnt",
    "order",
    "reliability",
    "say_record",
    "simulate_days",
]
