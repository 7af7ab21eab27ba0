"""Every question on a diary of 20 years, 20,000 sessions and 200 pieces. Outside the default run:

python -m pytest tests/benchmarks --benchmark-only
"""

import pandas as pd
import pytest

from stitchlog import open_diary
from stitchlog.model import forecast
from stitchlog.reports import pace, plan, review, rotation
from tests.benchmarks import made


@pytest.fixture(scope="module")
def diary(tmp_path_factory):
    return open_diary(made.folder(tmp_path_factory.mktemp("large") / "diary"))


@pytest.fixture(scope="module")
def unfinished(diary):
    standing = diary.standing(diary.last_day)
    return standing.loc[standing["status"] == "on the go", "piece"].tolist()


def test_review_pieces(benchmark, diary):
    end = diary.last_day
    assert len(benchmark(review.pieces, diary, end - pd.Timedelta(days=364), end))


def test_pace_compare(benchmark, diary):
    assert len(benchmark(pace.compare, diary, diary.last_day)) == 200


def test_rotation_balance(benchmark, diary):
    assert len(benchmark(rotation.balance, diary, diary.first_day, diary.last_day))


def test_plan_capacity(benchmark, diary):
    start = diary.last_day
    assert len(benchmark(plan.capacity, diary, start, start + pd.Timedelta(days=30), start).goals)


def test_forecast_finish(benchmark, diary, unfinished):
    assert len(benchmark(forecast.finish, diary, unfinished[0], diary.last_day, paths=2000).days) == 2000


def test_forecast_of_every_piece_on_the_go(benchmark, diary, unfinished):
    def every():
        return [forecast.finish(diary, piece, diary.last_day, paths=2000) for piece in unfinished]

    assert len(benchmark.pedantic(every, rounds=3)) == len(unfinished)


def test_open_diary(benchmark, diary):
    assert len(benchmark(open_diary, diary.folder).sessions) == 20_000
