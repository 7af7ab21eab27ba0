"""How often commitments come true that `plan.capacity` gives 70 to 90 %: 200 months of stitchers whose truth is known.

Run it with: python -m tests.tools.plan_calibration [months]
"""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path

import numpy as np
import pandas as pd

from stitchlog.model.commitments.chances import met_by
from stitchlog.reports.plan.capacity import lay_out
from tests.reports.plan.diaries import write

AS_OF = pd.Timestamp("2026-03-31")
END = pd.Timestamp("2026-04-30")
HISTORY, AHEAD = 540, 30
KINDS = ("steady", "spells", "breaks")
BANDS = ((0.0, 0.1), (0.1, 0.3), (0.3, 0.5), (0.5, 0.7), (0.7, 0.9), (0.9, 1.0))


def stitcher(rng: np.random.Generator, kind: str) -> np.ndarray:
    """Stitches on each of HISTORY + AHEAD days of one invented stitcher.

    All have weekends that bring more and days whose stitches are lopsided. steady: the chance of a stitching day never
    changes. spells: it changes every couple of months. breaks: besides, one week in ten begins a rest of one to six.
    """
    days = HISTORY + AHEAD
    often, size, spread = rng.uniform(0.25, 0.9), rng.uniform(40, 250), rng.uniform(0.3, 0.7)
    level, mood, rest, weeks = np.log(often / (1 - often)), 0.0, 0, []
    for _ in range(days // 7 + 1):
        mood = rng.normal(0, 0.8) if kind != "steady" and rng.random() < 0.12 else mood
        rest = rng.integers(1, 7) if kind == "breaks" and rest == 0 and rng.random() < 0.1 else max(0, rest - 1)
        weeks.append(-np.inf if rest else mood)
    weekend = np.isin(np.arange(days) % 7, (5, 6)) * rng.uniform(0, 0.8)
    chance = 1 / (1 + np.exp(-(level + np.repeat(weeks, 7)[:days] + weekend)))
    worked = rng.random(days) < chance
    return np.round(np.where(worked, size * rng.lognormal(0, spread, days), 0.0))


def month(rng: np.random.Generator, kind: str, folder: Path, paths: int = 1000) -> tuple[np.ndarray, np.ndarray]:
    """What was said, and what came, of the commitments of one invented month."""
    truth = stitcher(rng, kind)
    past, coming = truth[:HISTORY], truth[HISTORY:]
    dates = pd.date_range(end=AS_OF, periods=HISTORY)
    sessions = [f"Otter,{d.date()},{n:.0f}" for d, n in zip(dates, past, strict=True) if n > 0]
    usual = past.mean()
    events = []
    for i in range(rng.integers(2, 7)):
        first = int(rng.integers(1, 25))
        last = int(min(30, first + rng.choice([1, 2, 6, 13, 20, 29])))
        target = max(1.0, (last - first + 1) * usual * rng.uniform(0.2, 1.1))
        piece, shared = rng.choice(["", "Fox", "Owl"]), rng.choice(["yes", "no"], p=[0.8, 0.2])
        events.append(f"E{i},,2026-04-{first:02d},2026-04-{last:02d},{target:.0f},{piece},,,{shared}")
    plan = lay_out(write(folder, sessions, events=events).at(AS_OF), AS_OF + pd.Timedelta(days=1), END, paths, 0)
    said = met_by(plan.days, plan.claims).mean(axis=0)
    came = met_by(coming[None, : plan.days.shape[1]], plan.claims)[0]
    return said, came


def run(months: int = 200, seed: int = 1) -> pd.DataFrame:
    """A row for each month's commitments: kind of stitcher, said (chance) and came (bool)."""
    rng = np.random.default_rng(seed)
    parts = []
    with tempfile.TemporaryDirectory() as folder:
        for i in range(months):
            kind = KINDS[i % len(KINDS)]
            said, came = month(rng, kind, Path(folder))
            parts.append(pd.DataFrame({"kind": kind, "said": said, "came": came}))
    return pd.concat(parts, ignore_index=True)


def in_bands(rows: pd.DataFrame) -> pd.DataFrame:
    """chance (band), commitments, said (mean chance), came (share that came true)."""
    out = []
    for low, high in BANDS:
        here = rows[(rows["said"] >= low) & ((rows["said"] < high) | (high == 1.0))]
        out.append((f"{low:.0%} to {high:.0%}", len(here), here["said"].mean(), here["came"].mean()))
    return pd.DataFrame(out, columns=["chance", "commitments", "said", "came"])


if __name__ == "__main__":
    found = run(int(sys.argv[1]) if len(sys.argv) > 1 else 200)
    for name, some in [("all stitchers", found), *found.groupby("kind", sort=False)]:
        print(f"{name}\n{in_bands(some).round(3).to_string(index=False)}\n")
