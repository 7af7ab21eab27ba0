"""NumPy arrays as Arrow ones: the same as Arrow's own conversion."""

import numpy as np
import pyarrow as pa
import pytest

from stitchlog import arrays

NOW = np.datetime64("2026-10-31")


@pytest.mark.parametrize(
    "values",
    [
        np.array([1.5, np.nan, -2.0]),
        np.array([1.0, 2.0]),
        np.array([np.nan] * 17),
        np.array([], dtype=float),
        np.array([True, False, True] * 5),
        np.array([], dtype=bool),
        np.array([3, -1, 2], dtype=np.int64),
        np.array([3, -1, 2], dtype=np.int32),
        np.arange(10)[::-2],
        np.array([NOW, np.datetime64("NaT")], dtype="datetime64[us]"),
        np.array([1.0, np.nan, 3.0, 4.0])[::2],
    ],
)
def test_it_is_what_arrow_would_make(values):
    ours = arrays.of(values)
    ours.validate(full=True)
    assert ours.equals(pa.array(values, from_pandas=True))


def test_days_become_microseconds():
    days = arrays.of(np.array([NOW], dtype="datetime64[D]"))
    assert days.type == pa.timestamp("us") and days.cast(pa.date32()).to_pylist()[0].isoformat() == "2026-10-31"
