"""Diaries of invented stitchers whose true paces are known."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pandas as pd

from stitchlog.diary import schema
from stitchlog.diary.diary import Diary
from stitchlog.diary.settings import Settings


def diary_of(sessions: pd.DataFrame, pieces: pd.DataFrame | None = None, colours: pd.DataFrame | None = None) -> Diary:
    """A diary from plain frames: sessions need piece, date and stitches; every other column may be left out."""
    numbers = ["minutes", "half", "quarter", "three_quarter", "unpicked", "so_far", "backstitch", "knots", "beads"]
    rows = sessions.reindex(columns=[*sessions.columns, *(c for c in numbers if c not in sessions)])
    rows[numbers] = rows[numbers].astype(float)
    rows = rows.assign(date=pd.to_datetime(rows["date"]), stitches=rows["stitches"].astype(float), file="diary.csv")
    for name, default in (("estimated", False), ("colours", ""), ("line", None)):
        if name not in rows:
            rows[name] = np.arange(2, len(rows) + 2) if name == "line" else default
    rows = rows.sort_values(["date", "line"], kind="stable").reset_index(drop=True)
    about = pieces if pieces is not None else pd.DataFrame({"piece": rows["piece"].unique()})
    kinds = {c.name: c.kind for c in schema.PIECES.columns}
    about = about.reindex(columns=[*about.columns, *(c for c in kinds if c not in about)]).assign(known=True)
    for name, kind in kinds.items():
        if kind == "date":
            about[name] = pd.to_datetime(about[name])
        elif kind in ("text", "name", "hex"):
            about[name] = about[name].astype(object).fillna("").astype(str)
        else:
            about[name] = about[name].astype(float)
    if colours is None:
        colours = pd.DataFrame({"piece": [], "date": [], "code": [], "stitches": [], "file": [], "line": []})
    colours = colours.assign(date=pd.to_datetime(colours["date"]))
    empty = pd.DataFrame
    return Diary(
        folder=Path("."),
        settings=Settings(),
        sessions=rows,
        pieces=about,
        events=empty(columns=schema.EVENTS.names).astype({"starts": "datetime64[us]", "ends": "datetime64[us]"}),
        prompts=empty(columns=schema.PROMPTS.names),
        threads=empty(columns=schema.THREADS.names),
        colours=colours,
        chart_colours=empty(columns=schema.CHART_COLOURS.names),
        problems=empty(columns=["code"]),
    )


@dataclass(frozen=True)
class World:
    """What a simulated stitcher is like. overall: stitches an hour. between: spread of pieces (log sd). within: spread
    of a session (relative sd). counts: sessions of each piece. grain: how a session's work comes about: 'lognormal' and
    'gamma' stray by `within` whatever the session's length, 'work' by less the longer it is."""

    overall: float = 110.0
    between: float = 0.25
    within: float = 0.25
    counts: tuple[int, ...] = (3, 3, 3, 5, 8, 12, 20, 30)
    grain: str = "gamma"


def simulate(world: World, rng: np.random.Generator) -> tuple[Diary, pd.Series]:
    """A diary of such a stitcher, whole stitches and whole minutes, and each piece's true pace, stitches an hour."""
    names = [f"Piece {i + 1}" for i in range(len(world.counts))]
    true = pd.Series(world.overall * np.exp(rng.normal(0.0, world.between, len(names))), index=names)
    piece = np.repeat(names, world.counts)
    minutes = rng.integers(20, 181, len(piece)).astype(float)
    hours = minutes / 60.0
    if world.grain == "lognormal":
        sd = np.sqrt(np.log1p(world.within**2))
        stray = np.exp(rng.normal(-(sd**2) / 2, sd, len(piece)))
    else:
        shape = (hours if world.grain == "work" else 1.0) / world.within**2
        stray = rng.gamma(shape, 1.0 / shape, len(piece))
    stitches = np.round(true[piece].to_numpy() * hours * stray)
    days = pd.Timestamp("2025-01-01") + pd.to_timedelta(rng.integers(0, 600, len(piece)), unit="D")
    return diary_of(pd.DataFrame({"piece": piece, "date": days, "stitches": stitches, "minutes": minutes})), true


@dataclass(frozen=True)
class Effects:
    """What moves a simulated stitcher's pace, on the log scale: for one more thread, over two, one more colour, one
    more hour, and half a year."""

    count: float = 0.0
    over: float = 0.0
    colours: float = 0.0
    hour: float = 0.0
    half_year: float = 0.0


def simulate_effects(effects: Effects, rng: np.random.Generator, pieces: int = 14, sessions: int = 260) -> Diary:
    """Two years of a stitcher whose pace is moved by `effects`; pieces differ by 10 % besides, sessions by 20 %."""
    names = np.array([f"Piece {i + 1}" for i in range(pieces)])
    count = rng.choice([14, 16, 18, 28, 32, 36], pieces).astype(float)
    over = np.where(count >= 28, rng.choice([1, 2], pieces, p=[0.3, 0.7]), 1)
    palette = rng.integers(1, 9, pieces)
    own = rng.normal(np.log(110), 0.1, pieces) + effects.count * (count - 20) + effects.over * (over - 1)
    day = np.sort(rng.integers(0, 730, sessions))
    # Pieces come and go, so that time and pieces are not one and the same, nor quite independent.
    piece = np.clip((day / 730 * pieces + rng.normal(0, 3, sessions)).astype(int), 0, pieces - 1)
    colours = 1 + rng.poisson(palette[piece])
    minutes = rng.integers(20, 181, sessions)
    log_pace = own[piece] + effects.colours * colours + effects.hour * minutes / 60 + effects.half_year * day / 182.6
    worked = np.maximum(np.round(np.exp(log_pace + rng.normal(0, 0.2, sessions)) * minutes / 60), 1)
    dates = pd.Timestamp("2024-01-01") + pd.to_timedelta(day, unit="D")
    frame = pd.DataFrame({"piece": names[piece], "date": dates, "stitches": worked, "minutes": minutes})
    frame["line"] = np.arange(2, sessions + 2)
    each = frame.loc[frame.index.repeat(colours), ["piece", "date", "line"]].assign(file="diary.csv", stitches=np.nan)
    each["code"] = [f"C{i}" for n in colours for i in range(n)]
    about = pd.DataFrame({"piece": names, "count": count, "over": over})
    return diary_of(frame, about, each[["piece", "date", "code", "stitches", "file", "line"]])
