"""Numbers rounded to what can be shown, so that processors that differ in a last digit show the same.

Two steps: to ten significant digits first, which takes away what processors differ by, then to those shown. A value on
an edge, such as 2.5 to whole numbers, is then the same value everywhere and falls to the same side.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import pandas as pd

DIGITS = 6
_STEADY = 10


def steady(value: float) -> float:
    """The value to ten significant digits; inf and NaN as they are.

    >>> steady(0.3808324966947648) == steady(0.3808324966947644), steady(2.4999999999999996)
    (True, 2.5)
    """
    return float(f"{value:.{_STEADY}g}")


def shown(value: float) -> float:
    """The value to six significant digits, to a whole number from 100,000 on; inf and NaN as they are.

    >>> shown(0.3808324966947648), shown(1234567.4), shown(2.0)
    (0.380832, 1234567.0, 2.0)
    """
    value = steady(value)
    if value == 0 or not math.isfinite(value):
        return value + 0.0  # -0.0 is shown as 0
    return round(value, max(0, DIGITS - 1 - math.floor(math.log10(abs(value))))) + 0.0


def tree(value: Any) -> Any:
    """A JSON value with every float in it rounded as `shown` does."""
    if isinstance(value, float):
        return shown(value)
    if isinstance(value, dict):
        return {key: tree(held) for key, held in value.items()}
    if isinstance(value, list):
        return [tree(held) for held in value]
    return value


def frame(table: pd.DataFrame) -> pd.DataFrame:
    """The table with every float rounded as `shown` does, also those in columns of mixed values."""
    out = table.copy()
    for place in range(out.shape[1]):
        column = out.iloc[:, place]
        if column.dtype.kind == "f":
            out.isetitem(place, column.map(shown, na_action="ignore").array)
        elif column.dtype == object:
            out.isetitem(place, column.map(lambda held: shown(held) if isinstance(held, float) else held).array)
    return out
