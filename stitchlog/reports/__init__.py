"""The reports: a folder each, with its frames, its sentences and its charts."""

__all__ = ["REPORTS"]

# Every report and what it answers, in the order in which they are read.
REPORTS = {
    "review": "what happened in a period, ready to be talked through",
    "pace": "how fast you are on each piece, compared fairly",
    "rotation": "what you stitched on, and what to pick up next",
    "finish": "when big pieces will be finished, with the chances",
    "plan": "whether your stitch-alongs, challenges and due dates all fit",
    "materials": "fabric size, thread per colour, what to buy, what will show",
    "stash": "which chart to start next, on which fabric, from what you have",
}
