"""The row of choices above a live notebook: it writes the parameters cell and runs the notebook again.

It works where `stitchlog lab` has opened the notebook. Anywhere else there is the cell alone, which says the same.
"""

from __future__ import annotations

import json
import os
from pathlib import Path
from typing import Any

import pandas as pd

from stitchlog import words
from stitchlog.diary import tags
from stitchlog.diary.diary import Diary

# Set where JupyterLab is opened by `stitchlog lab`, which lets a page's script reach the notebook that it is in.
LIVE = "STITCHLOG_LAB"
# What the cell calls each parameter, and what a person does.
_WORDS = {
    "as_of": "up to",
    "by": "shares of",
    "done_by": "done by",
    "focus": "all your time",
    "margin_in": "margin, inches",
    "minutes": "minutes to talk",
    "over": "over",
    "per_week": "stitches a week",
    "share": "share of your time",
    "suits": "to suit",
}
_CHOICES = {
    "by": ["stitches", "hours", "days"],
    "tone": ["talk", "journal"],
    "size": ["wide", "square", "tall"],
    "over": [1, 2],
}


def row(diary: Diary) -> dict[str, Any] | None:
    """What shows the row of choices for a diary, by kind; None outside `stitchlog lab`."""
    if not os.environ.get(LIVE):
        return None
    offered = json.dumps(offers(diary), ensure_ascii=False).replace("<", "\\u003c")
    script = Path(__file__).with_name("choices.js").read_text("utf-8")
    return {"text/html": f"<script>{script}({offered});</script>", "text/plain": ""}


def offers(diary: Diary) -> dict[str, Any]:
    """What may be chosen: pieces (the latest touched first), periods (label, first day, last day), choices, words."""
    standing = diary.standing().sort_values("last_session", ascending=False, na_position="last", kind="stable")
    suits = sorted({tag for written in diary.pieces["tags"].dropna() for tag in tags.tags_of(written)})
    return {
        "pieces": [str(name) for name in standing["piece"]],
        "periods": _periods(diary),
        "choices": _CHOICES | {"suits": suits},
        "words": _WORDS,
    }


def _periods(diary: Diary) -> list[tuple[str, str, str]]:
    """The diary's months and years, and the month to come, the latest first."""
    if diary.sessions.empty:
        return []
    months = pd.period_range(diary.first_day, diary.as_of, freq="M")
    latest = [months[-1] + 1, *months[::-1]]
    years = dict.fromkeys(month.asfreq("Y") for month in latest)
    named = [(words.month(m.start_time), m) for m in latest] + [(str(y), y) for y in years]
    return [(label, p.start_time.date().isoformat(), p.end_time.date().isoformat()) for label, p in named]
