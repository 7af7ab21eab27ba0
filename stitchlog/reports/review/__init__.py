"""The review of a period: what was worked on, in what order, from where to where, what was started and finished."""

from stitchlog.model.goals import goals
from stitchlog.model.period import Period, period
from stitchlog.reports.review import charts
from stitchlog.reports.review.ahead import ahead, say_seen_from
from stitchlog.reports.review.buying import (
    BOUGHT_HEADINGS,
    TO_MAKE_UP_HEADINGS,
    WAITING_HEADINGS,
    bought,
    say_bought,
    say_to_make_up,
    say_waiting,
    to_make_up,
    waiting,
)
from stitchlog.reports.review.cards import PATHS, draw_cards, say_cards
from stitchlog.reports.review.coming import NEXT_HEADINGS, next_month, say_next_month
from stitchlog.reports.review.credits import credits, say_credits, say_missing
from stitchlog.reports.review.days import (
    calendar,
    compared,
    running,
    say_calendar,
    say_compared,
    say_running,
    say_streaks,
)
from stitchlog.reports.review.description import write_description
from stitchlog.reports.review.milestones import milestones, say_milestone, say_milestones
from stitchlog.reports.review.notes import write_notes
from stitchlog.reports.review.pieces import HEADINGS, pieces
from stitchlog.reports.review.recap import Recap, recap
from stitchlog.reports.review.said import GOALS_HEADINGS, say_each_goal, say_goal, say_goals, say_unanswered
from stitchlog.reports.review.script import ORDERS
from stitchlog.reports.review.sentences import (
    TONES,
    check_tone,
    say_marks,
    say_piece,
    say_progressed,
    say_share,
    say_shares,
)
from stitchlog.reports.review.standing import (
    UNTOUCHED_HEADINGS,
    changes,
    flow,
    say_changes,
    say_flow,
    say_untouched,
    untouched,
)
from stitchlog.reports.review.story import story
from stitchlog.reports.review.storyboard import gallery_html, listed_html, say_pictures, storyboard_html
from stitchlog.reports.review.wipes import CLIP_PATHS, clips, say_clips
from stitchlog.reports.review.year import (
    MONTHS_HEADINGS,
    finishes,
    months,
    records,
    say_months,
    say_records,
    thread_metres,
)

__all__ = [
    "BOUGHT_HEADINGS",
    "CLIP_PATHS",
    "GOALS_HEADINGS",
    "HEADINGS",
    "MONTHS_HEADINGS",
    "NEXT_HEADINGS",
    "ORDERS",
    "PATHS",
    "TONES",
    "TO_MAKE_UP_HEADINGS",
    "UNTOUCHED_HEADINGS",
    "WAITING_HEADINGS",
    "Period",
    "Recap",
    "ahead",
    "bought",
    "calendar",
    "changes",
    "charts",
    "check_tone",
    "clips",
    "compared",
    "credits",
    "draw_cards",
    "finishes",
    "flow",
    "gallery_html",
    "goals",
    "listed_html",
    "milestones",
    "months",
    "next_month",
    "period",
    "pieces",
    "recap",
    "records",
    "running",
    "say_bought",
    "say_calendar",
    "say_cards",
    "say_changes",
    "say_clips",
    "say_compared",
    "say_credits",
    "say_each_goal",
    "say_flow",
    "say_goal",
    "say_goals",
    "say_marks",
    "say_milestone",
    "say_milestones",
    "say_missing",
    "say_months",
    "say_next_month",
    "say_pictures",
    "say_piece",
    "say_progressed",
    "say_records",
    "say_running",
    "say_seen_from",
    "say_share",
    "say_shares",
    "say_streaks",
    "say_to_make_up",
    "say_unanswered",
    "say_untouched",
    "say_waiting",
    "story",
    "storyboard_html",
    "thread_metres",
    "to_make_up",
    "untouched",
    "waiting",
    "write_description",
    "write_notes",
]
