from dataclasses import replace

import pandas as pd
import pytest

from stitchlog import StitchlogError
from stitchlog.reports import plan
from stitchlog.reports.plan.prompts import away
from tests.reports.plan.diaries import write

DIARY = ["Otter,2026-02-01,50,,,B1; B2:30", "Fox,2026-01-05,50,,,B3", "Pear,2026-01-01,90"]
PIECES = [
    "Otter,900,14,1,2,,,,river; animal",
    "Fox,900,14,1,2,,,2026-06-01,animal; night",
    "Pear,90,14,1,2,,2026-01-02,,fruit",
    "Owl,60,14,1,2,,,,bird; night",
]
PROMPTS = ["Away,Paws,animal,40", "Away,Ripe,fruit,40", "Away,Water,river,40", "Away,Wings,bird,200", "Away,Any,,"]
EVENTS = ["Long,,2026-03-01,2026-03-31,10", "Away,,2026-03-20,2026-03-22,10"]
THREADS = ["B1,blue,#0000ff,2", "B2,green,#00ff00,0.5"]


@pytest.fixture
def diary(tmp_path):
    return write(tmp_path, DIARY, PIECES, EVENTS, PROMPTS, THREADS)


def test_each_prompt_has_a_piece_or_what_would_mend_it(diary):
    found = plan.prompts(diary.at("2026-02-10"), "away")
    out = found.rows.set_index("prompt")
    assert out["piece"].to_dict() == {"Paws": "Otter", "Ripe": "", "Water": "Otter", "Wings": "", "Any": "Otter"}
    assert out["mend"]["Ripe"] == "a piece tagged fruit"  # the only fruit is finished
    assert out["mend"]["Wings"] == "a piece with enough stitches left"  # the owl has 60 stitches in all
    assert plan.say_prompts(found).startswith("Away: 1 piece meets 3 of 5 prompts.")
    assert "Fewer might do" in plan.say_prompts(replace(found, least=False))


def test_what_to_pack(diary):
    bag = plan.bag(diary, plan.prompts(diary.at("2026-02-10"), "Away").rows)
    row = bag.iloc[0]
    assert len(bag) == 1
    assert (row["piece"], row["prompts"], row["stitches"]) == ("Otter", "Paws; Water; Any", 80)
    assert (row["needle_case"], row["low"], row["cloth"]) == ("B1; B2 (0.5)", "B2", "14 count")
    assert "is left of B2." in plan.say_bag(bag)


def test_a_piece_with_a_due_day_goes_before_one_without(diary):
    needs = plan.prompts(diary.at("2026-02-10"), "Away").rows
    assert needs["piece"].iloc[0] == "Otter"  # one piece does for all, so the fox's due day does not matter
    rows = ["Away,Paws,animal,40"]
    alone = write(diary.folder, DIARY, PIECES, EVENTS, rows, THREADS)
    assert plan.prompts(alone.at("2026-02-10"), "Away").rows["piece"].tolist() == ["Fox"]


def test_the_event_to_pack_for(diary):
    days = [pd.Timestamp("2026-03-01"), pd.Timestamp("2026-03-31")]
    assert away(diary, *days) == "Away"
    assert away(diary, pd.Timestamp("2026-04-01"), pd.Timestamp("2026-04-30")) == ""


def test_no_such_event(diary):
    with pytest.raises(StitchlogError, match="the events are Long, Away"):
        plan.prompts(diary, "Nowhere")


def test_an_event_without_prompts_packs_nothing(diary):
    out = plan.prompts(diary, "Long")
    assert out.rows.empty and plan.bag(diary, out.rows).empty
    assert plan.say_prompts(out) == "No event with prompts lies in this period."
    assert plan.say_bag(plan.bag(diary, out.rows)) == "There is nothing to pack."
