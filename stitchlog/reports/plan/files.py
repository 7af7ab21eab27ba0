"""What lies beside the plan's page to take along: a calendar file, and a sheet of paper with boxes to tick."""

from __future__ import annotations

import datetime as dt
import uuid
from collections import Counter
from typing import Any

import pandas as pd

from stitchlog import words
from stitchlog.diary.frames import each_row
from stitchlog.reports.plan.capacity import Capacity
from stitchlog.reports.plan.course import days
from stitchlog.reports.plan.figures import Figures
from stitchlog.reports.plan.sentences import say_cautions, say_dropping, say_entry, say_fit

PRODUCT = "-//stitchlog//plan//EN"
# The root of all the calendar's identifiers; it never changes, so that importing again updates and adds nothing.
_ROOT = uuid.UUID("6f0d6c0e-2c0b-5d7e-9a3f-51a7c0d5e6b1")

# One sheet of A4 or letter paper, with room for a busy month.
_SHEET = """<!DOCTYPE html>
<html lang="en"><head><meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>{{ title }}</title>
<style>
@page { margin: 11mm; }
body { font: 8.3pt/1.25 "Liberation Sans", Helvetica, Arial, sans-serif; color: #2b2a27; }
body { margin: 0 auto; max-width: 188mm; }
h1 { font-size: 14pt; margin: 0 0 1mm; }
h2 { font-size: 10pt; margin: 2.5mm 0 0.7mm; border-bottom: 0.3mm solid #8a8374; break-after: avoid; }
p { margin: 0 0 1.5mm; }
ul { list-style: none; margin: 0; padding: 0; columns: 2; column-gap: 7mm; }
li { margin: 0 0 0.9mm; padding-left: 5mm; position: relative; break-inside: avoid; }
li::before { content: ""; position: absolute; left: 0; top: 0.5mm; width: 2.5mm; height: 2.5mm; }
li::before { border: 0.3mm solid #2b2a27; }
.quiet { color: #635f57; }
.care { border-left: 1mm solid #8a8374; padding-left: 3mm; margin-top: 2mm; }
@media screen { body { font-size: 11pt; padding: 6mm; } }
@media screen and (max-width: 40em) { ul { columns: 1; } }
</style></head><body>
<h1>{{ title }}</h1>
<p>{{ fit }}</p>
{% for heading, items in sections if items %}
<h2>{{ heading }}</h2>
<ul>
{% for what, quiet, last in items %}
<li><b>{{ what }}</b> <span class="quiet">{{ quiet }}</span>{% if last %}<br>{{ last }}{% endif %}</li>
{% endfor %}
</ul>
{% endfor %}
{% if care %}
<p class="care quiet">{{ care }}</p>
{% endif %}
<p class="quiet">Up to {{ as_of }}.</p>
</body></html>
"""


def checklist(plan: Figures) -> str:
    """One printable HTML page: the goals, the prompts with their pieces, what to pack, and the days."""
    from jinja2 import Environment

    def when(row: Any) -> str:
        days_of_it = pd.notna(row.starts) and row.kind != "due"
        return words.period(row.starts, row.ends) if days_of_it else words.day(row.ends, year=False)

    goals = [(f"{row.label}, {when(row)}", say_entry(row), "") for row in each_row(plan.fit.goals)]
    asked = [
        (row.prompt, (row.piece or f"needs {row.mend}") + _least(row.stitches), "")
        for row in each_row(plan.prompts.rows)
    ]
    packed = [
        (row.piece, f"{row.cloth}; {row.needle_case or 'colours not written down'}", "") for row in each_row(plan.bag)
    ]
    daily = [
        (row.days, row.asks or "nothing asked", f"ends: {row.ends}" if row.ends else "")
        for row in each_row(days(plan.course))
    ]
    sheet = Environment(autoescape=True, trim_blocks=True).from_string(_SHEET)
    return sheet.render(
        title=f"Stitching plan: {words.period(plan.fit.start, plan.fit.end)}",
        fit=f"{say_fit(plan.fit)} {say_dropping(plan.fit)}",
        sections=[
            ("Goals", goals),
            (f"Prompts of {plan.prompts.event}", asked),
            ("To pack", packed),
            ("Stitches a day, spread evenly", daily),
        ],
        care=say_cautions(plan.fit, plan.course),
        as_of=words.day(plan.fit.as_of),
    )


def _least(stitches: float) -> str:
    return f", {words.count(stitches, 'stitch', 'stitches')}" if stitches > 0 else ""


def calendar_file(fit: Capacity) -> bytes:
    """The goals of a `Capacity` as an iCalendar file (RFC 5545), an all-day entry each, seen from its
    `as_of`.

    Entries keep their identifier while event, part, piece and kind stay, whatever becomes of the dates, so that a later
    file updates them. The end is the day after the last, as the standard asks. The same frame gives the same bytes.
    """
    from icalendar import Calendar, Event

    day = fit.as_of
    out = Calendar()
    out.add("prodid", PRODUCT)
    out.add("version", "2.0")
    out.add("method", "PUBLISH")
    out.add("x-wr-calname", "Stitching plan")
    seen: Counter[str] = Counter()
    for row in each_row(fit.goals):
        key = "\x1f".join((row.kind, row.event, row.part, row.piece))
        seen[key] += 1
        due = row.kind == "due"
        entry = Event()
        entry.add("uid", str(uuid.uuid5(_ROOT, f"{key}\x1f{seen[key]}")))
        entry.add("dtstamp", dt.datetime(day.year, day.month, day.day, tzinfo=dt.UTC))
        entry.add("sequence", (day - pd.Timestamp("2000-01-01")).days)
        # A piece that is due is an entry on its day; a window is an entry over all of it.
        entry.add("dtstart", (row.ends if due else row.starts).date())
        entry.add("dtend", row.ends.date() + dt.timedelta(days=1))
        entry.add("summary", f"{row.piece} is due" if due else row.label)
        entry.add("description", say_entry(row))
        entry.add("transp", "TRANSPARENT")
        out.add_component(entry)
    return bytes(out.to_ical())


def say_files(plan: Figures) -> str:
    """What lies beside the page to take along."""
    entries = words.count(len(plan.fit.goals), "entry", "entries")
    return (
        f"Beside this page, in the folder plan: calendar.ics ({entries}; importing a later one updates them) and "
        "checklist.html, one sheet to print."
    )
