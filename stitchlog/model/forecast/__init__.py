"""When a piece will be finished, how sure that is, and how well such answers have done on this diary."""

from stitchlog.model.forecast.backtest import RECORD_HEADINGS, backtest
from stitchlog.model.forecast.finishing import Forecast, finish_series
from stitchlog.model.forecast.future import Future, finish, future
from stitchlog.model.forecast.paths import simulate_days

__all__ = [
    "RECORD_HEADINGS",
    "Forecast",
    "Future",
    "backtest",
    "finish",
    "finish_series",
    "future",
    "simulate_days",
]
