"""What makes processes that run and draw notebooks start at once."""

from __future__ import annotations

import sys


def skip_address_checker() -> None:
    """Keeps a checker of web addresses from loading, where the notebook and chart libraries would load it.

    It takes longer to import than all the rest together, and charts have no web addresses in them.
    """
    sys.modules.setdefault("rfc3987_syntax", None)  # type: ignore[arg-type]
