"""The command that takes in a stitcher's own spreadsheet."""

from __future__ import annotations

import shutil
from pathlib import Path

import click

from stitchlog.cli.shared import DONE, FOLDER, SOME_LEFT_OUT, typed
from stitchlog.diary import clock
from stitchlog.errors import StitchlogError


@click.command("import")
@click.argument("folder", metavar="DIR", type=FOLDER)
@click.argument("file", metavar="FILE", type=click.Path(path_type=Path))
@click.option("--sheet", "sheets", multiple=True, help="Read only this sheet; repeat it for several.")
@click.option("--dates", type=click.Choice(["day-first", "month-first"]), help="How its dates are written, if unclear.")
@click.option(
    "--counts",
    type=click.Choice(["session", "so-far", "percent"]),
    help="What its numbers are, if unclear: stitches in the session, the count so far, or percent done.",
)
@click.option("--piece", help="The piece a sheet is for, if the sheet does not say.")
@click.option("--yes", is_flag=True, help="Write without asking.")
@click.option("--dry-run", is_flag=True, help="Show what would be imported; write nothing.")
def import_(folder: Path, file: Path, sheets: tuple[str, ...], yes: bool, dry_run: bool, **said: str | None) -> int:
    """Import a spreadsheet you already keep.

    FILE is a workbook (.xlsx, .xls, .ods) or a text file (.csv, .tsv), in the usual layouts: a row per session, a
    column per piece, a column per day, a sheet per piece or month. You see what was understood before anything is
    written. Your own file is never changed. Import it again next month: only what is new is added. DIR is made if it
    is not there.

    \b
    stitchlog import my-diary "Stitching 2026.xlsx"
    stitchlog import my-diary log.csv --dates day-first --yes
    """
    from stitchlog.diary import arrow

    arrow.start()
    from stitchlog.entry import importing

    answers = {name: value for name, value in said.items() if value is not None}
    proposal = importing.read(file, folder, sheets=sheets, answers=answers, today=clock.today())
    while proposal.questions:
        question = proposal.questions[0]
        if yes or dry_run:
            raise StitchlogError(f"{question.words}? Add {question.option}")
        answers[question.about] = _answer(question.words, dict(question.answers))
        proposal = importing.read(file, folder, sheets=sheets, answers=answers, today=clock.today())
    found = importing.difference(folder, proposal)
    click.echo(importing.preview(proposal, found, shutil.get_terminal_size((80, 24)).columns, whole=dry_run))
    status = SOME_LEFT_OUT if any(not item.kind for item in proposal.left_out) else DONE
    if found.nothing or dry_run:
        return status
    if not yes and not click.confirm("Write this to your diary"):
        click.echo("Nothing was written.")
        return DONE
    done = importing.apply(folder, proposal, clock.today())
    click.echo(f"Written to {folder}. {importing.news(done)}")
    click.echo(f"Now see: stitchlog report review {typed(folder)}")
    return status


def _answer(words: str, answers: dict[str, str]) -> str:
    """Asks a question; returns the key of the answer given, or the text where no answers are listed."""
    if not answers:
        return str(click.prompt(words))
    click.echo(f"{words}?")
    for number, said in enumerate(answers.values(), 1):
        click.echo(f"  {number}  {said}")
    return list(answers)[click.prompt("Which", type=click.IntRange(1, len(answers))) - 1]
