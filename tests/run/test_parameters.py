"""From the words of `stitchlog report` to jobs."""

import datetime as dt
from pathlib import Path

import pytest

from stitchlog.errors import StitchlogError
from stitchlog.run import parameters

OCTOBER = {"start": dt.date(2026, 10, 1), "end": dt.date(2026, 10, 31)}
LATER = {"as_of": dt.date(2026, 11, 25)}


def test_all_is_every_report_and_a_name_twice_is_one():
    assert parameters.names("all") == parameters.NAMES
    assert parameters.names("pace, review,pace") == ("pace", "review")


@pytest.mark.parametrize(
    ("month", "end"), [("2026-10", dt.date(2026, 10, 31)), ("2024-02", dt.date(2024, 2, 29)), ("9999-12", dt.date.max)]
)
def test_a_month_ends_on_its_last_day(month, end):
    assert parameters.period(month, None, None, None)["end"] == end


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
