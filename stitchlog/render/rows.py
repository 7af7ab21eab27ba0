"""A row a piece: the name stands above its mark, so that a narrow screen keeps its width for the marks."""

from __future__ import annotations

import altair as alt
import pandas as pd

from stitchlog.render import theme

# Pixels from one row to the next.
ROW = 46


def rows(data: pd.DataFrame) -> alt.Y:
    """The rows of `data`, by its column `name`, in its order."""
    names = data["name"].drop_duplicates().tolist()
    return alt.Y("name:N", sort=names, title=None, axis=None, scale=alt.Scale(paddingOuter=0.3))


def labels(base: alt.Chart, up: int, name: str = "name") -> list[alt.Chart]:
    """`up` pixels above each mark: its `name` at the left end, what it says (the column `said`) at the right end."""
    left = base.mark_text(align="left", dy=-up, limit=330).encode(x=alt.value(0), text=f"{name}:N")
    right = base.mark_text(align="right", dy=-up, color=theme.QUIET).encode(x=alt.value("width"), text="said:N")
    return [left, right]


def spelled(data: pd.DataFrame) -> str:
    """What every row says, for a text alternative: 'Moss: 12; Fern: 9.'"""
    return "; ".join(f"{name}: {said}" for name, said in zip(data["name"], data["said"], strict=True)) + "."
