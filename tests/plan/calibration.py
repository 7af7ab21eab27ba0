"""How often commitments come true that `plan.capacity` gives 70 to 90 %: 200 months of stitchers whose truth is known.

Run it with: python -m tests.plan.calibration [months]
"""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path

import numpy as np
import pandas as pd

from stitchlog.plan.capacity import lay_out
from stitchlog.plan.giving_up import met_by
from tests.plan.diaries import write

AS_OF = pd.Timestamp("2026-03-31")
END = pd.Timestamp("2026-04-30")
HISTORY, AHEAD = 540, 30
BANDS = ((0.0, 0.1), (0.1, 0.3), (0.3, 0.5), (0.5, 0.7), (0.7, 0.9), (0.9, 1.0))


def stitcher(rng: np.random.Generator) -> np.ndarray:
    """Stitches on each of HISTORY + AHEAD days of one invented stitcher.

    Weeks run in spells of more and of less stitching, weekends bring more of it, and a day's stitches are lopsided.
    """
    days = HISTORY + AHEAD
    often, size, spread = rng.uniform(0.25, 0.9), rng.uniform(40, 250), rng.uniform(0.3, 0.7)
    level = np.log(often / (1 - often))
    mood, weeks = 0.0, []
    for _ in range(days // 7 + 1):
        mood = rng.normal(0, 0.8) if rng.random() < 0.12 else mood
        weeks.append(mood)
    weekend = np.isin(np.arange(days) % 7, (5, 6)) * rng.uniform(0, 0.8)
    chance = 1 / (1 + np.exp(-(level + np.repeat(weeks, 7)[:days] + weekend)))
    worked = rng.random(days) < chance
    return np.round(np.where(worked, size * rng.lognormal(0, spread, days), 0.0))


def month(rng: np.random.Generator, folder: Path, paths: int = 1000) -> tuple[np.ndarray, np.ndarray]:
    """What was said, and what came, of the commitments of one invented month."""
    truth = stitcher(rng)
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
    plan = lay_out(write(folder, sessions, events=events), AS_OF + pd.Timedelta(days=1), END, AS_OF, paths, 0)
    said = met_by(plan.days, plan.claims).mean(axis=0)
    came = met_by(coming[None, : plan.days.shape[1]], plan.claims)[0]
    return said, came


def run(months: int = 200, seed: int = 1) -> pd.DataFrame:
    """from, to (chances said), commitments, said (mean chance), came (share that came true)."""
    rng = np.random.default_rng(seed)
    said, came = [], []
    with tempfile.TemporaryDirectory() as folder:
        for _ in range(months):
            one, other = month(rng, Path(folder))
            said.append(one)
            came.append(other)
    chance, true = np.concatenate(said), np.concatenate(came)
    rows = []
    for low, high in BANDS:
        here = (chance >= low) & ((chance < high) | (high == 1.0))
        rows.append((low, high, int(here.sum()), chance[here].mean(), true[here].mean()))
    return pd.DataFrame(rows, columns=["from", "to", "commitments", "said", "came"])


if __name__ == "__main__":
    print(run(int(sys.argv[1]) if len(sys.argv) > 1 else 200).round(3).to_string(index=False))
