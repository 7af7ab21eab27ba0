"""Prints how long things take beside a yardstick measured in the same run.

python -m tests.benchmarks.ratios [reports] [start] [ingest] [growth]
"""

from __future__ import annotations

import json
import os
import platform
import resource
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import nbformat

from tests.benchmarks import made

ROOT = Path(__file__).parents[2]
SIX = "review,pace,rotation,finish,plan,materials"
NOTHING = """
import sys, papermill
papermill.execute_notebook(sys.argv[1], sys.argv[2], progress_bar=False, kernel_name="python3",
                           extra_arguments=["--IPKernelApp.log_level=ERROR"])
"""


def timed(command: list[str], **options) -> float:
    began = time.perf_counter()
    subprocess.run(command, check=True, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, **options)
    return time.perf_counter() - began


def python(code: str, *arguments: str) -> list[str]:
    return [sys.executable, "-c", code, *arguments]


def row(what: str, seconds: float, yardstick: str, base: float, goal: float) -> None:
    print(f"{what:<44} {seconds:7.2f} s   {yardstick:<46} {base:6.2f} s   ratio {seconds / base:5.2f} (goal {goal})")


def reports(folder: Path) -> None:
    """One report, and all of them, on the demo diary, against notebooks that import pandas and altair.

    One against one; six, as many as the goals are for, against six, two at a time.
    """
    book = nbformat.v4.new_notebook(cells=[nbformat.v4.new_code_cell("import pandas, altair")])
    nbformat.write(book, folder / "nothing.ipynb")
    diary = folder / "diary"
    shutil.copytree(ROOT / "data_demo", diary)
    stitchlog = [sys.executable, "-m", "stitchlog.cli", "report"]
    asked = [str(diary), "--as-of", "2026-10-31", "--out"]
    timed([*stitchlog, "pace", *asked, str(folder / "first")])
    nothing = python(NOTHING, str(folder / "nothing.ipynb"), str(folder / "n.ipynb"))
    found: dict[str, list[float]] = {"pace": [], "review": [], SIX: [], "one": [], "six": []}
    for turn in range(3):
        out = folder / f"reports-{turn}"
        for names in ("pace", "review", SIX):
            found[names].append(timed([*stitchlog, names, *asked, str(out)]))
        found["one"].append(timed(nothing))
        began = time.perf_counter()
        with ThreadPoolExecutor(2) as pool:
            list(pool.map(timed, [[*nothing[:-1], str(folder / f"n{i}.ipynb")] for i in range(6)]))
        found["six"].append(time.perf_counter() - began)
    one, six = min(found["one"]), min(found["six"])
    row("report pace on data_demo", min(found["pace"]), "a notebook of imports, papermill", one, 1.2)
    row("report review, with its cards", min(found["review"]), "a notebook of imports, papermill", one, 1.2)
    row("six reports on data_demo", min(found[SIX]), "six notebooks of imports, papermill x 2", six, 0.75)


def start(folder: Path) -> None:
    """`check`, `add` and `--help` against importing pyarrow."""
    made.folder(folder / "small", rows=500, pieces=16, years=2)
    stitchlog = [sys.executable, "-m", "stitchlog.cli"]
    last = ["add", str(folder / "small"), "Piece 003", "12", "--date", "2008-01-01"]
    commands = {"--help": ["--help"], "check, 500 sessions": ["check", str(folder / "small")], "add": last}
    base = statistics.median(timed(python("import pyarrow")) for _ in range(7))
    for name, arguments in commands.items():
        row(
            f"stitchlog {name}",
            statistics.median(timed([*stitchlog, *arguments]) for _ in range(7)),
            "import pyarrow",
            base,
            3,
        )


def ingest(folder: Path, rows: int = 1_000_000) -> None:
    """A million sessions, two colours and a note each, into the store against pandas and pyarrow on the same file."""
    target = folder / "million"
    target.mkdir()
    made.diary_csv(target / "diary.csv", rows)
    source, parquet = str(target / "diary.csv"), str(folder / "x.parquet")
    pandas = "import sys, pandas as pd; pd.read_csv(sys.argv[1], parse_dates=['date']).to_parquet(sys.argv[2])"
    arrow = "import sys, pyarrow.csv as c, pyarrow.parquet as q; q.write_table(c.read_csv(sys.argv[1]), sys.argv[2])"
    ours, plain, floor = [], [], []
    for _ in range(3):
        subprocess.run(["rm", "-rf", str(target / "store")], check=True)
        ours.append(timed([sys.executable, "-m", "stitchlog.cli", "ingest", str(target)]))
        plain.append(timed(python(pandas, source, parquet)))
        floor.append(timed(python(arrow, source, parquet)))
    row(f"ingest of {rows:,} sessions", min(ours), "pandas read_csv(parse_dates).to_parquet", min(plain), 1.5)
    row(f"ingest of {rows:,} sessions", min(ours), "pyarrow read_csv, write_table", min(floor), 4)
    peak = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 2**20
    print(f"{'peak memory of any process above':<44} {peak:7.2f} GiB (goal 1.5)")


def growth(folder: Path) -> None:
    """CPU seconds for each further million sessions, from a thousand to three million; each size at its quickest.

    CPU, for the clock also tells what else the machine is doing, and most of all with the longest runs.
    """
    found = {1_000: [], 1_000_000: [], 3_000_000: []}
    for rows in found:
        (folder / str(rows)).mkdir()
        made.diary_csv(folder / str(rows) / "diary.csv", rows)
    for _ in range(3):
        for rows, seconds in found.items():
            subprocess.run(["rm", "-rf", str(folder / str(rows) / "store")], check=True)
            before = resource.getrusage(resource.RUSAGE_CHILDREN)
            timed([sys.executable, "-m", "stitchlog.cli", "ingest", str(folder / str(rows))])
            after = resource.getrusage(resource.RUSAGE_CHILDREN)
            seconds.append(after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime)
    found = {rows: min(seconds) for rows, seconds in found.items()}
    first = (found[1_000_000] - found[1_000]) / 0.999
    second = (found[3_000_000] - found[1_000_000]) / 2
    row("ingest, CPU of a million more from 1 to 3", second, "CPU of a million more from 0 to 1", first, 1.2)


def main() -> None:
    parts = {"reports": reports, "start": start, "ingest": ingest, "growth": growth}
    print(json.dumps({"python": platform.python_version(), "cores": os.cpu_count(), "machine": platform.machine()}))
    for name in sys.argv[1:] or parts:
        with tempfile.TemporaryDirectory() as folder:
            parts[name](Path(folder))


if __name__ == "__main__":
    main()
