"""How often the 90 % windows of pace hold the truth, over simulated diaries.

python -m tests.pace.coverage [DIARIES]
"""

from __future__ import annotations

import sys

import numpy as np
import pandas as pd

from stitchlog.pace import counted, paces
from tests.pace.simulated import World, simulate

WORLDS = {
    "as usual": World(),
    "log-normal sessions": World(grain="lognormal"),
    "long sessions stray less": World(grain="work"),
    "pieces nearly alike": World(between=0.08),
    "pieces far apart": World(between=0.5),
    "sessions stray a lot": World(within=0.45),
    "four pieces of three sessions": World(counts=(3, 3, 3, 3)),
    "thirty pieces": World(counts=(3,) * 10 + (4, 5, 6, 7, 8, 9, 10, 12, 14, 16) + (20,) * 10),
}


def coverage(world: World, diaries: int, seed: int = 20260101) -> pd.DataFrame:
    """One row a piece and diary: sessions, and whether the window held the true pace, or lay below or above it."""
    rng = np.random.default_rng(seed)
    rows = []
    for _ in range(diaries):
        diary, true = simulate(world, rng)
        # What `pace.compare` shows as its window, without the rest of its table (a test holds the two together).
        known = paces.pools(counted.until(diary, None))
        low, high = (np.exp(end) for end in known.pooled.window(paces.CHANCE))
        truth = true[known.pieces].to_numpy()
        sessions = diary.sessions.groupby("piece").size()[known.pieces]
        rows.append(
            pd.DataFrame({"sessions": sessions, "held": (low <= truth) & (truth <= high), "above": truth > high})
        )
    return pd.concat(rows, ignore_index=True)


def main(diaries: int = 500) -> None:
    print(f"{diaries} simulated diaries each; share of 90 % windows that hold the piece's true pace")
    for name, world in WORLDS.items():
        found = coverage(world, diaries)
        three = found[found["sessions"] == 3]
        above = found["above"].mean()
        print(
            f"{name:32s} all {found['held'].mean():.3f}   three sessions {three['held'].mean():.3f}"
            f"   truth above {above:.3f}"
        )


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 500)
