import re
from pathlib import Path

import pytest
import vl_convert

from stitchlog import open_diary
from stitchlog.reports import review

DEMO = Path(__file__).parents[3] / "data_demo"
PERIODS = {
    "month": ("2026-10-01", "2026-10-31"),
    "year": ("2025-11-01", "2026-10-31"),
    "empty": ("2030-01-01", "2030-01-31"),
}


def _charts(recap):
    """None for a chart that has nothing to show."""
    return {
        "calendar": review.charts.calendar(recap.calendar),
        "running": review.charts.running(recap.running),
        "shares": review.charts.shares(recap.pieces),
        "progress": review.charts.progress(recap.pieces),
        "flow": review.charts.flow(recap.flow, recap.changes, recap.period),
    }


def _texts(chart) -> list[str]:
    spec = chart.to_dict() | {"width": 720}
    return [re.sub(r"<[^>]*>", "", t) for t in re.findall(r"<text[^>]*>.*?</text>", vl_convert.vegalite_to_svg(spec))]


@pytest.fixture(scope="module", params=list(PERIODS))
def drawn(request):
    recap = review.recap(open_diary(DEMO), *PERIODS[request.param])
    return request.param, recap, _charts(recap)


def test_every_chart_says_its_message_in_words(drawn):
    _, _, found = drawn
    for name, chart in found.items():
        if chart is None:
            continue
        description = chart.to_dict()["description"]
        assert len(description) > 20 and description.rstrip().endswith("."), name
        assert "nan" not in description.lower(), name


def test_every_tooltip_has_a_type(drawn):
    """A day without one would show as a number of milliseconds."""
    _, _, found = drawn

    def tooltips(spec):
        for key, value in spec.items() if isinstance(spec, dict) else enumerate(spec):
            if key == "tooltip" and isinstance(value, list):
                yield from value
            elif isinstance(value, (dict, list)):
                yield from tooltips(value)

    for chart in filter(None, found.values()):
        for tip in tooltips(chart.to_dict().get("layer", [])):
            assert tip["type"]
            assert tip["type"] != "temporal" or "format" in tip


def test_a_month_can_be_read_without_colour(drawn):
    name, recap, found = drawn
    if name != "month":
        pytest.skip("longer periods show dots")
    texts = _texts(found["calendar"])
    for row in recap.calendar.to_dict("records"):
        assert str(row["day"]) in texts
        if row["sessions"]:
            said = f"{'≈' if row['estimated'] else ''}{row['stitches']:,.0f}"
            assert said in texts
            assert row["marks"] in texts or "+" in "".join(texts)


def test_a_long_period_shows_dots_by_size(drawn):
    name, _, found = drawn
    if name == "year":
        assert any("size" in layer.get("encoding", {}) for layer in found["calendar"].to_dict()["layer"])


def test_every_share_and_name_is_written_out(drawn):
    name, recap, found = drawn
    if name == "empty":
        assert found["shares"] is found["progress"] is None
        return
    texts = " ".join(_texts(found["shares"]))
    for row in recap.pieces.to_dict("records"):
        assert f"{row['stitches']:,.0f} ·" in texts
        assert row["piece"].split()[0] in texts
    progress = " ".join(_texts(found["progress"]))
    for row in recap.pieces.dropna(subset="after_share").to_dict("records"):
        assert review.say_share(row["before_share"], row["after_share"]) in progress


def test_the_two_totals_are_named_at_their_ends(drawn):
    name, recap, found = drawn
    if name == "empty":
        assert found["running"] is None
        return
    texts = _texts(found["running"])
    for _, part in recap.running.groupby("which"):
        assert part["period"].iloc[0].replace(" ", "") in "".join(texts).replace(" ", "")
        assert f"{part['total'].iloc[-1]:,.0f}" in " ".join(texts)


def test_starts_and_finishes_are_counted_in_figures(drawn):
    _, recap, found = drawn
    texts = _texts(found["flow"])
    for row in recap.flow.to_dict("records"):
        assert str(row["on_the_go"]) in texts
    assert {"started", "finished", "WIPs"} <= set(texts)


def test_nothing_is_drawn_of_an_empty_diary(empty):
    assert set(_charts(review.recap(empty, None, None)).values()) == {None}
