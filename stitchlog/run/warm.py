"""Imported once by the process that notebooks are forked from: all they need, so that each begins at once."""

import gc
import importlib

import stitchlog
from stitchlog.diary.imports import without_address_checker
from stitchlog.reports import REPORTS

with without_address_checker():
    for name in ("altair", "papermill", "scipy.optimize", "scipy.stats", "stitchlog.run.inline"):
        importlib.import_module(name)
for name in ("Page", *REPORTS, "forecast"):
    getattr(stitchlog, name)

gc.collect()
gc.freeze()
