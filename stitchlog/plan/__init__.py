"""Commit with open eyes: events, stages, prompts and due days, and whether it all fits."""

from stitchlog.plan.calendar import calendar_file
from stitchlog.plan.capacity import capacity, more_time
from stitchlog.plan.checklist import checklist
from stitchlog.plan.commitments import commitments
from stitchlog.plan.course import course, say_course
from stitchlog.plan.cover import cover
from stitchlog.plan.lengths import lengths, say_lengths
from stitchlog.plan.marks import marks
from stitchlog.plan.outlook import Outlook, coming_month, outlook
from stitchlog.plan.prompts import bag, prompts, say_bag, say_prompts
from stitchlog.plan.says import (
    say_cautions,
    say_chances,
    say_files,
    say_fit,
    say_marks,
    say_more,
    say_progress,
    say_rests,
)
from stitchlog.plan.stages import stages
from stitchlog.plan.tables import BAG_HEADINGS, DAY_HEADINGS, HEADINGS, LENGTH_HEADINGS, PROMPT_HEADINGS, days, promised
from stitchlog.plan.usual import good_day

__all__ = [
    "BAG_HEADINGS",
    "DAY_HEADINGS",
    "HEADINGS",
    "LENGTH_HEADINGS",
    "PROMPT_HEADINGS",
    "Outlook",
    "bag",
    "calendar_file",
    "capacity",
    "checklist",
    "coming_month",
    "commitments",
    "course",
    "cover",
    "days",
    "good_day",
    "lengths",
    "marks",
    "more_time",
    "outlook",
    "promised",
    "prompts",
    "say_bag",
    "say_cautions",
    "say_chances",
    "say_course",
    "say_files",
    "say_fit",
    "say_lengths",
    "say_marks",
    "say_more",
    "say_progress",
    "say_prompts",
    "say_rests",
    "stages",
]
