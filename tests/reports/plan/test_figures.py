"""The plan's page: its charts and sheets on the demo, on bare diaries and on odd periods."""

from pathlib import Path

import pandas as pd
import pytest

from stitchlog import StitchlogError, open_diary
from stitchlog.reports import plan
from stitchlog.reports.plan.figures import coming_month
from tests.reports.plan.diaries import write

DEMO = Path(__file__).parents[3] / "data_demo"


@pytest.fixture(scope="module")
def demo():
    diary = open_diary(DEMO)
    return diary, plan.figures(diary.at("2026-10-31"), paths=300)


def pictures(ahead):
    return {
        "goals": plan.charts.goals(ahead.fit, ahead.marks),
        "course": plan.charts.course(ahead.course),
        "helps": plan.charts.helps(ahead.helps),
    }


def sentences(ahead):
    return [
        plan.say_fit(ahead.fit),
        plan.say_chances(ahead.fit),
        plan.say_course(ahead.course),
        plan.say_prompts(ahead.prompts),
        plan.say_bag(ahead.bag),
        plan.say_lengths(ahead.lengths),
        plan.say_files(ahead),
    ]


def fields(spec) -> set[tuple[str, str]]:
    found = set()
    if isinstance(spec, dict):
        for key, value in spec.items():
            if key == "tooltip" and isinstance(value, list):
                found |= {(t["field"], t.get("type", "")) for t in value}
            found |= fields(value)
    elif isinstance(spec, list):
        for value in spec:
            found |= fields(value)
    return found


def test_the_demo_month_is_said_plainly(demo):
    _, ahead = demo
    said = plan.say_fit(ahead.fit)
    assert said.startswith("No, not all of it: the chance of meeting all twelve goals for November 2026 is ")
    assert "Owl Light fortnight costs the most: without it, the chance of meeting the rest is " in plan.say_verdict(
        ahead
    )
    assert "drop First Frost weekend, Owl Light fortnight (" in plan.say_dropping(ahead.fit)
    told = [*sentences(ahead), plan.say_rests(ahead.fit)]
    assert all(text and "nan" not in text and "None" not in text for text in told)


def test_the_demo_prompts_are_met_by_five_pieces_but_for_one(demo):
    _, ahead = demo
    assert ahead.prompts.event == "First Frost weekend"
    assert ahead.prompts.rows.loc[ahead.prompts.rows["piece"] == "", "prompt"].tolist() == ["Under the bridge"]
    assert len(ahead.bag) == ahead.prompts.rows.loc[ahead.prompts.rows["piece"] != "", "piece"].nunique() == 5


def test_every_chart_has_a_text_that_tells_it_and_typed_tooltips(demo):
    for name, chart in pictures(demo[1]).items():
        spec = chart.to_dict()
        assert len(spec["description"]) > 40, name
        found = fields(spec)
        assert found and all(kind for _, kind in found), name


@pytest.mark.parametrize(
    ("start", "end", "as_of"),
    [
        (None, None, None),
        ("2026-01-01", "2026-01-31", None),  # wholly past
        ("2026-10-15", "2026-11-14", "2026-10-31"),  # in the midst
        ("2026-12-15", "2027-01-15", "2026-10-31"),  # over the year's end
        ("2026-11-30", "2026-11-30", "2026-10-31"),  # one day
        ("2027-05-01", "2027-05-31", "2026-10-31"),  # nothing promised
        ("2024-01-01", "2024-01-31", "2024-06-30"),  # before the diary begins
    ],
)
def test_any_period_of_the_demo_reads(demo, start, end, as_of):
    ahead = plan.figures(demo[0].at(as_of), start, end, paths=50)
    assert all(chart.to_dict()["description"] for chart in pictures(ahead).values() if chart is not None)
    assert all(text and "nan" not in text for text in sentences(ahead))
    assert plan.calendar_file(ahead.fit) and plan.checklist(ahead)
    assert "nan" not in plan.say_cautions(ahead.fit, ahead.course) + plan.say_more(ahead.helps) + plan.say_verdict(
        ahead
    )
    assert len(plan.goals(ahead.fit)) == len(ahead.fit.goals)


def test_starts_and_finishes_are_counted_and_named(demo):
    ahead = plan.figures(demo[0].at("2026-10-31"), "2026-01-01", "2026-01-31", paths=50)
    begun = ahead.marks[ahead.marks["what"] == "begun"]
    assert begun["label"].tolist() == [f"New Leaf January: Week {n}" for n in (1, 2, 3, 4)]
    finished = ahead.marks.loc[ahead.marks["what"] == "finished", "piece"].tolist()
    assert sorted(finished) == ["Small Hours Owl", "Snail Mail"]
    assert "Begun: Snail Mail (" in plan.say_marks(ahead.marks)
    assert plan.say_marks(demo[1].marks) == ""


def test_bare_diaries_read(tmp_path):
    one = write(tmp_path, ["Otter,2026-03-01,50"])
    ahead = plan.figures(one, paths=50)
    assert plan.say_fit(ahead.fit) == (
        "You have no goals for the time from 2 March to 1 April 2026: no event and no due day falls in it."
    )
    assert plan.charts.goals(ahead.fit, ahead.marks) is None and plan.charts.helps(ahead.helps) is None
    assert plan.say_more(ahead.helps) == plan.say_rests(ahead.fit) == plan.say_dropping(ahead.fit) == ""
    assert plan.days(ahead.course).empty
    assert plan.charts.course(ahead.course).to_dict()
    empty = write(tmp_path, [])
    with pytest.raises(StitchlogError, match="no session in this diary yet"):
        plan.figures(empty)
    assert all(sentences(plan.figures(empty.at("2026-03-01"), paths=50)))


def test_the_period_that_is_asked(demo):
    first, last = pd.Timestamp("2026-10-31"), plan.figures
    assert [str(d.date()) for d in coming_month(first)] == ["2026-11-01", "2026-11-30"]
    assert [str(d.date()) for d in coming_month(pd.Timestamp("2026-01-30"))] == ["2026-01-31", "2026-02-27"]
    assert [str(d.date()) for d in coming_month(first, None, "2026-10-09")] == ["2026-10-01", "2026-10-09"]
    with pytest.raises(StitchlogError, match="swap the two days"):
        last(demo[0], "2026-11-30", "2026-11-01")


def test_packing_for_an_event_by_name(demo):
    ahead = plan.figures(demo[0].at("2026-10-31"), event="harvest table weekend", paths=50)
    assert ahead.prompts.rows["event"].unique().tolist() == ["Harvest Table weekend"]
