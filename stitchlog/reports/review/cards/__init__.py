"""Cards of a review for a video or a post: an opening, one a piece, what was said, bought and passed, a closing."""

from stitchlog.reports.review.cards.deck import PATHS, draw_cards, say_cards, slug
from stitchlog.reports.review.cards.parts import MARGIN, SIZES, check_size, figures_of, hundredths

__all__ = ["MARGIN", "PATHS", "SIZES", "check_size", "draw_cards", "figures_of", "hundredths", "say_cards", "slug"]
