"""When a piece will be finished, how sure that is, and how well such answers have done on this diary."""

from stitchlog.forecast.finishing import finish_series
from stitchlog.forecast.paths import simulate_days

__all__ = ["finish_series", "simulate_days"]
