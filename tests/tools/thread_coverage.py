"""How often the likely range of thread still needed holds what then comes, on simulated pieces whose truth is known.

python -m tests.tools.thread_coverage      prints the figure that DEVELOPERS.md names (about half a minute)
"""

from __future__ import annotations

import tempfile
from pathlib import Path

import numpy as np

from stitchlog.model.thread.spending import spent
from stitchlog.reports import materials
from tests.reports.materials.folder import PIECES, diary_of

HALF_WAY = "2026-01-31"


def foreseen(folder: Path, pieces: int, seed: int) -> tuple[float, float]:
    """Pieces of forty sessions that mix two colours at random and unpick now and then, seen after twenty of them.

    Returns the share of pieces whose second half took of colour A what the 90 % range held, and the mean of what was
    expected over what came.
    """
    rng = np.random.default_rng(seed)
    rows, about = [], []
    for number in range(pieces):
        lean, done = rng.uniform(0.3, 0.7), 0
        for session in range(40):
            stitches = int(rng.integers(40, 140))
            a = int(rng.binomial(stitches, rng.beta(4 * lean, 4 * (1 - lean))))
            gone = int(rng.integers(0, 12)) if rng.random() < 0.2 else 0
            day = f"2026-{1 + session // 20:02d}-{1 + session % 20:02d}"
            rows.append(f"P{number},{day},{stitches + gone},{gone},A:{a + gone}; B:{stitches - a}")
            done += stitches
        about.append(f"P{number},{done},,,14,1,2,\n")
    diary = diary_of(
        folder,
        diary="piece,date,stitches,unpicked,colours\n" + "\n".join(rows),
        pieces=PIECES + "".join(about),
    )
    frame = materials.thread(diary.at(HALF_WAY), [f"P{n}" for n in range(pieces)])
    said = frame[frame["code"] == "A"].set_index("piece")
    later = spent(diary)
    later = later[(later["code"] == "A") & (later["date"] > HALF_WAY)]
    came = later.groupby("piece")["lengths"].sum().reindex(said.index) / 17
    held = ((said["needed_low"] <= came) & (came <= said["needed_high"])).mean()
    return float(held), float((said["needed_skeins"] / came).mean())


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as folder:
        held, ratio = foreseen(Path(folder), pieces=300, seed=1)
    print(f"the 90 % range held {held:.1%} of 300 pieces; expected over come: {ratio:.3f}")
