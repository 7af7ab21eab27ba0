"""Imported once by the process that notebooks are forked from: all they need, so that each begins at once."""

import gc

import altair as alt
import nbformat
import papermill
import scipy.optimize
import scipy.stats

import stitchlog.charts
import stitchlog.diary
import stitchlog.forecast
import stitchlog.materials
import stitchlog.pace
import stitchlog.pages
import stitchlog.plan
import stitchlog.reports.inline
import stitchlog.review
import stitchlog.rotation

__all__ = ["alt", "nbformat", "papermill", "scipy", "stitchlog"]

# The first chart builds the library's schema; every child would pay for it again.
alt.Chart(alt.Data(values=[{"x": 1}])).mark_bar().encode(x="x:Q").to_dict()
gc.collect()
gc.freeze()
