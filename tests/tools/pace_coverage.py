"""How often the 90 % windows of pace hold the truth, over simulated diaries.

python -m tests.tools.pace_coverage [DIARIES]
"""

from __future__ import annotations

import sys

import numpy as np
import pandas as pd

from stitchlog.model.pace import counted, paces
from stitchlog.reports import pace
from tests.reports.pace.simulated import Effects, World, simulate, simulate_effects

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
    """One row a piece and diary: sessions, and whether the window held the true pace."""
    rng = np.random.default_rng(seed)
    rows = []
    for _ in range(diaries):
        diary, true = simulate(world, rng)
        # What `pace.compare` shows as its window, without the rest of its table (a test holds the two together).
        known = paces.pools(counted.sessions(diary))
        low, high = (np.exp(end) for end in known.pooled.window())
        truth = true[known.means.index].to_numpy()
        sessions = diary.sessions.groupby("piece").size()[known.means.index]
        rows.append(pd.DataFrame({"sessions": sessions, "held": (low <= truth) & (truth <= high)}))
    return pd.concat(rows, ignore_index=True)


TRUE = Effects(count=-0.015, over=0.2, colours=-0.04, hour=-0.03, half_year=-0.03)
NONE = Effects()


def effects(diaries: int, true: Effects, seed: int = 20260102) -> pd.DataFrame:
    """One row an effect and diary: whether the window held the true effect, and whether it was called supported."""
    rng = np.random.default_rng(seed)
    actual = {"count": true.count, "over": true.over, "colours per session": true.colours, "session length": true.hour}
    rows = []
    for _ in range(diaries):
        diary = simulate_effects(true, rng)
        found = pace.effects(diary).set_index("factor")
        for factor, value in actual.items():
            row, truth = found.loc[factor], np.expm1(value)
            rows.append((factor, row["low"] <= truth <= row["high"], row["supported"]))
        trend, truth = pace.trend(diary), np.expm1(true.half_year)
        held = trend.change_low <= truth <= trend.change_high
        rows.append(("half a year", held, not trend.change_low <= 0 <= trend.change_high))
        if true == NONE:
            rows.append(("any at all", True, found["supported"].any()))
    return pd.DataFrame(rows, columns=["factor", "held", "supported"])


def main(diaries: int = 500) -> None:
    print(f"{diaries} simulated diaries each; share of 90 % windows that hold the piece's true pace")
    for name, world in WORLDS.items():
        found = coverage(world, diaries)
        three = found[found["sessions"] == 3]
        print(f"{name:32s} all {found['held'].mean():.3f}   three sessions {three['held'].mean():.3f}")
    for name, true in (("with effects", TRUE), ("with no effect at all", NONE)):
        print(f"{diaries // 5} diaries {name}: share of 90 % windows that hold it, share called supported")
        print(effects(diaries // 5, true).groupby("factor", sort=False).mean().round(3).to_string())


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 500)
