"""What makes a process that runs or draws notebooks start at once."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager

# The notebook and chart libraries load this checker of web addresses for their validators. It takes longer to import
# than all the rest together, and charts have no web addresses in them.
_SLOW = "rfc3987_syntax"


@contextmanager
def without_address_checker() -> Iterator[None]:
    """Keeps the slow checker from loading with what is imported inside; afterwards it can be imported as ever."""
    there = _SLOW in sys.modules
    sys.modules.setdefault(_SLOW, None)  # type: ignore[arg-type]
    try:
        yield
    finally:
        if not there:
            sys.modules.pop(_SLOW, None)
