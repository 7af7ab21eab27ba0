"""Starting fast: a check or an addition works on Arrow's tables alone."""

from __future__ import annotations

import sys
from typing import Any


class _NotNow:
    """Stands before the other finders and has no pandas."""

    @staticmethod
    def find_spec(name: str, path: Any = None, target: Any = None) -> None:
        if name == "pandas":
            raise ImportError(name)


def without_pandas() -> None:
    """Keep Arrow from importing pandas, which it does with the first value that it is given, in case it is a frame's.

    That import takes longer than a whole check. Frames can be made as ever later on: pandas is imported then.
    """
    if "pandas" in sys.modules:
        return
    import pyarrow as pa

    sys.meta_path.insert(0, _NotNow)  # type: ignore[arg-type]
    try:
        pa.scalar("")
    finally:
        sys.meta_path.remove(_NotNow)  # type: ignore[arg-type]
