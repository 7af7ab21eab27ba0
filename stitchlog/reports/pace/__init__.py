"""How fast this stitcher works, on what, and how sure that is."""

from stitchlog.model.pace.begun import (
    BEGUN_HEADINGS,
    NOT_BEGUN_HEADINGS,
    if_begun,
    if_begun_each,
    not_begun,
    say_beyond,
    say_if_begun,
)
from stitchlog.model.pace.factors import EFFECT_HEADINGS, effects, say_change, say_effects
from stitchlog.model.pace.paces import HEADINGS, Paces, compare, extremes, faster, paces, say_left_out, say_paces
from stitchlog.model.pace.pooling import CHANCE
from stitchlog.reports.pace import charts
from stitchlog.reports.pace.months import MONTH_HEADINGS, Trend, say_trend, say_unpicking, trend

__all__ = [
    "BEGUN_HEADINGS",
    "CHANCE",
    "EFFECT_HEADINGS",
    "HEADINGS",
    "MONTH_HEADINGS",
    "NOT_BEGUN_HEADINGS",
    "Paces",
    "Trend",
    "charts",
    "compare",
    "effects",
    "extremes",
    "faster",
    "if_begun",
    "if_begun_each",
    "not_begun",
    "paces",
    "say_beyond",
    "say_change",
    "say_effects",
    "say_if_begun",
    "say_left_out",
    "say_paces",
    "say_trend",
    "say_unpicking",
    "trend",
]
