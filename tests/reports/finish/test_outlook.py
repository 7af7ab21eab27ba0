"""What the finish report shows: its frames, its sentences and its charts, on a full, a small and an empty diary."""

import pandas as pd
import pytest

from stitchlog import StitchlogError, finish
from stitchlog.model.forecast.sentences import say_finish
from tests.model.forecast.diaries import sessions, write


@pytest.fixture(scope="module")
def diary(tmp_path_factory):
    rows = sessions("Otter", "2025-01-01", 300, every=3) + sessions("Fox", "2025-01-02", 280, every=4)
    rows += sessions("Snail", "2025-03-03", 60, every=5) + sessions("Endless", "2025-02-04", 200, every=20)
    pieces = ["Otter,9000,,,,,2026-03-01", "Fox,8000", "Snail,600", "Heron,90000", "Endless,", "Owl,700,100"]
    return write(tmp_path_factory.mktemp("outlook"), sorted(rows, key=lambda r: r.split(",")[1]), pieces)


@pytest.fixture(scope="module")
def ahead(diary):
    return finish.outlook(diary, per_week=500, paths=200)


def drawn(chart):
    spec = chart.to_dict()
    assert spec["description"]
    return spec


def test_every_piece_in_progress_stands_in_the_order(ahead):
    assert [f.piece for f in ahead.found] == ["Otter", "Fox", "Owl"]
    assert sorted(ahead.order["piece"]) == ["Fox", "Otter", "Owl"]
    row = ahead.order.set_index("piece").loc["Otter"]
    assert row["due_chance"] == ahead.found[0].chance("2026-03-01") <= row["first_chance"]
    # A quantile of a piece is one day, wherever it stands.
    assert row["middle"] == ahead.found[0].date(0.5) == ahead.scenarios["middle"].iloc[0]
    dates = ahead.order[["early", "sooner", "middle", "later"]]
    assert (dates.apply(lambda row: row.dropna().is_monotonic_increasing, axis=1)).all()


def test_the_fan_ends_at_the_finish_line_where_the_window_is(ahead):
    for found in ahead.found:
        fan = ahead.fan[(ahead.fan["piece"] == found.piece) & (ahead.fan["kind"] == "ahead")]
        assert fan["stitches"].iloc[0] == found.done and fan["stitches"].iloc[-1] == found.total
        assert fan["early"].iloc[0] == found.as_of
        for name, q in (("early", 0.1), ("middle", 0.5), ("late", 0.9)):
            assert fan[name].iloc[-1] == found.date(q) or (pd.isna(fan[name].iloc[-1]) and pd.isna(found.date(q)))


def test_the_past_of_the_fan_is_what_was_done(diary, ahead):
    past = ahead.fan[(ahead.fan["piece"] == "Otter") & (ahead.fan["kind"] == "past")]
    assert past["stitches"].iloc[-1] == diary.standing().set_index("piece").loc["Otter", "done"]


def test_scenarios_stand_beside_how_things_go(ahead):
    assert ahead.scenarios["what"].tolist() == [
        "as things go",
        "with 500 stitches a week",
        "with 25% of your time",
        "with 50% of your time",
        "with all your time",
    ]
    assert ahead.scenarios["middle"].iloc[2:].is_monotonic_decreasing


def test_due_days_are_reckoned(ahead):
    assert ahead.needed["piece"].unique().tolist() == ["Otter"]
    assert "1 March 2026" in finish.say_due(ahead)
    assert "1 March 2026" in finish.say_needed(ahead.needed)


def test_care_is_said_only_where_too_much_is_asked(diary):
    soon = finish.outlook(diary, "Otter", by="2025-11-05", paths=100)
    far = finish.outlook(diary, "Fox", by="2031-11-05", paths=100)
    assert "doctor" in finish.say_care(soon.needed)
    assert far.needed["beyond"].iloc[0] or finish.say_care(far.needed[far.needed["chance"] == 0.5]) == ""


def test_every_sentence_is_one(ahead):
    for text in (
        finish.say_next(ahead),
        finish.say_due(ahead),
        finish.say_scenarios(ahead),
        finish.say_needed(ahead.needed),
        finish.say_record(ahead),
        finish.say_rests(ahead.found),
        *(say_finish(f) for f in ahead.found),
    ):
        assert text.endswith(".") and "nan" not in text.lower().split() and "NaT" not in text, text
        assert max(len(sentence.split()) for sentence in text.split(". ")) <= 25, text


def test_every_chart_is_drawn_with_its_words(ahead):
    fans = finish.charts.fans(ahead)
    assert [sentence for _, sentence, _ in fans] == [say_finish(f) for f in ahead.found]
    for chart in (*(c for _, _, c in fans), finish.charts.scenarios(ahead), finish.charts.order(ahead)):
        assert drawn(chart)["width"] == "container"
    assert drawn(finish.charts.record(ahead))["layer"]


def test_one_piece_that_has_no_forecast_says_why(diary):
    with pytest.raises(StitchlogError, match="total is not known"):
        finish.outlook(diary, "Endless", paths=20)
    with pytest.raises(StitchlogError, match="not begun"):
        finish.outlook(diary, "Heron", paths=20)


def test_a_piece_not_begun_shows_its_scenarios_alone(diary):
    asked = finish.outlook(diary, "Heron", share=0.5, paths=50)
    assert asked.found == [] and "not begun" in finish.say_refused(asked.refused)
    assert asked.scenarios["what"].tolist()[0] == "with 50% of your time"


def test_a_finished_piece_is_said_to_be(diary):
    done = finish.outlook(diary, "Snail", paths=20)
    assert say_finish(done.found[0]) == "Snail is finished."
    for _, _, chart in finish.charts.fans(done):
        assert "Nothing is left" in drawn(chart)["description"]


@pytest.mark.parametrize("rows", [[], ["Otter,2025-01-01,50"]], ids=["empty", "one session"])
def test_a_diary_of_next_to_nothing_still_has_a_report(tmp_path, rows):
    ahead = finish.outlook(write(tmp_path, rows, ["Otter,900"] if rows else []), paths=20)
    for text in (finish.say_next(ahead), finish.say_needed(ahead.needed), finish.say_record(ahead)):
        assert text
    for chart in (finish.charts.scenarios(ahead), finish.charts.order(ahead)):
        drawn(chart)
    assert finish.charts.record(ahead) is None


def test_a_finish_too_far_to_name_is_drawn_and_said(tmp_path):
    diary = write(tmp_path, [*sessions("Otter", "2020-01-01", 20), "Fox,2024-12-31,1"], ["Otter,900000"])
    ahead = finish.outlook(diary, "Otter", paths=60)
    assert "more than ten years away" in say_finish(ahead.found[0])
    assert ahead.order["middle"].isna().all()
    for _, _, chart in finish.charts.fans(ahead):
        assert "more than ten years away" in drawn(chart)["description"]
    assert finish.say_scenarios(ahead)


def test_due_days_that_need_too_much_together_are_added_up(tmp_path):
    rows = sessions("Otter", "2025-01-01", 120, every=2) + sessions("Fox", "2025-01-02", 120, every=2)
    pieces = ["Otter,4000,,,,,2025-05-20", "Fox,4000,,,,,2025-05-25"]
    ahead = finish.outlook(write(tmp_path, sorted(rows, key=lambda r: r.split(",")[1]), pieces), paths=100)
    assert ahead.together["pieces"].map(len).tolist() == [1, 2]
    assert ahead.together["needed"].tolist() == [1000, 2000]
    assert finish.say_together(ahead).startswith("Together the 2 pieces due by 25 May 2025 need ")
