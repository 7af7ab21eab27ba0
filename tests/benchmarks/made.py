"""Diaries of any size, made from a seed, to measure with."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pandas as pd


def diary_csv(path: Path, rows: int, pieces: int = 200, years: int = 20, seed: int = 1) -> None:
    """Writes a diary.csv of `rows` sessions over `years` years and `pieces` pieces, in order of date.

    Every session names two colours, out of ten thousand combinations, and carries a note.
    """
    rng = np.random.default_rng(seed)
    days = np.sort(rng.integers(0, years * 365, rows))
    # A piece is on the go for a stretch of the years, as in life; the early and late ones overlap.
    piece = np.clip((days / (years * 365) * pieces + rng.normal(0, 6, rows)).round(), 0, pieces - 1).astype(int)
    dates = pd.Timestamp("2006-01-01") + pd.to_timedelta(days, unit="D")
    minutes = rng.integers(20, 180, rows)
    codes = np.array([f"C{i:03d}" for i in range(100)])
    colours = pd.Series(codes[rng.integers(0, 100, rows)]) + "; " + pd.Series(codes[rng.integers(0, 100, rows)])
    frame = pd.DataFrame(
        {
            "piece": [f"Piece {i:03d}" for i in piece],
            "date": dates.strftime("%Y-%m-%d"),
            "stitches": (minutes * rng.gamma(20, 0.08, rows)).round().astype(int),
            "half": np.where(rng.random(rows) < 0.2, rng.integers(1, 20, rows), np.nan),
            "minutes": np.where(rng.random(rows) < 0.8, minutes, np.nan),
            "colours": colours,
            "photo": "",
            "note": [f"a quiet evening, row {n} of the border" for n in rng.integers(0, 100_000, rows)],
        }
    )
    frame.astype({"half": "Int64", "minutes": "Int64"}).to_csv(path, index=False)


def folder(path: Path, rows: int = 20_000, pieces: int = 200, years: int = 20) -> Path:
    """A whole diary folder of that size: pieces of known total, one in ten not finished, and events to come."""
    path.mkdir(parents=True, exist_ok=True)
    diary_csv(path / "diary.csv", rows, pieces, years)
    frame = pd.read_csv(path / "diary.csv")
    worked = frame.groupby("piece").stitches.sum() + frame.groupby("piece").half.sum() * 0.5
    rng = np.random.default_rng(2)
    names = worked.index
    finished = np.arange(len(names)) < len(names) * 0.85
    totals = np.where(finished, worked, worked * rng.uniform(1.2, 3, len(names))).astype(int)
    table = pd.DataFrame(
        {
            "piece": names,
            "total": totals,
            "count": rng.choice([14, 16, 18, 28, 32], len(names)),
            "over": 1,
            "strands": 2,
            "fabric_colour": "#f4efe2",
            "want": "",
            "tags": rng.choice(["bird", "sea", "travel", "winter"], len(names)),
        }
    )
    table.to_csv(path / "pieces.csv", index=False)
    last = pd.Timestamp(frame.date.max())
    open_pieces = list(names[~finished])
    rows_of = [
        (
            "Long walk",
            f"Part {i}",
            last + pd.Timedelta(days=7 * i),
            last + pd.Timedelta(days=7 * i + 6),
            900,
            open_pieces[0],
        )
        for i in range(4)
    ] + [
        ("Free weeks", f"Week {i}", last + pd.Timedelta(days=7 * i), last + pd.Timedelta(days=7 * i + 6), 500, "")
        for i in range(4)
    ]
    pd.DataFrame(rows_of, columns=["event", "part", "starts", "ends", "target", "piece"]).to_csv(
        path / "events.csv", index=False, date_format="%Y-%m-%d"
    )
    return path
