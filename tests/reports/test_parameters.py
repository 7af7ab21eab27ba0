"""What a notebook is asked is checked, and put in plain values, before anything starts."""

import datetime as dt
import json
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from stitchlog.errors import StitchlogError
from stitchlog.reports import parameters


@pytest.fixture
def notebook(tmp_path):
    cells = [
        {"cell_type": "markdown", "metadata": {}, "source": ["# Toy"]},
        {
            "cell_type": "code",
            "metadata": {"tags": ["parameters"]},
            "source": ['folder = "x"  # where\n', "paths = 200\n"],
        },
    ]
    path = tmp_path / "toy.ipynb"
    path.write_text(json.dumps({"cells": cells}))
    return path


def test_names_and_usual_values_come_from_the_parameters_cell(notebook):
    assert parameters.known(notebook) == {"folder": "x", "paths": 200}


def test_an_unknown_name_is_refused_with_the_known_ones(notebook):
    with pytest.raises(StitchlogError, match=r"toy does not take typo; it takes folder, paths"):
        parameters.checked(notebook, {"typo": 1})


@pytest.mark.parametrize(
    ("value", "plain"),
    [
        (np.int64(3), 3),
        (np.bool_(False), False),
        (np.float64(0.5), 0.5),
        ((1, 2), [1, 2]),
        (Path("a") / "b", str(Path("a") / "b")),
        (dt.date(2026, 10, 31), "2026-10-31"),
        (pd.Timestamp("2026-10-31"), "2026-10-31"),
        (None, None),
        ({"a": np.int64(1)}, {"a": 1}),
    ],
)
def test_values_that_papermill_would_turn_into_text_keep_their_kind(value, plain):
    got = parameters.plain(value)
    assert got == plain
    assert type(got) is type(plain)


def test_a_value_with_no_plain_form_is_refused():
    with pytest.raises(TypeError):
        parameters.plain({1, 2})
