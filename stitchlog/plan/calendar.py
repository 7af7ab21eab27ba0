"""The commitments as a calendar file that any calendar program reads (RFC 5545)."""

from __future__ import annotations

import datetime as dt
import uuid
from typing import Any

import pandas as pd
from icalendar import Calendar, Event

from stitchlog import words
from stitchlog.plan.commitments import each

PRODUCT = "-//stitchlog//plan//EN"
# The root of all the calendar's identifiers; it never changes, so that importing again updates and adds nothing.
_ROOT = uuid.UUID("6f0d6c0e-2c0b-5d7e-9a3f-51a7c0d5e6b1")


def calendar_file(fit: pd.DataFrame) -> bytes:
    """The commitments of a `capacity` frame as an iCalendar file, an all-day entry each, seen from its `as_of`.

    Entries keep their identifier while event, part, piece and kind stay, whatever becomes of the dates, so that a later
    file updates them. The end is the day after the last, as the standard asks. The same frame gives the same bytes.
    """
    day = fit.attrs["as_of"]
    out = Calendar()
    out.add("prodid", PRODUCT)
    out.add("version", "2.0")
    out.add("method", "PUBLISH")
    out.add("x-wr-calname", "Stitching plan")
    seen: dict[str, int] = {}
    for row in each(fit):
        key = "\x1f".join((row.kind, row.event, row.part, row.piece))
        seen[key] = seen.get(key, 0) + 1
        entry = Event()
        entry.add("uid", str(uuid.uuid5(_ROOT, f"{key}\x1f{seen[key]}")))
        entry.add("dtstamp", dt.datetime(day.year, day.month, day.day, tzinfo=dt.UTC))
        entry.add("sequence", (day - pd.Timestamp("2000-01-01")).days)
        # A piece that is due is an entry on its day; a window is an entry over all of it.
        first = row.ends if row.kind == "due" else row.starts
        entry.add("dtstart", first.date())
        entry.add("dtend", row.ends.date() + dt.timedelta(days=1))
        entry.add("summary", f"{row.piece} is due" if row.kind == "due" else row.label)
        entry.add("description", say_entry(row))
        entry.add("transp", "TRANSPARENT")
        out.add_component(entry)
    return out.to_ical()


def say_entry(row: Any) -> str:
    """What an entry says below its title."""
    parts = []
    if row.kind == "start":
        parts.append(f"begin {row.piece}" if row.piece else f"begin {words.count(row.target, 'piece')}")
    elif row.kind in ("finish", "due"):
        parts.append(f"finish {row.piece}, {words.count(row.owed, 'stitch', 'stitches')} to go")
    elif pd.isna(row.target):
        parts.append("no target")
    else:
        parts.append(say_amount(row.target, row.unit) + (f" on {row.piece}" if row.piece else ""))
    if row.worked > 0 and row.kind in ("target", "length"):
        parts.append(f"{say_amount(row.worked, row.unit)} worked")
    if row.per_day_needed > 0 and row.unit == "stitches":
        parts.append(f"about {words.count(-(-row.per_day_needed // 1), 'stitch', 'stitches')} a day")
    return "; ".join(parts)


def say_amount(value: float, unit: str) -> str:
    """An amount in its unit.

    >>> say_amount(1, "stitches"), say_amount(30, "lengths"), say_amount(2.5, "lengths")
    ('1 stitch', '30 lengths', '2.5 lengths')
    """
    one = {"stitches": "stitch", "lengths": "length", "pieces": "piece"}[unit]
    whole = abs(value - round(value)) < 0.05 or unit != "lengths"
    return words.count(value, one, unit) if whole else f"{words.number(value, 1)} {unit}"
