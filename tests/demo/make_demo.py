"""Writes the demo diary, the same one every time.

python -m tests.demo.make_demo [DIR]        DIR: data_demo unless named
"""

from __future__ import annotations

import csv
import shutil
import sys
from collections.abc import Iterable
from pathlib import Path

if __package__ in (None, ""):  # run as a file: make `tests.demo` importable
    sys.path.insert(0, str(Path(__file__).resolve().parents[2]))
    __package__ = "tests.demo"

from tests.demo import charts, life, pictures, story

SEED = 7
HERE = Path(__file__).resolve().parents[2] / "data_demo"


def main(folder: Path = HERE) -> None:
    folder.mkdir(parents=True, exist_ok=True)
    made = {piece.name: charts.chart(piece) for piece in story.PIECES}
    orders = {name: chart.order for name, chart in made.items()}
    sessions, book = life.live(story.PIECES, orders, SEED)
    pictures.take(folder / "photos", story.PIECES, book, sessions)
    _write(folder / "diary.csv", [_diary_row(s) for s in sessions])
    waiting = story.by_hand("waiting.csv")
    rows = [_piece_row(p, book[p.name]) for p in story.PIECES]
    rows += [_waiting_row(row, rows[0]) for row in waiting]
    _write(folder / "pieces.csv", rows)
    known = {p.name: orders[p.name] for p in story.PIECES if p.chart_known}
    known |= {row["piece"]: charts.order_of_row(row) for row in waiting if row["palette"]}
    counts = [(name, code, order.count(code)) for name, order in known.items() for code in sorted(set(order))]
    _write(folder / "chart_colours.csv", [dict(zip(("piece", "code", "stitches"), row, strict=True)) for row in counts])
    for name in (*story.TABLES, "stitchlog.toml"):
        shutil.copyfile(story.BY_HAND / name, folder / name)


def _write(path: Path, rows: list[dict[str, object]]) -> None:
    with path.open("w", encoding="utf-8", newline="") as file:
        out = csv.DictWriter(file, list(rows[0]), lineterminator="\n")
        out.writeheader()
        out.writerows(rows)


def _plain(number: float) -> str:
    """A number as a spreadsheet writes it; nothing for nought."""
    return f"{number:g}" if abs(number) < 1e5 and number != int(number) else f"{int(number) or ''}"


def _diary_row(s: life.Session) -> dict[str, object]:
    counted = s.how == "count"
    parts = [s.full, s.half, s.quarter, s.three_quarter, s.unpicked] if counted else [0, 0, 0, 0, 0]
    with_counts = s.colours_counted and counted
    return {
        "piece": s.piece,
        "date": s.date.isoformat(),
        **dict(zip(("stitches", "half", "quarter", "three_quarter", "unpicked"), map(_plain, parts), strict=True)),
        "so_far": f"{s.so_far:.2f}".rstrip("0").rstrip(".") if s.how == "so_far" else "",
        "backstitch": _plain(s.backstitch),
        "knots": _plain(s.knots),
        "beads": _plain(s.beads),
        "minutes": _plain(s.minutes if s.timed else 0),
        "colours": "; ".join(f"{code}:{n}" if with_counts else code for code, n in sorted(s.colours.items())),
        "photo": s.photo,
        "note": s.note,
    }


def _piece_row(p: story.Piece, progress: life.Progress) -> dict[str, object]:
    total = len(progress.order)
    return {
        "piece": p.name,
        "total": "" if p.by_coverage else total,
        "width": p.width,
        "height": p.height,
        "coverage": f"{total / (p.width * p.height):g}" if p.by_coverage else "",
        "count": p.count,
        "over": p.over,
        "strands": p.strands,
        "fabric": p.fabric,
        "fabric_colour": p.fabric_colour,
        "done_before": p.done_before or "",
        "started": p.started or (p.planned_start if progress.last else ""),
        "finished": progress.finished.isoformat() if progress.finished else "",
        "set_aside": p.set_aside,
        "due": p.due,
        "want": p.want,
        "tags": p.tags,
        "pages": p.pages,
        "design_by": p.design_by,
        "chart_from": p.chart_from,
        "fabric_from": p.fabric_from,
        "threads_from": p.threads_from,
        "made_up": p.made_up,
    }


def _waiting_row(row: dict[str, str], columns: Iterable[str]) -> dict[str, object]:
    """A chart in the drawer: what by_hand/waiting.csv says of it, in the columns of `_piece_row`."""
    return {name: row.get(name, "") for name in columns}


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else HERE)
