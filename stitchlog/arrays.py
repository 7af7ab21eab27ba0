"""NumPy arrays as Arrow ones, without a copy: null where a number is NaN or a day is NaT."""

from __future__ import annotations

from typing import Any

import numpy as np
import pyarrow as pa

_TYPES = {"f": pa.float64(), "i": pa.int64(), "M": pa.timestamp("us")}


def of(values: np.ndarray) -> pa.Array:
    """The array in Arrow: float64, int32 or int64, bool, or days as timestamps in microseconds.

    Does what `pyarrow.array` does, and leaves out its look for masked arrays, which loads more than a check needs.
    """
    size = len(values)
    if values.dtype.kind == "b":
        return pa.Array.from_buffers(pa.bool_(), size, [None, pa.py_buffer(np.packbits(values, bitorder="little"))])
    if values.dtype == np.int32:
        return pa.Array.from_buffers(pa.int32(), size, [None, pa.py_buffer(np.ascontiguousarray(values))])
    width: Any = {"f": np.float64, "i": np.int64, "M": "datetime64[us]"}[values.dtype.kind]
    whole = np.ascontiguousarray(values, dtype=width)
    missing = np.isnat(whole) if values.dtype.kind == "M" else np.isnan(whole) if values.dtype.kind == "f" else None
    bits = None
    if missing is not None and missing.any():
        bits = pa.py_buffer(np.packbits(~missing, bitorder="little"))
    held = whole.view(np.int64) if values.dtype.kind == "M" else whole
    return pa.Array.from_buffers(_TYPES[values.dtype.kind], size, [bits, pa.py_buffer(held)])
