"""Table cells as people write them."""

import datetime as dt

import numpy as np
import pandas as pd
import pytest

from stitchlog import words
from stitchlog.render import cells


def written(name, values):
    column = pd.Series(values)
    row = cells.row_of([cells.kind_of(name, column)], (column.iloc[0],), head=False)
    return row.removeprefix("<tr>").removesuffix("</tr>")


@pytest.mark.parametrize(
    ("name", "values", "cell"),
    [
        ("share", [0.314, 0.2], '<td class="num">31%</td>'),
        ("before_share", [0.002], '<td class="num">under 1%</td>'),
        ("want", [0.25], '<td class="num">25%</td>'),
        ("below_want", [1.5, 0.25], '<td class="num">1.50</td>'),
        ("month", [pd.Timestamp("2026-03-01")], '<td class="day">March 2026</td>'),
        ("chance", [0.75], '<td class="num">75%</td>'),
        ("minutes", [135.0], '<td class="num">2 h 15 min</td>'),
        ("stitches", [1234.0, 2.0], '<td class="num">1,234</td>'),
        ("per_hour", [12.34, 3.0], '<td class="num">12.3</td>'),
        ("length_m", [1.234, 3.0], '<td class="num">1.23</td>'),
        ("year", [2026], '<td class="num">2026</td>'),
        ("stitches", [np.nan, 2.0], '<td class="num">–</td>'),
        ("owed", [-12.0], '<td class="num">−12</td>'),
        ("date", [pd.Timestamp("2026-03-03")], '<td class="day">3 Mar 2026</td>'),
        ("date", [dt.date(2026, 3, 3)], '<td class="day">3 Mar 2026</td>'),
        ("date", [pd.NaT, pd.Timestamp("2026-03-03")], '<td class="day">–</td>'),
        ("started", [True], "<td>yes</td>"),
        ("held", [False, None], "<td>no</td>"),
        ("piece", ["<b>"], '<td><bdi dir="auto">&lt;b&gt;</bdi></td>'),
        ("piece", [""], "<td>–</td>"),
        ("piece", [None, "a"], "<td>–</td>"),
        ("days", [np.inf, 3.0], '<td class="num">–</td>'),
    ],
)
def test_cell(name, values, cell):
    assert written(name, values) == cell


def test_a_colour_is_shown_beside_its_code_and_only_a_colour():
    assert 'style="background:#8fae5d"' in written("hex", ["#8fae5d"])
    assert "style" not in written("hex", ['red;"'])


def test_a_row_is_named_by_its_first_cell():
    kinds = [cells.kind_of("piece", pd.Series(["Otter"])), cells.kind_of("n", pd.Series([1]))]
    assert cells.row_of(kinds, ("Otter", 1), head=True).startswith('<tr><th scope="row">')


def test_numbers_follow_the_language():
    words.use("en_DE")
    try:
        assert written("per_hour", [1234.5]) == '<td class="num">1.234</td>'
        assert written("share", [0.31]) == '<td class="num">31\N{NO-BREAK SPACE}%</td>'
        assert written("date", [pd.Timestamp("2026-03-03")]) == '<td class="day">3 Mar 2026</td>'
    finally:
        words.use("en_GB")
