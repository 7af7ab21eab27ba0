"""Cloth, thread and colour: how much of each a piece wants, and whether it will show."""

from stitchlog.reports.materials import charts, headings
from stitchlog.reports.materials.cloth import (
    Design,
    Size,
    design,
    say_size,
    say_size_table,
    say_strands,
    size,
    size_table,
    usual_strands,
)
from stitchlog.reports.materials.colours import contrast, delta_e, say_similar, say_visibility, similar, visibility
from stitchlog.reports.materials.skeins import say_rests, say_thread, thread
from stitchlog.reports.materials.stash import pieces_asked, say_stash, say_usable, stash, to_buy, usable_for_planned

__all__ = [
    "Design",
    "Size",
    "charts",
    "contrast",
    "delta_e",
    "design",
    "headings",
    "pieces_asked",
    "say_rests",
    "say_similar",
    "say_size",
    "say_size_table",
    "say_stash",
    "say_strands",
    "say_thread",
    "say_usable",
    "say_visibility",
    "similar",
    "size",
    "size_table",
    "stash",
    "thread",
    "to_buy",
    "usable_for_planned",
    "usual_strands",
    "visibility",
]
