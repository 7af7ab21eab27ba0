"""How fast this stitcher works, on what, and how sure that is."""

from stitchlog.pace.begun import (
    BEGUN_HEADINGS,
    NOT_BEGUN_HEADINGS,
    if_begun,
    if_begun_each,
    not_begun,
    say_beyond,
    say_if_begun,
)
from stitchlog.pace.factors import EFFECT_HEADINGS, effects, say_change, say_effects
from stitchlog.pace.months import MONTH_HEADINGS, say_trend, say_unpicking, trend
from stitchlog.pace.paces import HEADINGS, compare, faster, glance, say_left_aside, say_paces
from stitchlog.pace.pooling import CHANCE
