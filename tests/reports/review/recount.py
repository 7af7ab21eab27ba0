"""The facts of a period recounted from the CSV files with plain Python and nothing of the package."""

from __future__ import annotations

import csv
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path


@dataclass
class Facts:
    stitches: float = 0.0
    sessions: int = 0
    days: set[date] = field(default_factory=set)
    minutes: float | None = None
    estimated: int = 0
    unpicked: float = 0.0
    by_day: dict[date, float] = field(default_factory=dict)


def _rows(path: Path) -> list[dict[str, str]]:
    if not path.exists():
        return []
    with path.open(encoding="utf-8-sig", newline="") as handle:
        return [{k: (v or "").strip() for k, v in row.items()} for row in csv.DictReader(handle)]


def _number(text: str | None) -> float | None:
    return float(text) if text else None


def _own(row: dict[str, str]) -> float | None:
    """A row's own count; None where it has none."""
    worth = {"stitches": 1.0, "half": 0.5, "quarter": 0.25, "three_quarter": 0.75, "unpicked": -1.0}
    parts = [w * n for name, w in worth.items() if (n := _number(row.get(name))) is not None]
    return sum(parts) if parts else None


def pieces_of(folder: Path) -> dict[str, dict[str, str]]:
    return {row["piece"]: row for row in _rows(folder / "pieces.csv")}


def total_of(piece: dict[str, str]) -> float | None:
    if piece.get("total"):
        return float(piece["total"])
    if piece.get("width") and piece.get("height"):
        return float(piece["width"]) * float(piece["height"]) * float(piece.get("coverage") or 1)
    return None


def sessions(folder: Path) -> list[tuple[str, date, float, float | None, bool, float]]:
    """piece, day, stitches, minutes, estimated, unpicked; in the order of day, then file."""
    rows = sorted(_rows(folder / "diary.csv"), key=lambda r: r["date"])
    paces: dict[str, list[float]] = {}
    for row in rows:
        own, minutes = _own(row), _number(row.get("minutes"))
        if own is not None and minutes:
            pace = paces.setdefault(row["piece"], [0.0, 0.0])
            pace[0] += own
            pace[1] += minutes
    done = {name: float(p.get("done_before") or 0) for name, p in pieces_of(folder).items()}
    out = []
    for row in rows:
        piece, own, minutes = row["piece"], _own(row), _number(row.get("minutes"))
        so_far = _number(row.get("so_far"))
        other = any(row.get(name) for name in ("backstitch", "knots", "beads"))
        estimated = own is None and so_far is None and minutes is not None and not other
        if so_far is not None and own is None:
            own = so_far - done.get(piece, 0.0)
        elif estimated:
            stitched, time = paces.get(piece) or map(sum, zip(*paces.values(), strict=True))
            own = stitched / time * minutes
        own = own or 0.0
        done[piece] = done.get(piece, 0.0) + own
        out.append(
            (piece, date.fromisoformat(row["date"]), own, minutes, estimated, _number(row.get("unpicked")) or 0.0)
        )
    return out


def facts(folder: Path, start: date, end: date) -> dict[str, Facts]:
    """By piece, in the order of first sessions between two days, both included."""
    out: dict[str, Facts] = {}
    for piece, day, stitches, minutes, estimated, unpicked in sessions(folder):
        if not start <= day <= end:
            continue
        fact = out.setdefault(piece, Facts())
        fact.stitches += stitches
        fact.sessions += 1
        fact.days.add(day)
        fact.estimated += estimated
        fact.unpicked += unpicked
        fact.by_day[day] = fact.by_day.get(day, 0.0) + stitches
        if minutes:
            fact.minutes = (fact.minutes or 0.0) + minutes
    return out


def done_by(folder: Path, piece: str, before: date) -> float:
    """A piece's count at the end of the last day before `before`."""
    start = float(pieces_of(folder).get(piece, {}).get("done_before") or 0)
    return start + sum(s[2] for s in sessions(folder) if s[0] == piece and s[1] < before)
