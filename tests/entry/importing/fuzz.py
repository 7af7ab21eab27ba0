"""Sheets of random cells: an import understands them or refuses them in one line, and takes nothing in twice.

python -m tests.entry.importing.fuzz --runs 10000
"""

from __future__ import annotations

import argparse
import datetime as dt
import random
import tempfile
from pathlib import Path

from stitchlog.entry import importing
from stitchlog.entry.importing.understanding import understand
from stitchlog.entry.importing.workbook import Sheet
from stitchlog.errors import StitchlogError

HEADINGS = [
    *("Date", "Day", "Project", "Stitches", "Total", "Total so far", "% done", "Time", "Hours", "Notes", "Name"),
    *("Size", "Fabric", "Start", "Finish", "Otter", "Fox"),
]
CELLS = [
    *HEADINGS,
    *("~150", "53 (frogged 30)", "1.234", "1,234", "12%", "sick", "-", "\u2713", "x", "1h20", "March 2024", "2026"),
    *("31/10/26", "3/4/26", "20.11.23", "2026-01-02", "3 Jan", "150 x 200", "28ct over 2", "(", "%", "12 (", "100+"),
    *("1:20", "9999999999999", "\u0661\u0662", "\u00bd", "\u00b2", "1e5", "NaN", "inf", "", "", "", "", ""),
    *(0, 1, 5, 120, 0.12, 1e12, -5, 45000.5, True, False, dt.date(2026, 1, 1), dt.date(2026, 2, 3)),
    *(dt.datetime(2026, 1, 1, 20, 0), dt.datetime(1899, 12, 31, 2, 0), dt.time(1, 20), dt.timedelta(hours=2)),
]
ANSWERS = {"dates": "day-first", "counts": "session", "piece": "P"}
TODAY = dt.date(2026, 6, 1)


def sheet(chance: random.Random) -> Sheet:
    width, height = chance.randint(1, 7), chance.randint(1, 12)
    rows = [[chance.choice(CELLS) for _ in range(width)] for _ in range(height)]
    if chance.random() < 0.7:
        rows[chance.randint(0, min(2, height - 1))] = [chance.choice(HEADINGS) for _ in range(width)]
    if chance.random() < 0.7:
        column = chance.randrange(width)
        for i, row in enumerate(rows[1:], 1):
            row[column] = dt.date(2026, 1, i) if chance.random() < 0.9 else chance.choice(CELLS)
    merged = ((chance.randrange(height), 0, chance.randrange(height), 0),) if chance.random() < 0.3 else ()
    return Sheet(chance.choice(["Log", "March 2026", "2025", "Otter", "Sheet1"]), rows, merged)


def run(runs: int, seed: int = 0) -> int:
    """Understand `runs` random sheets, and take some in twice. Returns how many were understood."""
    understood = 0
    for n in range(seed, seed + runs):
        chance = random.Random(n)
        one = sheet(chance)
        try:
            proposal = understand("f.xlsx", [one], ANSWERS if chance.random() < 0.6 else {}, today=TODAY)
        except StitchlogError as err:
            assert "\n" not in str(err)
            continue
        understood += 1
        with tempfile.TemporaryDirectory() as place:
            folder = Path(place) / "diary"
            importing.preview(proposal, importing.difference(folder, proposal), 60)
            if proposal.sessions and not proposal.questions and chance.random() < 0.15:
                importing.apply(folder, proposal, TODAY)
                again = importing.difference(folder, proposal)
                assert again.nothing and not again.changed, n
    return understood


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--runs", type=int, default=2000)
    asked = parser.parse_args()
    print(f"{run(asked.runs)} of {asked.runs} sheets understood, the others refused in one line")
