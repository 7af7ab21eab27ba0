"""The plan on one sheet of paper, with boxes to tick."""

from __future__ import annotations

from html import escape
from typing import Any

import pandas as pd

from stitchlog import words
from stitchlog.plan.calendar import say_entry
from stitchlog.plan.commitments import each
from stitchlog.plan.course import spans
from stitchlog.plan.outlook import Outlook
from stitchlog.plan.says import say_cautions, say_fit

# One sheet of A4 or letter paper, with room for a busy month.
_STYLE = """
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
"""


def checklist(plan: Outlook) -> str:
    """One printable HTML page: what is promised, the prompts with their pieces, what to pack, and the days."""
    title = f"Stitching plan: {words.period(plan.start, plan.end)}"
    care = say_cautions(plan.fit, plan.course)
    parts = [
        f"<h1>{escape(title)}</h1>",
        f"<p>{escape(say_fit(plan.fit))}</p>",
        _section("Promises", [_promise(row) for row in each(plan.fit)]),
        _section(f"Prompts of {plan.event}", [_prompt(row) for row in each(plan.prompts)]),
        _section("To pack", [_packed(row) for row in each(plan.bag)]),
        _section("Stitches a day, spread evenly", [_days(row) for row in spans(plan.course).to_dict("records")]),
        f'<p class="care quiet">{escape(care)}</p>' if care else "",
        f'<p class="quiet">Seen from {escape(words.day(plan.as_of))}.</p>',
    ]
    return (
        '<!DOCTYPE html>\n<html lang="en"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        f"<title>{escape(title)}</title><style>{_STYLE}</style></head><body>\n"
        + "\n".join(part for part in parts if part)
        + "\n</body></html>\n"
    )


def _section(title: str, items: list[str]) -> str:
    if not items:
        return ""
    return f"<h2>{escape(title)}</h2><ul>" + "".join(f"<li>{item}</li>" for item in items) + "</ul>"


def _promise(row: Any) -> str:
    when = words.day(row.ends, year=False) if pd.isna(row.starts) or row.kind == "due" else _window(row)
    return f'<b>{escape(row.label)}</b>, {escape(when)} <span class="quiet">{escape(say_entry(row))}</span>'


def _window(row: Any) -> str:
    return words.period(row.starts, row.ends)


def _prompt(row: Any) -> str:
    least = f", {words.count(row.stitches, 'stitch', 'stitches')}" if row.stitches > 0 else ""
    if row.piece == "":
        return f'{escape(row.prompt)}{least}: <span class="quiet">wants {escape(row.mend)}</span>'
    return f"{escape(row.prompt)}{least}: <b>{escape(row.piece)}</b>"


def _packed(row: Any) -> str:
    colours = row.needle_case or "colours not written down"
    return f'<b>{escape(row.piece)}</b> <span class="quiet">{escape(row.cloth)}; {escape(colours)}</span>'


def _days(row: dict[str, Any]) -> str:
    ends = f"<br><b>ends: {escape(row['ends'])}</b>" if row["ends"] else ""
    return f"<b>{escape(words.period(row['from'], row['to']))}</b> {escape(row['asks']) or 'nothing asked'}{ends}"
