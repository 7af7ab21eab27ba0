"""Parameters are read strictly and kindly: each wrong value is one sentence that names it and gives an example."""

import datetime as dt
import re

import numpy as np
import pandas as pd
import pytest

from stitchlog.diary import parameters
from stitchlog.errors import StitchlogError

TODAY = parameters.Context(dt.date(2026, 11, 25))


def _read(**asked):
    return parameters.read(asked, TODAY)


WRONG = [
    ("as_of", 2026 - 10 - 31, "1985 is not a day; put it in quotes"),
    ("as_of", 2026 / 10 / 31, "is not a day; put it in quotes"),
    ("as_of", "03/10/2026", "may be day first or month first"),
    ("as_of", "oct", '"oct" is not a day'),
    ("as_of", "2026-02-30", "there is no day"),
    ("as_of", True, "is not a day"),
    ("as_of", pd.NaT, "is not a day"),
    ("done_by", "soon", '"soon" is not a day'),
    ("start", 2026, "2026 is not a day"),
    ("end", "Octember 2026", "is not a day"),
    ("piece", 7, "7 is not a text"),
    ("piece", " ", "is not a text"),
    ("by", "weeks", 'is not one of "stitches", "hours" and "days"'),
    ("by", None, "None is not one of"),
    ("tone", "sing", '"sing" is not one of'),
    ("size", "round", '"round" is not one of'),
    ("order", "alphabet", '"alphabet" is not one of'),
    ("overlay", 2, "2 is neither True nor False"),
    ("clips", None, "None is neither True nor False"),
    ("minutes", 0, "the least is 1"),
    ("minutes", "twenty", '"twenty" is not a number'),
    ("stitches", -4000, "must be more than 0"),
    ("width", -1, "must be more than 0"),
    ("height", 0, "must be more than 0"),
    ("count", 0, "must be more than 0"),
    ("count", float("nan"), "is not a number"),
    ("over", 3, "3 is not one of 1 and 2"),
    ("over", True, "True is not one of"),
    ("colours", 2.5, "2.5 is not a whole number"),
    ("margin_in", -3, "the least is 0"),
    ("margin_in", None, "None is not a number"),
    ("per_week", 0, "must be more than 0"),
    ("share", 30, "the most is 1"),
    ("share", "1.234", "may mean"),
    ("focus", "all", "neither True nor False"),
    ("paths", 1, "the least is 100"),
    ("paths", [2000], "[2000] is not a number"),
    ("seed", -1, "the least is 0"),
]


@pytest.mark.parametrize(("name", "value", "why"), WRONG)
def test_a_wrong_value_is_one_sentence_that_names_the_parameter_and_gives_an_example(name, value, why):
    with pytest.raises(StitchlogError) as refused:
        _read(**{name: value})
    said = str(refused.value)
    assert said.startswith(f"{name}: ") and why in said and "\n" not in said
    assert re.search(rf"as in {name} = |write ", said), said


def test_every_parameter_has_a_wrong_value_here_and_reads_its_own_example():
    assert {name for name, _, _ in WRONG} | {"event", "suits", "times"} == set(parameters.PARAMETERS)
    for name, known in parameters.PARAMETERS.items():
        value = eval(known.example)
        assert known.read(value, TODAY) is not None, name


@pytest.mark.parametrize(
    ("asked", "read"),
    [
        ({"as_of": None}, None),
        ({"as_of": " 2026-10-31 "}, dt.date(2026, 10, 31)),
        ({"as_of": dt.date(2026, 10, 31)}, dt.date(2026, 10, 31)),
        ({"as_of": pd.Timestamp("2026-10-31 21:30")}, dt.date(2026, 10, 31)),
        ({"as_of": "31/10/2026"}, dt.date(2026, 10, 31)),
        ({"as_of": "31 October 2026"}, dt.date(2026, 10, 31)),
        ({"stitches": "10,000"}, 10_000),
        ({"count": np.int64(28)}, 28),
        ({"share": "30%"}, 0.3),
        ({"by": "Hours"}, "hours"),
        ({"over": "2"}, 2),
        ({"focus": True}, True),
        ({"mine": object}, object),
    ],
)
def test_what_is_meant_is_read(asked, read):
    assert list(parameters.read(asked, TODAY).values()) == [read]


@pytest.mark.parametrize(
    ("start", "end", "first", "last"),
    [
        (None, None, None, None),
        ("2026-09", None, dt.date(2026, 9, 1), dt.date(2026, 9, 30)),
        (None, "2026-02", dt.date(2026, 2, 1), dt.date(2026, 2, 28)),
        ("2026-09", "2026-10", dt.date(2026, 9, 1), dt.date(2026, 10, 31)),
        ("2026", None, dt.date(2026, 1, 1), dt.date(2026, 12, 31)),
        ("2026-09-03", "2026-10", dt.date(2026, 9, 3), dt.date(2026, 10, 31)),
    ],
)
def test_a_month_or_a_year_is_meant_whole(start, end, first, last):
    assert _read(start=start, end=end) == {"start": first, "end": last}


@pytest.mark.parametrize(
    ("start", "end", "said"),
    [
        ("2026-10-01", None, 'end: it goes together with start, give both, as in end = "2026-10-31"'),
        (None, "2026-10-31", 'start: it goes together with end, give both, as in start = "2026-10-01"'),
        ("2026-10-02", "2026-10-01", "start: 2026-10-02 is after end, 2026-10-01; swap them"),
    ],
)
def test_half_a_period_or_one_that_runs_backwards_is_refused(start, end, said):
    with pytest.raises(StitchlogError, match=re.escape(said)):
        _read(start=start, end=end)


def test_the_command_line_is_answered_in_its_own_words():
    with pytest.raises(StitchlogError, match=r"--as-of: .* may be day first or month first"):
        parameters.read({"as_of": "03/10/2026"}, TODAY, lambda name: f"--{name.replace('_', '-')}")
    declared = parameters.Context(TODAY.today, "day-first")
    assert parameters.read({"as_of": "03/10/2026"}, declared) == {"as_of": dt.date(2026, 10, 3)}
