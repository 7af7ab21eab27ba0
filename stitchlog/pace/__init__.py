"""How fast this stitcher works, on what, and how sure that is."""

from stitchlog.pace.begun import if_begun, not_begun, say_if_begun
from stitchlog.pace.factors import effects
from stitchlog.pace.months import say_trend, say_unpicking, trend
from stitchlog.pace.paces import compare, faster

__all__ = [
    "compare",
    "effects",
    "faster",
    "if_begun",
    "not_begun",
    "say_if_begun",
    "say_trend",
    "say_unpicking",
    "trend",
]
