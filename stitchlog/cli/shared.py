"""What several commands share: how a folder is typed, options made from a table, questions at a terminal."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any, TypeVar

import click

from stitchlog.diary import names, schema

DONE, SOME_LEFT_OUT, COULD_NOT = 0, 1, 2
FOLDER = click.Path(path_type=Path, file_okay=False)

Result = TypeVar("Result")
Command = TypeVar("Command", bound=Callable[..., Any])


def at_terminal() -> bool:
    """Whether somebody is there to be asked."""
    return sys.stdin.isatty() and sys.stdout.isatty()


def typed(folder: Path) -> str:
    """The folder as it is typed in a command."""
    import shlex

    return shlex.quote(str(folder))


# What a column of a table means, where that speaks of the table.
_HELP = {"size": "Width and height of the chart in stitches, as in 150x200."}


def column_options(table: schema.Table, columns: Iterable[str], **named: Any) -> Callable[[Command], Command]:
    """An option a column, `--fabric-colour` for `fabric_colour`, explained by what the column means."""

    def decorate(command: Command) -> Command:
        for name in reversed(list(columns)):
            text = table.column(name).meaning
            said = _HELP.get(name, text[:1].upper() + text[1:] + ".")
            command = click.option(f"--{name.replace('_', '-')}", name, help=said, **named)(command)
        return command

    return decorate


def asked(act: Callable[..., Result], *arguments: Any, **options: Any) -> Result:
    """What `act` returns once its questions are answered; without a terminal they are raised."""
    from stitchlog.entry.asking import Doubtful, Unsure

    while True:
        try:
            return act(*arguments, **options)
        except Unsure as unsure:
            # What is not sure may be another name than the one that stands second.
            if not at_terminal() or unsure.name != names.tidy(arguments[1]):
                raise
            chosen = _choose(unsure.name, unsure.candidates)
            arguments = (arguments[0], chosen or unsure.name, *arguments[2:])
            options["new"] = chosen is None
        except Doubtful as doubtful:
            if not at_terminal():
                raise
            for question in doubtful.questions:
                click.echo(question)
            click.confirm("Write it all the same?", abort=True)
            options["yes"] = True


def _choose(name: str, candidates: list[str]) -> str | None:
    """The piece that is meant; None where it is a new one."""
    for number, candidate in enumerate(candidates, 1):
        click.echo(f"  {number}  {candidate}")
    click.echo(f'  n  a new piece, "{name}"')
    choices = [*map(str, range(1, len(candidates) + 1)), "n"]
    answer = click.prompt("Which piece", type=click.Choice(choices), show_choices=False)
    return None if answer == "n" else candidates[int(answer) - 1]
