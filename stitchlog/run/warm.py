"""Imported once by the process that notebooks are forked from: all they need, so that each begins at once."""

import gc
import importlib
import sys

# A checker of web addresses that altair's validator would load takes longer to import than all the rest together, and
# charts have no web addresses in them.
sys.modules.setdefault("rfc3987_syntax", None)  # type: ignore[arg-type]

QUESTIONS = ("forecast", "materials", "pace", "plan", "review", "rotation")

for name in (
    "altair",
    "papermill",
    "scipy.optimize",
    "scipy.stats",
    "stitchlog.diary",
    "stitchlog.render.pages",
    "stitchlog.run.inline",
    *(f"stitchlog.{question}" for question in QUESTIONS),
):
    importlib.import_module(name)

gc.collect()
gc.freeze()
