"""Fabric, thread and colour: how much of each a piece needs, and whether it will show."""

from stitchlog.model.colour import contrast, delta_e
from stitchlog.model.fabric import Size, size, usual_strands
from stitchlog.model.thread.shopping import Needed, needed
from stitchlog.reports.materials import charts, headings
from stitchlog.reports.materials.colours import say_similar, say_visibility, similar, visibility
from stitchlog.reports.materials.fabric import Design, design, say_size, say_size_table, say_strands, size_table
from stitchlog.reports.materials.planned import say_usable, usable_for_planned
from stitchlog.reports.materials.shopping import pieces_asked, say_needed, to_buy
from stitchlog.reports.materials.thread import say_rests, say_thread, thread

__all__ = [
    "Design",
    "Needed",
    "Size",
    "charts",
    "contrast",
    "delta_e",
    "design",
    "headings",
    "needed",
    "pieces_asked",
    "say_needed",
    "say_rests",
    "say_similar",
    "say_size",
    "say_size_table",
    "say_strands",
    "say_thread",
    "say_usable",
    "say_visibility",
    "similar",
    "size",
    "size_table",
    "thread",
    "to_buy",
    "usable_for_planned",
    "usual_strands",
    "visibility",
]
