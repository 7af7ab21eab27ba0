"""What the plan says of frames that are given, and its table of promises."""

import numpy as np
import pandas as pd
import pytest

from stitchlog.reports import plan
from stitchlog.reports.plan.sentences import say_costliest
from tests.reports.plan.diaries import steady, write

NOW, LESS, MORE, HOUR = ("", 0), ("Ladder", 0), ("", 15), ("", 60)


@pytest.mark.parametrize(
    ("chances", "dearest", "more"),
    [
        (
            {NOW: 0.2, LESS: 0.6, MORE: 0.3, HOUR: 0.7},
            "Ladder costs the most: without it, the chance of meeting the rest is 60%.",
            "With 15 minutes more on every stitching day, the chance of meeting them all goes from 20% to 30%; "
            "with 1 hour, to 70%.",
        ),
        (
            {NOW: 0.0, LESS: 0.01, MORE: 0.0, HOUR: 0.0},
            "Dropping any one of them would change little.",
            "Even 1 hour more on every stitching day would change little.",
        ),
        ({NOW: 0.2}, "", "What more time would do cannot be worked out: no session says how long it took."),
        ({NOW: 1.0, LESS: 1.0, MORE: 1.0, HOUR: 1.0}, "", "Everything fits without any more time."),
    ],
)
def test_what_would_help(chances, dearest, more):
    rows = [(without, minutes, chance) for (without, minutes), chance in chances.items()]
    helps = pd.DataFrame(rows, columns=["without", "minutes", "chance"])
    assert (say_costliest(helps), plan.say_more(helps)) == (dearest, more)


def test_the_table_says_where_each_stands(tmp_path):
    events = ["Open,,2026-04-01,2026-04-10", "Any,,2026-03-30,2026-04-10,2000", "Over,,2026-03-01,2026-03-31,9999"]
    diary = write(tmp_path, steady("2025-09-13", 200, 100), events=events)
    fit = plan.capacity(diary, "2026-03-01", "2026-04-10", "2026-03-31", paths=100)
    out = plan.goals(fit).set_index("event")
    assert out["stands"].to_dict() == {
        "Over": "3,100 of 9,999 stitches",
        "Open": "no target",
        "Any": "200 of 2,000 stitches",
    }
    assert out["said"]["Over"] == "not met" and out["said"]["Open"] == "no target"
    assert out["a_day"]["Any"] == 180 and np.isnan(out["a_day"]["Open"])
