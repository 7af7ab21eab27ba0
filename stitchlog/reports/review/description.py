"""What stands below a video: its chapters, the credits of every piece, and the events as plain tags."""

from __future__ import annotations

import re
from pathlib import Path

from stitchlog.diary.frames import each_record
from stitchlog.errors import StitchlogError
from stitchlog.reports.review.credits import say_credits
from stitchlog.reports.review.notes import chapters, clock, in_order
from stitchlog.reports.review.recap import Recap
from stitchlog.reports.review.script import say_period

# A time as editors write it, hours left out or not, with or without frames or parts of a second behind it.
_TIME = re.compile(r"(?<![\d:])(?:(\d+):)?(\d{1,2}):(\d{2})(?:[.,;:]\d+)?(?![\d:])")


def write_description(recap: Recap, minutes: float = 20, order: str = "worked", times: str | Path | None = None) -> str:
    """The description as Markdown: a summary, chapters with their times, credits, tags.

    minutes, order: as for `write_notes`. times: a text file with a cut in each line ("4:05 Otter Creek"), whose times
    stand in for the planned ones; a first cut at 0:00 may be left out. Raises StitchlogError where there are not as
    many cuts as chapters, or the file cannot be read.
    """
    rows = in_order(recap, order)
    parts = chapters(recap, rows, minutes)
    starts = [at for at, *_ in parts] if times is None else cuts(Path(times), len(parts))
    long = max(starts) >= 3600
    lines = [f"# {recap.period.name}", "", " ".join(say_period(recap.compared)), "", "## Chapters", ""]
    lines += [f"{clock(at, long)} {_line(title)}  " for at, (_, title, _) in zip(starts, parts, strict=True)]
    lines += ["", "Planned times: put the real ones in when it is cut."] if times is None else []
    about = {credit["piece"]: credit for credit in each_record(recap.credits)}
    told = [(row["piece"], about[row["piece"]]["fabric"], say_credits(about[row["piece"]])) for row in rows]
    lines += ["", "## The pieces", ""] if told else []
    for piece, fabric, credits in told:
        said = ". ".join(text for text in (f"{fabric[:1].upper()}{fabric[1:]}", credits) if text)
        lines.append(f"- {_line(piece)}{f': {_line(said)}' if said else ''}")
    events = [event for row in rows for event in row["events"]]
    if tags := [f"#{tag}" for tag in dict.fromkeys(map(tag_of, events)) if tag]:
        lines += ["", "## Tags", "", " ".join(tags)]
    return "\n".join(lines) + "\n"


def cuts(path: Path, chapters: int) -> list[int]:
    """The seconds at which the chapters begin, from a file with a time in each line. Raises StitchlogError."""
    try:
        text = path.read_text("utf-8-sig")
    except (OSError, UnicodeDecodeError) as err:
        why = err.strerror if isinstance(err, OSError) else "it is not plain text"
        raise StitchlogError(f"times: {path} cannot be read: {why}") from None
    found = []
    for line in text.splitlines():
        if time := _TIME.search(line):
            hours, minutes, seconds = (int(part or 0) for part in time.groups())
            found.append(hours * 3600 + minutes * 60 + seconds)
    if len(found) == chapters - 1 and found and found[0] > 0:
        found.insert(0, 0)
    if len(found) != chapters:
        raise StitchlogError(
            f"times: {path} has {len(found)} times and there are {chapters} chapters; write one a line, such as 4:05"
        )
    if found != sorted(found):
        raise StitchlogError(f"times: the times in {path} do not go forward; write them in the order of the chapters")
    return found


def tag_of(event: str) -> str:
    """An event's name as a tag: its letters and digits, run together.

    >>> tag_of("Winter Fox stitch-along")
    'winterfoxstitchalong'
    """
    return "".join(c for c in event.casefold() if c.isalnum())


def _line(text: str) -> str:
    return " ".join(str(text).split())
