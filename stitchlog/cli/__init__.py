"""The command line. Nothing heavy is imported before a command needs it."""

from __future__ import annotations

import os
import sys
import tempfile
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from stitchlog import __version__
from stitchlog.cli.entry import add, fabric, goal, piece, session, undo
from stitchlog.cli.importing import import_
from stitchlog.cli.shared import COULD_NOT, DONE, FOLDER, SOME_LEFT_OUT, typed
from stitchlog.diary import clock
from stitchlog.errors import StitchlogError
from stitchlog.reports import REPORTS

if TYPE_CHECKING:
    from stitchlog.run.notebooks import Outcome

__all__ = ["cli", "main"]

_REPORT_LINES = "\n      ".join(f"{name:<10} {answers}" for name, answers in REPORTS.items())


def main(arguments: list[str] | None = None) -> int:
    """Runs the command line and returns its exit status; whatever happens, what the user reads is one line."""
    try:
        status = cli.main(arguments, prog_name="stitchlog", standalone_mode=False)
        return status if isinstance(status, int) else DONE
    except click.exceptions.Exit as stop:
        return stop.exit_code
    except click.ClickException as err:
        return _could_not(err.format_message())
    except StitchlogError as err:
        return _could_not(str(err))
    except (KeyboardInterrupt, click.Abort):
        return _could_not("stopped; nothing is left half written")
    except BrokenPipeError:
        # The reader of our output (a pager, `head`) has gone; that is its right.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return DONE
    except OSError as err:
        return _could_not(f"{err.filename}: {err.strerror}" if err.filename else str(err))
    except Exception as err:
        return _could_not(_unexpected(err))


def _could_not(why: str) -> int:
    click.echo(f"stitchlog: {' '.join(why.split())}", err=True)
    return COULD_NOT


def _unexpected(err: Exception) -> str:
    """One line for a fault of ours; the details go to a file that can be sent along."""
    import traceback

    with tempfile.NamedTemporaryFile("w", prefix="stitchlog-", suffix=".txt", delete=False, encoding="utf-8") as log:
        log.write("".join(traceback.format_exception(err)))
    what = f"{type(err).__name__}: {err}"
    return f"this should not have happened ({what}); your CSV files are as they were; details: {log.name}"


@click.group(context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100})
@click.version_option(__version__, prog_name="stitchlog")
def cli() -> None:
    """A workbook for your stitching diary.

    You keep a CSV file, one row a session. stitchlog reads it and makes reports that open in your browser: a review
    of the month, your pace, your rotation, when big pieces will be finished, whether your plans fit, and how much
    fabric and thread they take. Everything stays on this computer.

    Begin with "stitchlog demo" to see it all, then "stitchlog new my-diary" to start your own.
    """


@cli.command()
@click.option("--out", type=FOLDER, default=Path("reports"), show_default=True, help="Folder for the pages.")
@click.option("--jobs", type=click.IntRange(1), default=2, show_default=True, help="How many reports to make at once.")
def demo(out: Path, jobs: int) -> int:
    """Make every report for the diary that comes with stitchlog.

    It belongs to an invented stitcher. The last line says which page to open in your browser.
    """
    from stitchlog import resources
    from stitchlog.diary.diary import open_diary
    from stitchlog.run.notebooks import NAMES

    folder = resources.folder("data_demo")
    last = open_diary(folder).last_day.date()
    return _report(NAMES, [folder], out, {"as_of": last}, jobs)


@cli.command()
@click.argument("folder", metavar="DIR", type=FOLDER)
def new(folder: Path) -> int:
    """Make a new diary folder.

    DIR gets a CSV file for each table, ready to open in any spreadsheet, and a file of settings.
    """
    from stitchlog.entry import beginning

    for path in beginning.begin(folder):
        click.echo(f"wrote {path}")
    click.echo(f'Now log a session: stitchlog add {typed(folder)} "My first piece" 120')
    click.echo(f"Or import a spreadsheet you already keep: stitchlog import {typed(folder)} FILE")
    return DONE


for command in (add, session, piece, goal, fabric, import_, undo):
    cli.add_command(command)


@cli.command()
@click.argument("folder", metavar="DIR", type=FOLDER)
@click.option(
    "--format",
    "form",
    type=click.Choice(["text", "csv", "json"]),
    default="text",
    show_default=True,
    help="How to print.",
)
def check(folder: Path, form: str) -> int:
    """Show what cannot be read in a diary folder, and how to fix it.

    Writes nothing. The exit status is 1 where rows would be left out.
    """
    from stitchlog.diary import arrow

    arrow.start()
    from stitchlog.entry import checking

    found = checking.check(folder, clock.today())
    if form == "text":
        click.echo(checking.as_text(found, width=_width()))
    else:
        click.echo(checking.as_csv(found) if form == "csv" else checking.as_json(found), nl=False)
    return SOME_LEFT_OUT if found.left_out_rows else DONE


@cli.command()
@click.argument("folder", metavar="DIR", type=FOLDER)
def ingest(folder: Path) -> int:
    """Read the CSV files into DIR/store, for reports and other programs.

    Reports do this by themselves. Rows that cannot be read are kept, word for word, in DIR/store/left_out.csv.
    """
    from stitchlog.diary import arrow

    arrow.start()
    from stitchlog.diary import store

    done = store.ingest(folder)
    click.echo(done.say())
    return SOME_LEFT_OUT if done.left_out else DONE


@cli.command(
    help=f"""Make reports from a diary folder.

    \b
    NAME is one of these, several with commas between, or "all":
      {_REPORT_LINES}
    or a notebook of your own in DIR/workbook (see "stitchlog notebook").

    Each leaves a page (NAME.html) that opens in a browser with no network, the notebook behind it, and its tables
    and pictures in a folder of the same name.

    \b
    stitchlog report review my-diary --month 2026-10
    stitchlog report finish my-diary --piece "Otter Creek"
    stitchlog report all my-diary
    """
)
@click.argument("names", metavar="NAME[,NAME...]")
@click.argument("folders", metavar="DIR...", type=FOLDER, nargs=-1, required=True)
@click.option("--month", metavar="MONTH", help="The period: one month, as 2026-10, october or last.")
@click.option(
    "--week",
    metavar="[WEEK]",
    is_flag=False,
    flag_value="",
    help="The period: one week (this, last, or the week of a day).",
)
@click.option("--year", metavar="YYYY", help="The period: one year.")
@click.option("--from", "start", metavar="DAY", help="The period's first day.")
@click.option("--to", "end", metavar="DAY", help="The period's last day.")
@click.option("--as-of", "as_of", metavar="DAY", help="See the diary as it stood on this day. [default: today]")
@click.option("--piece", help="One piece instead of all.")
@click.option("--out", type=FOLDER, help="Folder for the pages. [default: DIR/reports]")
@click.option("--jobs", type=click.IntRange(1), default=2, show_default=True, help="How many reports to make at once.")
@click.option("--minutes", metavar="N", help="review: how long you want to talk.")
@click.option("--tone", metavar="talk|journal", help="review: notes to talk from, or prose to paste.")
@click.option("--order", metavar="ORDER", help="review: worked, finishes-first, biggest-change or file.")
@click.option("--times", metavar="FILE", help="review: a file with the times of your cuts, for description.md.")
@click.option("--size", metavar="wide|square|tall", help="review: shape of the cards.")
@click.option(
    "--overlay", is_flag=True, default=None, help="review: cards as see-through strips for the bottom of the picture."
)
@click.option("--clips", is_flag=True, default=None, help="review: a clip from before to after for each piece.")
@click.option("--for", "suits", metavar="TAG", help="rotation: what the next piece should suit, such as travel.")
@click.option("--by", metavar="stitches|hours|days", help="rotation: what shares are counted in.")
@click.option("--per-week", "per_week", metavar="N", help="finish: what if you stitched N a week on it.")
@click.option("--share", metavar="SHARE", help="finish: what if it had this share of your time.")
@click.option("--focus", is_flag=True, default=None, help="finish: what if it had all of your time.")
@click.option("--done-by", "done_by", metavar="DAY", help="finish: what it takes to be done by this day.")
@click.option("--workbook", is_flag=True, help="Run your own copies of the notebooks, in DIR/workbook.")
def report(
    names: str,
    folders: tuple[Path, ...],
    out: Path | None,
    jobs: int,
    workbook: bool,
    **asked: Any,
) -> int:
    """Makes the reports NAMES of the diaries in FOLDERS."""
    from stitchlog.run import parameters as asking

    wanted = asking.names(names)
    folders, asked["piece"] = asking.apart(folders, asked["piece"])
    _must_be_there(folders)
    return _report(wanted, list(folders), out, asking.asked(list(folders), **asked), jobs, workbook)


@cli.command()
@click.argument("folder", metavar="DIR", type=FOLDER)
@click.argument("name")
def notebook(folder: Path, name: str) -> int:
    """Start a notebook of your own.

    It goes into DIR/workbook. "stitchlog report NAME DIR" then makes a page of it.

    \b
    stitchlog notebook my-diary "colours per month"
    """
    from stitchlog.run import own

    path = own.begin(folder, name)
    click.echo(f"wrote {path}")
    click.echo(f"Open it with: stitchlog lab {typed(folder)}")
    click.echo(f"Make its page with: stitchlog report {path.stem} {typed(folder)}")
    return DONE


@cli.command()
@click.argument("folder", metavar="DIR", type=FOLDER)
@click.option("--no-browser", is_flag=True, help="Do not open a browser; print the address instead.")
@click.option("--port", type=click.IntRange(1024, 65535), help="Where JupyterLab listens on this computer.")
@click.option("--fresh", metavar="NAME", multiple=True, help="Start this notebook again; yours is kept beside it.")
def lab(folder: Path, no_browser: bool, port: int | None, fresh: tuple[str, ...]) -> int:
    """Open the notebooks behind the reports, in JupyterLab.

    They are copied into DIR/workbook the first time, and your changes are kept. A new version of stitchlog keeps the
    values you set, and saves your earlier notebook beside the new one.
    """
    from stitchlog.workbook import lab

    lab.open_lab(folder, clock.today(), browser=not no_browser, port=port, fresh=fresh)
    return DONE


def _report(
    names: tuple[str, ...],
    folders: list[Path],
    out: Path | None,
    asked: dict[str, Any],
    workers: int,
    workbook: bool = False,
) -> int:
    """Makes the reports and says where they are. Returns the exit status."""
    from stitchlog.run import parameters as asking
    from stitchlog.run.notebooks import started

    asked = {name: value for name, value in asked.items() if value is not None}
    jobs = asking.jobs(names, folders, out, asked, workbook)
    outcomes: list[Outcome] = []
    known = any(job.out.exists() for job in jobs)
    label = "Reports" if known else "Reports (the first time takes up to a minute)"
    with started([job.name for job in jobs], workers) as crew:
        left_out = sum(_prepare(folder) for folder in folders)
        for line in asking.say_usual(jobs, asked):
            click.echo(line)
        with click.progressbar(crew.run(jobs), length=len(jobs), label=label, file=sys.stderr) as bar:
            outcomes.extend(bar)
    for outcome in outcomes:
        if outcome.failure:
            click.echo(f"stitchlog: {outcome.failure}", err=True)
    _say_where(outcomes)
    if any(o.failure for o in outcomes):
        return COULD_NOT
    return SOME_LEFT_OUT if left_out else DONE


def _must_be_there(folders: Iterable[Path]) -> None:
    for folder in folders:
        if not folder.is_dir():
            raise StitchlogError(f"{folder}: there is no such folder; to begin a diary: stitchlog new {typed(folder)}")


def _prepare(folder: Path) -> int:
    """Brings the folder's store up to date, tells of rows left out, and returns how many there are."""
    from stitchlog.diary import store

    read = store.up_to_date(folder)
    if read.left_out_rows:
        said = f"{read.left_out_rows} of {read.read_rows} rows could not be read and are left out"
        click.echo(f"{said}; to see why: stitchlog check {typed(folder)}", err=True)
    return read.left_out_rows


def _say_where(outcomes: list[Outcome]) -> None:
    """Writes the index page where several reports went to one folder, and says which page to open."""
    for out in dict.fromkeys(o.job.out for o in outcomes):
        pages = [o.page for o in outcomes if o.job.out == out and o.page]
        own = any(o.job.name not in REPORTS for o in outcomes)
        if len(pages) > 1 or own or (out / "index.html").exists():
            from stitchlog.run import index

            written = index.write(out)
            pages = [written] if len(pages) > 1 else pages
        for page in pages:
            click.echo(f"Open {page.resolve()}")


def _width() -> int:
    import shutil

    return shutil.get_terminal_size((80, 24)).columns
