"""The scorer, on open daily series that a package carries and on diaries of which the answer is known."""

import numpy as np
import pandas as pd
import pytest
from vega_datasets import local_data

from tests.model.forecast.diaries import series
from tests.model.forecast.scores import days_score, holds
from tests.tools import score_forecasts


@pytest.fixture(scope="module")
def weather():
    """Four years of Seattle's days (NOAA, carried by vega-datasets): rain, downpours, heat, frost, wind as daily
    amounts that add up, with dry spells of days to months."""
    days = local_data.seattle_weather()
    kinds = {
        "rain": days["precipitation"],
        "downpours": days["precipitation"].where(days["precipitation"] >= 10, 0.0),
        "heat": (days["temp_max"] - 24).clip(lower=0.0),
        "frost": (3 - days["temp_min"]).clip(lower=0.0),
        "wind": (days["wind"] - 5).clip(lower=0.0),
    }
    return pd.concat([pd.DataFrame({"series": k, "date": days["date"], "amount": v}) for k, v in kinds.items()])


def test_on_weather_it_beats_what_a_stitcher_would_do(weather):
    found = list(score_forecasts.cases(weather, cuts=(0.25, 0.4, 0.55, 0.7)))
    assert len(found) == 60
    table = score_forecasts.table(found, paths=150).set_index("method")
    ours, recent = table.loc["stitchlog"], table.loc["resampling the last 90 days"]
    assert ours["crps"] < 0.8 * recent["crps"]
    assert ours["crps"] < 0.6 * table.loc["last 30 days' average", "crps"]
    assert ours["held_80"] > 0.5 > recent["held_80"]
    assert ours["held_50"] < ours["held_80"]


def test_cases_are_cut_as_they_say(weather):
    rain = weather[weather["series"] == "rain"]
    whole = score_forecasts.daily(rain)
    for case in score_forecasts.cases(rain, cuts=(0.5,)):
        assert len(case.past) == int(len(whole) * 0.5)
        assert case.seen == len(whole) - len(case.past)
        assert case.remaining == pytest.approx(case.past.mean() * case.span)
        after = whole.iloc[len(case.past) :].cumsum()
        if np.isfinite(case.truth):
            assert after.iloc[int(case.truth) - 1] >= case.remaining - 1e-6
            assert case.truth == 1 or after.iloc[int(case.truth) - 2] < case.remaining


def test_short_series_are_left_out():
    frame = pd.DataFrame({"series": "s", "date": pd.date_range("2025-01-01", periods=80), "amount": 1.0})
    assert list(score_forecasts.cases(frame)) == []


def test_what_the_data_does_not_reach_counts_as_its_end():
    assert days_score(np.array([500.0, np.inf]), np.inf, 100) == 0.0
    assert holds(np.array([500.0, np.inf]), np.inf, 100, 0.8)
    assert days_score(np.array([10.0, 10.0]), np.inf, 100) == pytest.approx(np.log(101 / 11))


def test_plain_methods_on_a_steady_series():
    steady = series([10.0] * 100)
    for name, method in score_forecasts.METHODS.items():
        if name != "stitchlog":
            assert (method(steady, 205.0, 20, 0) == 21).all(), name


def test_the_command_prints_the_table(weather, tmp_path, capsys):
    file = tmp_path / "series.csv"
    rain = weather[weather["series"] == "rain"]
    rain.to_csv(file, index=False)
    score_forecasts.main([str(file), "--paths", "20"])
    printed = capsys.readouterr().out
    assert "cases of 1 series, 20 paths" in printed
    for name in score_forecasts.METHODS:
        assert name in printed


def test_a_method_that_ran_elsewhere_is_scored_beside_the_others(weather, tmp_path, capsys):
    file, asked, answers = tmp_path / "series.csv", tmp_path / "cases.csv", tmp_path / "answers.csv"
    weather[weather["series"] == "rain"].to_csv(file, index=False)
    score_forecasts.main([str(file), "--cases", str(asked)])
    found = pd.read_csv(asked)
    assert list(found.columns) == ["series", "days", "span", "remaining"] and len(found) > 5
    found.loc[found.index.repeat(2)].assign(answer=lambda f: f["span"]).to_csv(answers, index=False)
    capsys.readouterr()
    score_forecasts.main([str(file), "--paths", "10", "--answers", str(answers)])
    lines = {line.rsplit(maxsplit=6)[0].strip(): line.split()[-6:] for line in capsys.readouterr().out.splitlines()}
    # To say the span is what the straight line says.
    assert lines["answers"] == lines["straight line on all days"]


@pytest.mark.parametrize(
    ("text", "said"),
    [("series,date\na,2025-01-01\n", "lacks the column amount"), ("series,date,amount\n", "long enough")],
)
def test_the_command_says_what_is_wrong_with_a_file(text, said, tmp_path, capsys):
    file = tmp_path / "series.csv"
    file.write_text(text, "utf-8")
    with pytest.raises(SystemExit):
        score_forecasts.main([str(file)])
    assert said in capsys.readouterr().err
