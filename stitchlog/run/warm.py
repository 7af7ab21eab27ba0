"""Imported once by the process that notebooks are forked from: all they need, so that each begins at once."""

import gc
import importlib
import sys

import stitchlog
from stitchlog.reports import REPORTS

# A checker of web addresses that altair's validator would load takes longer to import than all the rest together, and
# charts have no web addresses in them.
sys.modules.setdefault("rfc3987_syntax", None)  # type: ignore[arg-type]

for name in ("altair", "papermill", "scipy.optimize", "scipy.stats", "stitchlog.run.inline"):
    importlib.import_module(name)
for name in ("Page", *REPORTS, "forecast"):
    getattr(stitchlog, name)

gc.collect()
gc.freeze()
