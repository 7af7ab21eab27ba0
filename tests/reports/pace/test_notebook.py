"""The pace notebook on the demo and on the smallest diaries."""

import pandas as pd
import pytest
import vl_convert

from tests.reports.pace.cells import DEMO, SMALL, WINCES, charts, run, texts


@pytest.fixture
def demo(monkeypatch, tmp_path):
    return run("pace", monkeypatch, folder=str(DEMO), out=str(tmp_path)), tmp_path / "pace"


def test_the_demo_shows_its_charts_and_leaves_its_tables(demo):
    shown, out = demo
    assert list(charts(shown)) == ["pace", "effects", "months"]
    pieces = pd.read_csv(out / "pieces.csv")
    assert list(pieces.columns)[:4] == ["piece", "per_hour", "per_hour_low", "per_hour_high"]
    assert len(pieces) == 18
    assert {f.name for f in out.glob("*.csv")} >= {
        "pieces.csv",
        "effects.csv",
        "months.csv",
        "if_begun.csv",
        "not_begun.csv",
    }


def test_every_chart_can_be_drawn_and_has_a_text_alternative(demo):
    for name, spec in charts(demo[0]).items():
        svg = vl_convert.vegalite_to_svg({**spec, "width": 350})
        assert svg.startswith("<svg"), name
        assert len(spec["description"]) > 40, name


def test_at_most_seven_pieces_are_drawn_by_name(demo):
    spec = charts(demo[0])["pace"]
    named = {row["name"] for rows in spec["datasets"].values() for row in rows if "name" in row}
    assert len(named) == 7
    assert "12 other pieces" in named


def test_the_fastest_piece_of_the_sentence_is_in_the_chart(demo):
    spec = charts(demo[0])["pace"]
    named = {row["name"] for rows in spec["datasets"].values() for row in rows if "name" in row}
    sentence = next(data["text/plain"] for data, about in demo[0] if about["part"] == "says")
    assert sum(name in sentence for name in named) == 2


def test_what_is_asked_for_is_answered(monkeypatch):
    shown = texts(run("pace", monkeypatch, folder=str(DEMO), stitches=4321, count=60, over=1, colours=None))
    assert "A piece of 4,321 stitches would take you " in shown
    assert "None of your timed pieces is on 60 count" in shown


@pytest.mark.parametrize("name", SMALL)
def test_the_smallest_diaries_read_well(monkeypatch, tmp_path, name):
    (tmp_path / "diary.csv").write_text(SMALL[name], "utf-8")
    shown = run("pace", monkeypatch, folder=str(tmp_path), out=str(tmp_path / "out"))
    for wince in WINCES:
        assert wince not in texts(shown).replace("None of", ""), wince
    for spec in charts(shown).values():
        assert vl_convert.vegalite_to_svg({**spec, "width": 350}).startswith("<svg")


def test_nothing_is_drawn_of_nothing(monkeypatch, tmp_path):
    (tmp_path / "diary.csv").write_text(SMALL["empty"], "utf-8")
    assert charts(run("pace", monkeypatch, folder=str(tmp_path))) == {}
