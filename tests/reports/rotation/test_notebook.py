"""The rotation notebook on the demo and on the smallest diaries."""

import pandas as pd
import pytest
import vl_convert

from stitchlog.reports.rotation import Balance
from stitchlog.reports.rotation import charts as drawing
from tests.reports.pace.cells import DEMO, SMALL, WINCES, charts, run, texts

DAYS = (pd.Timestamp("2026-01-01"), pd.Timestamp("2026-01-31"))


@pytest.fixture
def demo(monkeypatch, tmp_path):
    return run("rotation", monkeypatch, folder=str(DEMO), out=str(tmp_path)), tmp_path / "rotation"


def test_the_demo_shows_its_charts_and_leaves_its_tables(demo):
    shown, out = demo
    assert list(charts(shown)) == ["next_up", "shares", "waits", "in_progress"]
    pieces = pd.read_csv(out / "pieces.csv")
    assert list(pieces.columns)[:6] == ["piece", "stitches", "share", "want", "days_since", "sessions"]
    ranked = pd.read_csv(out / "next_up.csv")
    assert ranked["rank"].tolist() == list(range(1, len(ranked) + 1))


def test_every_chart_can_be_drawn_and_has_a_text_alternative(demo):
    for name, spec in charts(demo[0]).items():
        svg = vl_convert.vegalite_to_svg({**spec, "width": 350})
        assert svg.startswith("<svg"), name
        assert len(spec["description"]) > 40, name


def test_at_most_seven_pieces_are_drawn_by_name(demo):
    for name, spec in charts(demo[0]).items():
        named = {row["name"] for rows in spec["datasets"].values() for row in rows if "name" in row}
        assert 1 < len(named) <= 7, name


def test_a_usual_gap_longer_than_every_wait_lies_within_the_chart():
    waiting = pd.DataFrame({"piece": ["Moss"], "days_since": [9.0], "usual_gap": [91.0], "gap_rank": [float("nan")]})
    found = Balance(waiting.assign(status="on the go"), 1.0, 1.0, 1, "stitches", *DAYS)
    spec = drawing.waits(found).to_dict()
    assert spec["layer"][0]["encoding"]["x"]["scale"]["domain"][1] > 91


def test_the_strip_reads_without_colour(demo):
    """What happens to a piece is told by shape, thickness and dashes, never by one hue against another."""
    spec = charts(demo[0])["in_progress"]
    encodings = [layer.get("encoding", {}) for layer in spec["layer"]]
    assert not any({"color", "fill", "stroke"} & set(e) for e in encodings)
    assert any("shape" in e for e in encodings)


def test_what_suits_is_put_first(monkeypatch, tmp_path):
    shown = run("rotation", monkeypatch, folder=str(DEMO), suits="travel", out=str(tmp_path))
    ranked = pd.read_csv(tmp_path / "rotation" / "next_up.csv")
    assert ranked["reason"].str.startswith("suits travel").tolist() == [True] * 3 + [False] * 7
    assert "suits travel" in texts(shown)


@pytest.mark.parametrize("by", ["hours", "days"])
def test_shares_of_hours_and_days(monkeypatch, by):
    shown = run("rotation", monkeypatch, folder=str(DEMO), by=by, start="2026-10-01", end="2026-10-31")
    assert {"hours": "of your hours", "days": "of your days with a session"}[by] in texts(shown)


@pytest.mark.parametrize("name", SMALL)
def test_the_smallest_diaries_read_well(monkeypatch, tmp_path, name):
    (tmp_path / "diary.csv").write_text(SMALL[name], "utf-8")
    shown = run("rotation", monkeypatch, folder=str(tmp_path), out=str(tmp_path / "out"))
    for wince in WINCES:
        assert wince not in texts(shown), wince
    for spec in charts(shown).values():
        assert vl_convert.vegalite_to_svg({**spec, "width": 350}).startswith("<svg")


def test_nothing_is_drawn_of_nothing(monkeypatch, tmp_path):
    (tmp_path / "diary.csv").write_text(SMALL["empty"], "utf-8")
    assert charts(run("rotation", monkeypatch, folder=str(tmp_path))) == {}
