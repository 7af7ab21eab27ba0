"""The commands that write the diary's files: add, session, piece, goal, undo."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from stitchlog.cli import shared
from stitchlog.cli.shared import DONE, FOLDER, typed
from stitchlog.diary import clock, schema

_DAY_HELP = "today, yesterday, monday, 15 Nov or 2026-11-15"
# Columns of pieces.csv that `--finished` and the like may name without a day: today is meant.
_DAYS = ("started", "finished", "set_aside", "made_up")
# What a new piece brings along with its first session.
_BROUGHT = ("total", "width", "height", "size", "count", "over", "strands", "fabric")
_YES = click.option("--yes", is_flag=True, help="Write it without asking.")
_LOGGED = tuple(name for name in schema.DIARY.names if name not in ("piece", "date"))
_TEXTS = tuple(name for name in schema.PIECES.names if name not in ("piece", *_DAYS))


@click.command()
@click.argument("folder", metavar="DIR", type=FOLDER)
@click.argument("words", metavar="PIECE [STITCHES]", nargs=-1, required=True)
@click.option("--date", "date", default="today", show_default=True, help=f"The day: {_DAY_HELP}.")
@click.option("--minutes", help="Time at the needle.")
@click.option("--colours", "--colors", "colours", help='Colours used: "B12; B14", or with stitches "B12:120; B14:30".')
@click.option("--note", help="Anything worth remembering.")
@click.option("--so-far", "so_far", help="The piece's count after the session, instead of STITCHES.")
@click.option("--percent", help="How much of the piece is done after the session, instead of STITCHES.")
@click.option("--half", help="Half stitches worked.")
@click.option("--quarter", help="Quarter stitches worked.")
@click.option("--three-quarter", "three_quarter", help="Three-quarter stitches worked.")
@click.option("--unpicked", help="Stitches taken out again.")
@click.option("--backstitch", help="Backstitches worked.")
@click.option("--knots", help="French knots worked.")
@click.option("--beads", help="Beads attached.")
@click.option("--photo", help="A picture's path inside the diary folder.")
@click.option("--new", is_flag=True, help="PIECE is the name of a new piece.")
@shared.column_options(schema.PIECES, _BROUGHT)
@_YES
def add(folder: Path, words: tuple[str, ...], new: bool, yes: bool, **cells: Any) -> int:
    """Log a session.

    PIECE may be part of a name. Where it could be several pieces, or a new one, you are asked. You can leave
    out STITCHES if you give --so-far, --percent or --minutes. For a new piece you can give its total, size and
    fabric too.

    \b
    stitchlog add my-diary otter 140 --minutes 75 --colours "B12:120; B14"
    stitchlog add my-diary "Salt Wind" --so-far 4100 --date yesterday
    stitchlog add my-diary "Heron Lake" 90 --new --total 6000 --count 28
    """
    from stitchlog.diary import arrow

    arrow.start()
    from stitchlog.entry import adding

    piece, stitches = _apart(words, whole=bool(cells["so_far"] or cells["percent"]))
    if shared.at_terminal():
        brought = any(cells[name] for name in _BROUGHT)
        piece, new = shared.asked(adding.named, folder, piece, new=new, details=brought)
        if new and not (cells["total"] or cells["size"] or (cells["width"] and cells["height"])):
            cells["total"] = _total(piece)
    added = shared.asked(adding.add, folder, piece, stitches, today=clock.today(), new=new, yes=yes, **cells)
    click.echo(added.say())
    return DONE


@click.command()
@click.argument("folder", metavar="DIR", type=FOLDER)
@click.argument("words", metavar="NAME", nargs=-1, required=True)
@shared.column_options(schema.PIECES, _TEXTS)
@shared.column_options(schema.PIECES, _DAYS, is_flag=False, flag_value="today", metavar="[DAY]")
@click.option(
    "--picked-up", "picked_up", is_flag=False, flag_value="today", metavar="[DAY]", help="No longer set aside."
)
@click.option("--rename", metavar="NEW", help="Its new name, in every table.")
@click.option("--new", is_flag=True, help="NAME is the name of a new piece.")
@_YES
def piece(folder: Path, words: tuple[str, ...], picked_up: str | None, **options: Any) -> int:
    """Add a piece, or change its details.

    Only what you name changes. An empty value ("") clears it. Write days as today, monday, 15 Nov or 2026-11-15;
    --finished alone means today.

    \b
    stitchlog piece my-diary "Heron Lake" --total 6000 --size "150 x 200" --count 28
    stitchlog piece my-diary heron --finished yesterday
    """
    from stitchlog.diary import arrow

    arrow.start()
    from stitchlog.entry import pieces

    name = " ".join(words)
    options |= {"today": clock.today(), "picked_up": picked_up is not None}
    click.echo(shared.asked(pieces.change_piece, folder, name, **options).say())
    return DONE


@click.command()
@click.argument("folder", metavar="DIR", type=FOLDER)
@click.argument("words", metavar="PIECE", nargs=-1, required=True)
@click.option("--date", default="today", show_default=True, help=f"The day it is logged on: {_DAY_HELP}.")
@click.option("--line", type=int, help="Its line in diary.csv, if there are several that day.")
@click.option("--to-piece", "to_piece", metavar="PIECE", help="The piece it should be for.")
@click.option("--to-date", "to_date", metavar="DAY", help="The day it should be on.")
@click.option("--remove", is_flag=True, help="Take it out.")
@click.option("--new", is_flag=True, help="The piece it should be for is a new one.")
@shared.column_options(schema.DIARY, _LOGGED)
@_YES
def session(folder: Path, words: tuple[str, ...], **options: Any) -> int:
    """Correct a session that is already logged.

    Only what you name changes. An empty value ("") clears it.

    \b
    stitchlog session my-diary otter --date monday --stitches 140
    stitchlog session my-diary heron --date yesterday --to-piece otter
    stitchlog session my-diary heron --date "15 Nov" --remove
    """
    from stitchlog.diary import arrow

    arrow.start()
    from stitchlog.entry import sessions

    done = shared.asked(sessions.correct, folder, " ".join(words), today=clock.today(), **options)
    click.echo(done.say())
    return DONE


@click.command()
@click.argument("folder", metavar="DIR", type=FOLDER)
@click.argument("words", metavar="GOAL", nargs=-1)
@click.option("--month", help="The month it is for: 2026-12, december or next. [default: this month]")
@shared.column_options(schema.GOALS, ("piece",))
@click.option("--kind", type=click.Choice(schema.GOALS.column("kind").words), help="What to count, if anything.")
@shared.column_options(schema.GOALS, ("amount",))
def goal(folder: Path, words: tuple[str, ...], **options: Any) -> int:
    """Set a goal for a month.

    The review then says how it went. With --kind and --amount, stitchlog counts it for you.

    \b
    stitchlog goal my-diary "Finish the border" --piece heron --month december
    stitchlog goal my-diary --piece heron --kind stitches --amount 2000
    """
    from stitchlog.diary import arrow

    arrow.start()
    from stitchlog.entry import goals

    said = goals.add_goal(folder, " ".join(words), today=clock.today(), **options)
    click.echo(f"{said}; undo: stitchlog undo {typed(folder)}")
    return DONE


@click.command()
@click.argument("folder", metavar="DIR", type=FOLDER)
@click.argument("words", metavar="NAME", nargs=-1, required=True)
@click.option("--width", "width_cm", help="Width of the cut: in cm, or as in 18in.")
@click.option("--height", "height_cm", help="Height of the cut: in cm, or as in 18in.")
@shared.column_options(schema.FABRICS, ("count", "kind", "colour", "note"))
def fabric(folder: Path, words: tuple[str, ...], **cells: str | None) -> int:
    """Add a cut of fabric to your drawer.

    The stash report then says which charts fit on it.

    \b
    stitchlog fabric my-diary "Sage linen" --count 32 --width 50 --height 70 --colour "#a9b79a"
    """
    from stitchlog.diary import arrow

    arrow.start()
    from stitchlog.entry import fabrics

    said = fabrics.add_fabric(folder, " ".join(words), today=clock.today(), **cells)
    click.echo(f"{said}; undo: stitchlog undo {typed(folder)}")
    return DONE


@click.command()
@click.argument("folder", metavar="DIR", type=FOLDER)
@click.option("--earlier", is_flag=True, help="Undo one more change, right after an undo.")
def undo(folder: Path, earlier: bool) -> int:
    """Undo the last add, session, piece, goal, fabric or import.

    Run it again to redo it. The files as they were before are in DIR/copies.
    """
    from stitchlog.diary import arrow

    arrow.start()
    from stitchlog.entry import writing

    done = writing.undo(folder, clock.today(), earlier=earlier)
    if not done.back:
        click.echo(f"Redone: {done.said}; undo: stitchlog undo {typed(folder)}")
        return DONE
    click.echo(f"Undone: {done.said}; to redo it: stitchlog undo {typed(folder)}")
    if writing.can_undo(folder):
        click.echo(f"To undo the change before it too: stitchlog undo {typed(folder)} --earlier")
    return DONE


def _apart(words: tuple[str, ...], whole: bool) -> tuple[str, str | None]:
    """The piece and the stitches, where quotes round a name of several words were left out.

    whole: no stitches can be meant, so that a number at the end belongs to the name.
    """
    if len(words) > 1 and not whole and any(c.isdigit() for c in words[-1]):
        return " ".join(words[:-1]), words[-1]
    return " ".join(words), None


def _total(piece: str) -> str:
    """The total of a new piece, asked once; empty where it is not known."""
    from stitchlog.diary.reading import numbers
    from stitchlog.diary.reading.problems import Wrong

    def number(text: str) -> str:
        try:
            return text and f"{numbers.read(text):g}"
        except Wrong as fault:
            raise click.UsageError(fault.reason) from None

    asked = f"How many stitches in all for {piece} (press Enter if you don't know)"
    return str(click.prompt(asked, default="", show_default=False, value_proc=number))
