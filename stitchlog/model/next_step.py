"""The one thing to do next where a report has next to nothing to go by."""

from __future__ import annotations

import shlex

from stitchlog.diary.diary import Diary

# The reports that rest on how large pieces are.
_WANT_TOTALS = ("finish", "plan")


def say_next_step(diary: Diary, report: str) -> str:
    """What to do first, with the command to type, from a diary at its day; nothing where there is enough to go by."""
    folder = shlex.quote(diary.folder.resolve().name)
    if diary.sessions.empty:
        return f'No session yet. Log your first one: stitchlog add {folder} "My first piece" 120'
    standing = diary.standing()
    going = standing[standing["status"] == "on the go"].sort_values("last_session", na_position="first")
    if report in _WANT_TOTALS and len(going) and not (going["total"] > 0).any():
        piece = going["piece"].iloc[-1]
        typed = f"stitchlog piece {folder} {shlex.quote(piece)} --total NUMBER"
        return f"No work in progress has a total yet, so no finish can be forecast. Give {piece} its total: {typed}"
    return ""
