"""From the words of `stitchlog report` to jobs."""

import datetime as dt
from pathlib import Path

import pytest

from stitchlog.diary import clock
from stitchlog.errors import StitchlogError
from stitchlog.run import parameters

OCTOBER = {"start": dt.date(2026, 10, 1), "end": dt.date(2026, 10, 31)}
LATER = {"as_of": dt.date(2026, 11, 25)}


def test_all_is_every_report_and_a_name_twice_is_one():
    assert parameters.names("all") == parameters.NAMES
    assert parameters.names("pace, review,pace") == ("pace", "review")


@pytest.fixture
def diary(tmp_path):
    (tmp_path / "diary.csv").write_text("piece,date,stitches\nFern,2026-09-16,5\nFern,2026-10-07,5\n")
    return tmp_path


@pytest.mark.parametrize(
    ("period", "start", "end"),
    [
        ({"month": "2024-02"}, "2024-02-01", "2024-02-29"),
        ({"month": "october"}, "2026-10-01", "2026-10-31"),
        ({"month": "last", "as_of": "2026-03-15"}, "2026-02-01", "2026-02-28"),
        ({"week": ""}, "2026-10-05", "2026-10-11"),
        ({"week": "", "as_of": "2026-10-01"}, "2026-09-14", "2026-09-20"),
        ({"week": "last"}, "2026-11-16", "2026-11-22"),
        ({"year": "2025"}, "2025-01-01", "2025-12-31"),
    ],
)
def test_a_period_as_people_say_it(diary, monkeypatch, period, start, end):
    monkeypatch.setattr(clock, "today", lambda: dt.date(2026, 11, 25))
    asked = parameters.asked([diary], **period)
    assert (str(asked["start"]), str(asked["end"])) == (start, end)


def test_a_review_without_a_period_is_of_the_month_of_the_newest_session(diary):
    asked = {"as_of": dt.date(2026, 11, 25)}
    jobs = parameters.jobs(("review", "rotation"), [diary], None, asked)
    assert [job.ask.get("start") for job in jobs] == ["2026-10-01", None]
    assert parameters.say_usual(jobs, asked)[0].startswith("Review of October 2026, the month of your newest session")
    assert parameters.say_usual(parameters.jobs(("review",), [diary], None, OCTOBER), OCTOBER) == []


def test_a_piece_may_be_named_without_quotes(diary):
    (diary / "diary.csv").write_text("piece,date,stitches\nFern Gate Two,2026-09-16,5\n")
    words = Path("Gate"), Path("Two")
    assert parameters.apart((diary, *words), "Fern") == ((diary,), "Fern Gate Two")
    assert parameters.apart((diary, Path("nowhere")), "Fern") == ((diary, Path("nowhere")), "Fern")


@pytest.mark.parametrize(
    ("period", "said"),
    [
        ({"month": "octember"}, '--month: "octember" is not a month'),
        ({"week": "nonsense"}, '--week: "nonsense" is not a week'),
        ({"year": "26"}, '--year: "26" is not a year'),
        ({"month": "may", "start": "2026-10-01"}, "give one of"),
    ],
)
def test_a_refusal_names_what_was_typed(diary, period, said):
    with pytest.raises(StitchlogError, match=said):
        parameters.asked([diary], **period)


def test_a_month_gone_by_is_reviewed_and_not_planned():
    jobs = {job.name: job.ask for job in parameters.jobs(parameters.NAMES, [Path("d")], None, OCTOBER | LATER)}
    period, seen_from = {"start": "2026-10-01", "end": "2026-10-31"}, {"as_of": "2026-11-25"}
    assert jobs["review"] == period | seen_from
    assert jobs["plan"] == seen_from
    (alone,) = parameters.jobs(("plan",), [Path("d")], None, OCTOBER | LATER)
    assert alone.ask == period | seen_from


def test_a_notebook_is_asked_only_what_it_takes():
    jobs = {job.name: job.ask for job in parameters.jobs(("pace", "rotation"), [Path("d")], None, {"suits": "travel"})}
    assert jobs == {"pace": {}, "rotation": {"suits": "travel"}}
    with pytest.raises(StitchlogError, match="pace: does not take --for"):
        parameters.jobs(("pace",), [Path("d")], None, {"suits": "travel"})


def test_two_folders_of_one_name_do_not_share_a_place(tmp_path):
    folders = [tmp_path / "a" / "diary", tmp_path / "b" / "diary"]
    with pytest.raises(StitchlogError, match="same name"):
        parameters.jobs(("pace",), folders, tmp_path / "out", {})
    outs = {job.out for job in parameters.jobs(("pace",), folders, None, {})}
    assert outs == {folder / "reports" for folder in folders}
