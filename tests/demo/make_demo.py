"""Writes the demo diary, the same one every time.

python -m tests.demo.make_demo [DIR]        DIR: data_demo unless named
"""

from __future__ import annotations

import csv
import shutil
import sys
from pathlib import Path

if __package__ in (None, ""):  # run as a file: make `tests.demo` importable
    sys.path.insert(0, str(Path(__file__).resolve().parents[2]))
    __package__ = "tests.demo"

from stitchlog.diary import schema
from tests.demo import charts, life, pictures, story

SEED = 7
HERE = Path(__file__).resolve().parents[2] / "data_demo"


def main(folder: Path = HERE) -> None:
    folder.mkdir(parents=True, exist_ok=True)
    made = {piece.name: charts.chart(piece) for piece in story.PIECES}
    orders = {name: chart.order for name, chart in made.items()}
    sessions, book = life.live(story.PIECES, orders, SEED)
    pictures.take(folder / "photos", story.PIECES, made, sessions)
    _write(folder / "diary.csv", schema.DIARY.names, [_diary_row(s) for s in sessions])
    _write(folder / "pieces.csv", schema.PIECES.names, [_piece_row(p, book[p.name]) for p in story.PIECES])
    known = [p.name for p in story.PIECES if p.chart_known]
    counts = [(name, code, orders[name].count(code)) for name in known for code in sorted(set(orders[name]))]
    _write(folder / "chart_colours.csv", schema.CHART_COLOURS.names, counts)
    for name in ("events.csv", "prompts.csv", "threads.csv", "stitchlog.toml"):
        shutil.copyfile(story.BY_HAND / name, folder / name)


def _write(path: Path, header: list[str], rows: list[tuple]) -> None:
    with path.open("w", encoding="utf-8", newline="") as file:
        out = csv.writer(file, lineterminator="\n")
        out.writerow(header)
        out.writerows(rows)


def _plain(number: float) -> str:
    """A number as a spreadsheet writes it; nothing for nought."""
    return f"{number:g}" if abs(number) < 1e5 and number != int(number) else f"{int(number) or ''}"


def _diary_row(s: life.Session) -> tuple:
    counted = s.how == "count"
    parts = [s.full, s.half, s.quarter, s.three_quarter, s.unpicked] if counted else [0, 0, 0, 0, 0]
    with_counts = s.colours_counted and counted
    colours = "; ".join(f"{code}:{n}" if with_counts else code for code, n in sorted(s.colours.items()))
    so_far = f"{s.so_far:.2f}".rstrip("0").rstrip(".") if s.how == "so_far" else ""
    minutes = s.minutes if s.timed else 0
    return (
        s.piece,
        s.date.isoformat(),
        *map(_plain, parts),
        so_far,
        *map(_plain, (s.backstitch, s.knots, s.beads, minutes)),
        colours,
        s.photo,
        s.note,
    )


def _piece_row(p: story.Piece, progress: life.Progress) -> tuple:
    total = len(progress.order)
    coverage = f"{total / (p.width * p.height):g}" if p.by_coverage else ""
    finished = progress.finished.isoformat() if progress.finished else ""
    began = p.started or (p.planned_start if progress.last else "")
    return (
        p.name,
        "" if p.by_coverage else total,
        p.width,
        p.height,
        coverage,
        p.count,
        p.over,
        p.strands,
        p.fabric,
        p.fabric_colour,
        p.done_before or "",
        began,
        finished,
        p.set_aside,
        p.due,
        p.want,
        p.tags,
    )


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else HERE)
