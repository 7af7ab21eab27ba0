"""What a reader can do with a chart is put into its specification, whoever drew it."""

import altair as alt
import pandas as pd

from stitchlog.render import interaction, theme

FRAME = pd.DataFrame({"piece": ["a", "b"], "stitches": [1, 2], "date": pd.to_datetime(["2026-01-01", "2026-12-31"])})


def names(unit):
    return [p["name"] for p in unit.get("params", [])]


def test_marks_that_are_pieces_can_be_followed():
    spec = interaction.enliven(alt.Chart(FRAME).mark_bar(opacity=0.8).encode(y="piece:N", x="stitches:Q").to_dict())
    assert names(spec) == [theme.FOLLOW]
    assert spec["encoding"]["opacity"] == {
        "condition": {"param": theme.FOLLOW, "value": 0.8},
        "value": theme.FADED,
    }


def test_a_chart_without_pieces_is_left_alone():
    spec = interaction.enliven(alt.Chart(FRAME).mark_bar().encode(x="stitches:Q").to_dict())
    assert "params" not in spec and "opacity" not in spec["encoding"]


def test_layers_share_one_parameter_and_all_fade():
    base = alt.Chart(FRAME).encode(y="piece:N", x="stitches:Q")
    spec = interaction.enliven((base.mark_rule() + base.mark_point()).to_dict())
    assert [names(layer) for layer in spec["layer"]] == [[theme.FOLLOW], []]
    assert all("opacity" in layer["encoding"] for layer in spec["layer"])


def test_a_line_through_all_pieces_does_not_fade():
    spec = alt.Chart(FRAME).mark_line().encode(x="date:T", y="stitches:Q", tooltip="piece:N").to_dict()
    assert "opacity" not in interaction.enliven(spec)["encoding"]


def test_an_opacity_of_the_charts_own_stays():
    spec = alt.Chart(FRAME).mark_bar().encode(y="piece:N", opacity="stitches:Q").to_dict()
    assert interaction.enliven(spec)["encoding"]["opacity"]["field"] == "stitches"


def test_a_long_period_can_be_looked_at_in_parts_and_a_short_one_need_not():
    long = alt.Chart(FRAME).mark_line().encode(x="date:T", y="stitches:Q")
    assert names(interaction.enliven(long.to_dict())) == [theme.ZOOM]
    short = FRAME.assign(date=pd.to_datetime(["2026-01-01", "2026-01-31"]))
    assert names(interaction.enliven(alt.Chart(short).mark_line().encode(x="date:T", y="stitches:Q").to_dict())) == []


def test_rows_with_a_name_each_are_not_zoomed():
    spec = alt.Chart(FRAME).mark_bar().encode(x="date:T", y="piece:N").to_dict()
    assert names(interaction.enliven(spec)) == [theme.FOLLOW]


def test_small_multiples_are_not_zoomed():
    spec = alt.Chart(FRAME).mark_line().encode(x="date:T", y="stitches:Q", row="piece:N").to_dict()
    assert theme.ZOOM not in names(interaction.enliven(spec))
