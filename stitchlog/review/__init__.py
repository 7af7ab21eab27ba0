"""The review of a period: what was worked on, in what order, from where to where, what was started and finished."""

from stitchlog.review.ahead import ahead, say_seen_from
from stitchlog.review.days import calendar, compared, running, say_calendar, say_compared, say_running, say_streaks
from stitchlog.review.period import Period, period
from stitchlog.review.pieces import HEADINGS, pieces
from stitchlog.review.recap import Recap, recap
from stitchlog.review.standing import UNTOUCHED_HEADINGS, changes, flow, say_changes, say_flow, say_untouched, untouched
from stitchlog.review.story import story
from stitchlog.review.telling import (
    TONES,
    check_tone,
    say_marks,
    say_piece,
    say_progressed,
    say_share,
    say_shares,
)
