"""A frame's rows, one by one, for what is said or drawn of each; sums and joins are asked of the frame itself."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pandas as pd

__all__ = ["each_record", "each_row"]


def each_row(frame: pd.DataFrame) -> Iterator[Any]:
    """The frame's rows as named tuples; `Index` is the row's label."""
    yield from frame.itertuples()


def each_record(frame: pd.DataFrame) -> Iterator[dict[str, Any]]:
    """The frame's rows as dictionaries by column name."""
    for row in frame.to_dict("records"):
        yield {str(name): value for name, value in row.items()}
