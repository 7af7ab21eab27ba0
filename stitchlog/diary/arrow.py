"""Starting fast: a check or an addition works on Arrow's tables alone."""

from __future__ import annotations

import importlib
import sys
from typing import Any


class _NotNow:
    """Stands before the other finders and has no pandas."""

    @staticmethod
    def find_spec(name: str, path: Any = None, target: Any = None) -> None:
        if name == "pandas":
            raise ImportError(name)


class _NoMasks:
    """Stands for numpy.ma until somebody needs it: so long nothing can be a masked array."""

    MaskedArray = ()

    def __getattr__(self, name: str) -> Any:
        return getattr(importlib.import_module("numpy.ma"), name)


def start() -> None:
    """Load Arrow, and keep it from loading what takes longer than a whole check.

    With the first value that it is given it would import pandas, and with the first array numpy.ma, in case they are
    theirs. Frames and masked arrays can be made as ever later on: what they need is imported then.
    """
    if "pandas" in sys.modules:
        return
    import numpy as np
    import pyarrow as pa

    if "numpy.ma" not in sys.modules:
        np.ma = _NoMasks()  # type: ignore[assignment]
    sys.meta_path.insert(0, _NotNow)
    try:
        pa.scalar("")
    finally:
        sys.meta_path.remove(_NotNow)
