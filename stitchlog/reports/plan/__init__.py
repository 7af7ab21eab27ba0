"""Commit with open eyes: events, stages, prompts and due days, and whether it all fits."""

from stitchlog.model.commitments.stages import stages
from stitchlog.reports.plan import charts
from stitchlog.reports.plan.capacity import Capacity, capacity
from stitchlog.reports.plan.course import days, say_course
from stitchlog.reports.plan.cover import cover
from stitchlog.reports.plan.figures import Figures, figures
from stitchlog.reports.plan.files import calendar_file, checklist, say_files
from stitchlog.reports.plan.lengths import lengths, say_lengths
from stitchlog.reports.plan.offers import OFFER_HEADINGS, offers, say_offers
from stitchlog.reports.plan.prompts import bag, prompts, say_bag, say_prompts
from stitchlog.reports.plan.sentences import (
    BAG_HEADINGS,
    DAY_HEADINGS,
    HEADINGS,
    LENGTH_HEADINGS,
    PROMPT_HEADINGS,
    goals,
    say_cautions,
    say_chances,
    say_dropping,
    say_fit,
    say_marks,
    say_more,
    say_rests,
    say_verdict,
)

__all__ = [
    "BAG_HEADINGS",
    "DAY_HEADINGS",
    "HEADINGS",
    "LENGTH_HEADINGS",
    "OFFER_HEADINGS",
    "PROMPT_HEADINGS",
    "Capacity",
    "Figures",
    "bag",
    "calendar_file",
    "capacity",
    "charts",
    "checklist",
    "cover",
    "days",
    "figures",
    "goals",
    "lengths",
    "offers",
    "prompts",
    "say_bag",
    "say_cautions",
    "say_chances",
    "say_course",
    "say_dropping",
    "say_files",
    "say_fit",
    "say_lengths",
    "say_marks",
    "say_more",
    "say_offers",
    "say_prompts",
    "say_rests",
    "say_verdict",
    "stages",
]
