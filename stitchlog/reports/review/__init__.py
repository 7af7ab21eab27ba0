"""The review of a period: what was worked on, in what order, from where to where, what was started and finished."""

from stitchlog.model.period import Period, period
from stitchlog.reports.review import charts
from stitchlog.reports.review.ahead import ahead, say_seen_from
from stitchlog.reports.review.cards import PATHS, draw_cards, say_cards
from stitchlog.reports.review.days import (
    calendar,
    compared,
    running,
    say_calendar,
    say_compared,
    say_running,
    say_streaks,
)
from stitchlog.reports.review.notes import write_notes
from stitchlog.reports.review.pieces import HEADINGS, pieces
from stitchlog.reports.review.recap import Recap, recap
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
from stitchlog.reports.review.storyboard import storyboard_html

__all__ = [
    "HEADINGS",
    "PATHS",
    "TONES",
    "UNTOUCHED_HEADINGS",
    "Period",
    "Recap",
    "ahead",
    "calendar",
    "changes",
    "charts",
    "check_tone",
    "compared",
    "draw_cards",
    "flow",
    "period",
    "pieces",
    "recap",
    "running",
    "say_calendar",
    "say_cards",
    "say_changes",
    "say_compared",
    "say_flow",
    "say_marks",
    "say_piece",
    "say_progressed",
    "say_running",
    "say_seen_from",
    "say_share",
    "say_shares",
    "say_streaks",
    "say_untouched",
    "story",
    "storyboard_html",
    "untouched",
    "write_notes",
]
