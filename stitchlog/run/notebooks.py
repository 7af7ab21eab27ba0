"""Notebooks become reports: papermill runs them, two at a time, and each leaves its page, tables and pictures."""

from __future__ import annotations

import importlib
import multiprocessing
import os
import sys
import types
from collections.abc import Iterator, Sequence
from concurrent.futures import Executor, Future, ProcessPoolExecutor, as_completed
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from stitchlog import resources
from stitchlog.diary.imports import without_address_checker
from stitchlog.reports import REPORTS

NAMES = tuple(REPORTS)


@dataclass(frozen=True)
class Job:
    """One report to make: its `name`, the diary `folder`, where to (`out`), and what to ask, as JSON.

    notebook: the one that makes it; None: ours of that name. remark: what its page says of that notebook.
    """

    name: str
    folder: Path
    out: Path
    ask: dict[str, Any] = field(default_factory=dict)
    notebook: Path | None = None
    remark: str = ""


@dataclass(frozen=True)
class Outcome:
    """What came of a job: the `page`, or the `failure` in one line (its notebook stays at OUT/NAME.ipynb)."""

    job: Job
    page: Path | None
    failure: str | None


@dataclass(frozen=True)
class Crew:
    """Processes that run notebooks, and processes that draw what came of them, as `started` makes them.

    plain: each notebook runs in a kernel of its own.
    """

    runners: Executor
    drawers: Executor
    plain: bool

    def run(self, jobs: list[Job]) -> Iterator[Outcome]:
        """Runs every job and yields each outcome as it comes; one that fails leaves the others standing."""
        running = {
            self.runners.submit(_execute, job.notebook or resources.notebook(job.name), job, self.plain): job
            for job in jobs
        }
        drawing = {}
        for done in as_completed(running):
            job = running[done]
            if failure := _result(done):
                yield Outcome(job, None, f"{job.name}: {failure}")
            else:
                drawing[self.drawers.submit(_draw, job)] = job
        for done in as_completed(drawing):
            job = drawing[done]
            if failure := _result(done):
                yield Outcome(job, None, f"{job.name}: the page could not be written: {failure}")
            else:
                yield Outcome(job, job.out / f"{job.name}.html", None)


def run(jobs: list[Job], workers: int = 2, plain: bool = False) -> Iterator[Outcome]:
    """Runs every job, each outcome as it comes, with a crew of their own (see `started`)."""
    with started([job.name for job in jobs], workers, plain) as crew:
        yield from crew.run(jobs)


@contextmanager
def started(names: Sequence[str], workers: int = 2, plain: bool = False) -> Iterator[Crew]:
    """A crew for these reports, whose processes load what they need while the caller goes on.

    Several notebooks are each forked from one process that has everything loaded; a single one runs in a process that
    loads what it needs itself. plain: in kernels, as where forking is not to be had (slower, same reports).
    """
    workers = min(workers, len(names))
    plain = plain or "forkserver" not in multiprocessing.get_all_start_methods()
    forks = len(names) > 1 and not plain
    fresh = multiprocessing.get_context("spawn")
    context = multiprocessing.get_context("forkserver") if forks else fresh
    if forks:
        context.set_forkserver_preload(["stitchlog.run.warm"])
    with (
        _without_main(),
        ProcessPoolExecutor(workers, mp_context=context, max_tasks_per_child=1 if forks else None) as runners,
        ProcessPoolExecutor(workers, mp_context=fresh) as drawers,
    ):
        if not plain:
            runners.submit(_load, [] if forks else list(names))
        for _ in range(workers):
            drawers.submit(_warm_drawing)
        yield Crew(runners, drawers, plain)


def _load(names: list[str]) -> None:
    """Loads what a notebook of one of these reports needs; nothing where it is loaded already."""
    import stitchlog

    with without_address_checker():
        importlib.import_module("stitchlog.run.inline")
    for name in ("Page", *names):
        getattr(stitchlog, name, None)


@contextmanager
def _without_main() -> Iterator[None]:
    """New processes would import the calling script again, and a script that has no guard would start all over."""
    main = sys.modules["__main__"]
    sys.modules["__main__"] = types.ModuleType("__main__")
    try:
        yield
    finally:
        sys.modules["__main__"] = main


def _warm_drawing() -> None:
    """Starts the drawing library, which takes a while, while the first notebooks run."""
    with without_address_checker():
        from stitchlog.render import export, vega  # noqa: F401

    vega.svg({"$schema": vega.SCHEMA, "data": {"values": [{}]}, "mark": "point"})


def _result(done: Future[str | None]) -> str | None:
    try:
        return done.result()
    except BrokenProcessPool:
        return "it was stopped from outside (was the memory full?); run it again, or with --jobs 1"
    except Exception as err:  # a fault in one report leaves the others standing
        return f"{type(err).__name__}: {' '.join(str(err).split())}"


def _execute(notebook: Path, job: Job, plain: bool) -> str | None:
    """Runs one notebook, in a kernel where `plain`, in this process otherwise. Returns why it failed, or None."""
    import papermill
    from papermill.exceptions import PapermillExecutionError

    notebook = notebook.resolve()
    job.out.mkdir(parents=True, exist_ok=True)
    target = job.out.resolve() / notebook.name
    ask = {"folder": str(job.folder.resolve()), "out": str(job.out.resolve()), **job.ask}
    engine: dict[str, Any] = {"kernel_name": "python3"}
    if not plain:
        from stitchlog.run import inline

        engine |= {"engine_name": inline.NAME}
        if job.notebook:
            # As in JupyterLab, files beside a notebook of the user's own are found by their names.
            os.chdir(notebook.parent)
            sys.path.insert(0, str(notebook.parent))
    else:
        engine |= {"cwd": str(notebook.parent)} if job.notebook else {}
        os.environ.setdefault("PYDEVD_DISABLE_FILE_VALIDATION", "1")
        engine |= {"extra_arguments": ["--IPKernelApp.log_level=ERROR"]}
    try:
        papermill.execute_notebook(
            str(notebook), str(target), ask, progress_bar=False, request_save_on_cell_execute=False, **engine
        )
    except PapermillExecutionError as err:
        said = " ".join(str(err.evalue).split())
        if err.ename == "StitchlogError":
            return said
        return f"cell {err.exec_count} of {target} failed: {err.ename}: {said}"
    except OSError as err:
        return f"{err.strerror or err}: {err.filename or target}"
    return None


def _draw(job: Job) -> str | None:
    """Makes the page and the pictures of an executed notebook. Returns why it failed, or None."""
    from stitchlog.render import export

    try:
        export.write(job.out / f"{job.name}.ipynb", job.out, job.name, job.remark)
    except OSError as err:
        return f"{err.strerror or err}: {err.filename or job.out}"
    return None
