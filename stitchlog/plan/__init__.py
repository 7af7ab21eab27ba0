"""Commit with open eyes: events, stages, prompts and due days, and whether it all fits."""

from stitchlog.plan.capacity import capacity
from stitchlog.plan.care import good_day
from stitchlog.plan.commitments import commitments
from stitchlog.plan.cover import cover
from stitchlog.plan.stages import stages

__all__ = ["capacity", "commitments", "cover", "good_day", "stages"]
