"""The tables of a diary folder: every column's name, kind, unit and meaning, in one place.

The reader, the store, the standard description beside it and the README's tables of columns all come from here.
"""

from __future__ import annotations

from dataclasses import dataclass

# What a cell may hold, as a person would say it.
KINDS = {
    "text": "free text",
    "name": "a name",
    "date": "a day, ISO 8601 (2026-10-31)",
    "count": "a number, 0 or more",
    "share": "a number from 0 to 1",
    "percent": "0 to 100, with or without %",
    "fabric_count": "a number, also as 28ct or 28ct over 2",
    "length": "centimetres, also as 18 in or 0.5 m",
    "size": "width x height in stitches, as in 150 x 200",
    "whole": "a whole number, 0 or more",
    "over": "1 or 2",
    "hex": "a colour such as #8fae5d",
    "yes_no": "yes or no",
    "choice": "one of a few words",
    "month": "a month, as in 2026-10",
}


@dataclass(frozen=True)
class Column:
    """One column: `kind` is a key of KINDS, `unit` as written on axes ('' where none), `words` what a choice may be."""

    name: str
    kind: str
    meaning: str
    unit: str = ""
    required: bool = False
    aliases: tuple[str, ...] = ()
    words: tuple[str, ...] = ()

    @property
    def holds(self) -> str:
        """What a cell may hold, as a person would say it."""
        return f"{', '.join(self.words[:-1])} or {self.words[-1]}" if self.words else KINDS[self.kind]


@dataclass(frozen=True)
class Table:
    """One CSV file of a diary folder. `key`: the columns that tell a row from any other (none: rows may repeat)."""

    name: str
    meaning: str
    columns: tuple[Column, ...]
    key: tuple[str, ...] = ()

    @property
    def file(self) -> str:
        return f"{self.name}.csv"

    @property
    def names(self) -> list[str]:
        return [c.name for c in self.columns]

    @property
    def required(self) -> list[str]:
        return [c.name for c in self.columns if c.required]

    def column(self, name: str) -> Column:
        return next(c for c in self.columns if c.name == name)


DIARY = Table(
    "diary",
    "a row a session",
    (
        Column("piece", "name", "the piece's name; capitals and extra blanks do not matter", required=True),
        Column("date", "date", "the day", required=True),
        Column("stitches", "count", "full cross stitches worked in the session", "stitches"),
        Column("half", "count", "half stitches worked; each counts 0.5", "half stitches"),
        Column("quarter", "count", "quarter stitches worked; each counts 0.25", "quarter stitches"),
        Column("three_quarter", "count", "three-quarter stitches worked; each counts 0.75", "three-quarter stitches"),
        Column("unpicked", "count", "full stitches taken out again; subtracts", "stitches"),
        Column("so_far", "count", "instead of a session's own count: the piece's count after the session", "stitches"),
        Column("backstitch", "count", "backstitches, counted on their own", "backstitches"),
        Column("knots", "whole", "French knots, counted on their own", "knots"),
        Column("beads", "whole", "beads, counted on their own", "beads"),
        Column("minutes", "count", "time at the needle", "minutes"),
        Column(
            "colours",
            "text",
            "colour codes with `;` between, each may carry its stitches: B12:120; B14",
            aliases=("colors",),
        ),
        Column("photo", "text", "a picture's path inside the folder"),
        Column("note", "text", "anything worth remembering"),
        Column("percent", "percent", "instead of a count: how much of the piece is done after the session", "percent"),
    ),
)

PIECES = Table(
    "pieces",
    "a row a piece",
    (
        Column("piece", "name", "the piece's name", required=True),
        Column("total", "count", "stitches of the whole design, in full stitches", "stitches"),
        Column("width", "count", "width of the chart, where the total is not known", "stitches"),
        Column("height", "count", "height of the chart, where the total is not known", "stitches"),
        Column("coverage", "share", "share of the chart's grid that is stitched", "share"),
        Column("size", "size", "width and height in one cell, instead of the two columns", "stitches"),
        Column("count", "fabric_count", "fabric threads or blocks per inch", "per inch"),
        Column("over", "over", "worked over one or two threads", "threads"),
        Column("strands", "whole", "strands in the needle", "strands"),
        Column("fabric", "text", "what the fabric is"),
        Column("fabric_colour", "hex", "the fabric's colour"),
        Column("done_before", "count", "stitches worked before the diary begins", "stitches"),
        Column("started", "date", "the day it was started"),
        Column("finished", "date", "the day it was finished"),
        Column("set_aside", "date", "the day it was set aside"),
        Column("due", "date", "the day it is due"),
        Column("want", "share", "the share of the time it should have", "share"),
        Column("tags", "text", "single words with `;` between, such as animal; travel"),
        Column("pages", "whole", "pages of the chart", "pages"),
        Column("design_by", "text", "who designed it"),
        Column("chart_from", "text", "where the chart came from"),
        Column("fabric_from", "text", "where the fabric came from"),
        Column("threads_from", "text", "where the threads came from"),
        Column("made_up", "date", "the day it was framed or sewn up"),
    ),
    key=("piece",),
)

EVENTS = Table(
    "events",
    "a row a section or stage",
    (
        Column("event", "name", "the event's name", required=True),
        Column("part", "text", "the section or stage"),
        Column("starts", "date", "first day", required=True),
        Column("ends", "date", "last day", required=True),
        Column("target", "count", "stitches to do from `starts` to `ends` (for `start` pieces, for `length` lengths)"),
        Column("piece", "name", "the piece it is for; empty: any piece"),
        Column("half_counts", "share", "what a half stitch counts in this event (0.5 where empty)"),
        Column("kind", "choice", "what it asks for; target where empty", words=("target", "start", "finish", "length")),
        Column("shared", "yes_no", "whether its stitches count for other events too (yes where empty)"),
    ),
)

PROMPTS = Table(
    "prompts",
    "a row a prompt",
    (
        Column("event", "name", "the event it belongs to", required=True),
        Column("prompt", "text", "the prompt's words", required=True),
        Column("needs", "text", "tags a piece must have: `a b` for both, `a; b` for either"),
        Column("stitches", "count", "fewest stitches to claim it", "stitches"),
    ),
)

THREADS = Table(
    "threads",
    "a row a colour",
    (
        Column("code", "name", "the code you use for it", required=True),
        Column("name", "text", "what you call it"),
        Column("hex", "hex", "its colour on screen"),
        Column("skeins", "count", "skeins on hand", "skeins"),
    ),
    key=("code",),
)

CHART_COLOURS = Table(
    "chart_colours",
    "a row a colour of a piece's chart",
    (
        Column("piece", "name", "the piece", required=True),
        Column("code", "name", "the colour's code", required=True),
        Column("stitches", "count", "stitches of that colour in the whole design", "stitches", required=True),
    ),
    key=("piece", "code"),
)

GOALS = Table(
    "goals",
    "a row a goal for a month",
    (
        Column("month", "month", "the month it is for", required=True),
        Column("goal", "text", "the goal in your words"),
        Column("piece", "name", "the piece it is about"),
        Column(
            "kind",
            "choice",
            "what is counted; empty if nothing is",
            words=("stitches", "percent", "sessions", "start", "finish"),
        ),
        Column("amount", "count", "how much of it"),
        Column("outcome", "choice", "how a goal that is not counted turned out", words=("met", "partly", "dropped")),
    ),
)

BOUGHT = Table(
    "bought",
    "a row a thing bought",
    (
        Column("date", "date", "the day"),
        Column("what", "choice", "what it is", words=("chart", "kit", "fabric", "thread", "tool")),
        Column("name", "name", "its name", required=True),
        Column("from", "text", "where it came from"),
        Column("cost", "count", "what it cost"),
        Column("photo", "text", "a picture's path inside the folder"),
        Column("note", "text", "anything worth remembering"),
    ),
)

FABRICS = Table(
    "fabrics",
    "a row a cut of fabric in the drawer",
    (
        Column("name", "name", "what you call it", required=True),
        Column("count", "fabric_count", "threads or blocks per inch", "per inch"),
        Column("kind", "text", "linen, evenweave, Aida or another"),
        Column("colour", "hex", "its colour", aliases=("color",)),
        Column("width_cm", "length", "width of the cut", "cm"),
        Column("height_cm", "length", "height of the cut", "cm"),
        Column("note", "text", "anything worth remembering"),
    ),
)

TABLES = (DIARY, PIECES, EVENTS, PROMPTS, THREADS, CHART_COLOURS, GOALS, BOUGHT, FABRICS)

# What a fractional stitch counts, in full stitches (a convention of this package; no body standardises it).
FRACTIONS = {"half": 0.5, "quarter": 0.25, "three_quarter": 0.75}
