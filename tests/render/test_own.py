"""What an analyst makes is shown as our own: charts of any kind, frames of any shape, whatever a cell shows."""

import re

import altair as alt
import nbformat
import pandas as pd
import polars as pl
import pytest
from IPython.core.interactiveshell import InteractiveShell
from PIL import Image

from stitchlog.errors import StitchlogError
from stitchlog.render import charts, export, files, outputs, pages, showing, tables, theme, vega

FRAME = pd.DataFrame({"piece": ["a", "b"] * 3, "n": range(6), "date": pd.date_range("2026-01-01", periods=6)})
BASE = alt.Chart(FRAME).encode(x="date:T", y="n:Q")
KINDS = {
    "layers": BASE.mark_line() + BASE.mark_point(),
    "layers in layers": (BASE.mark_line() + BASE.mark_point()) + BASE.mark_rule(),
    "facets": BASE.mark_bar().facet("piece:N"),
    "side by side": BASE.mark_bar() | BASE.mark_line(),
    "below": BASE.mark_bar() & BASE.mark_line(),
    "repeated": alt.Chart(FRAME).mark_bar().encode(x=alt.X(alt.repeat("column"), type="quantitative")).repeat(["n"]),
    "many rows": alt.Chart(pd.DataFrame({"n": range(6000)})).mark_bar().encode(x=alt.X("n:Q", bin=True), y="count()"),
}


@pytest.mark.parametrize("chart", KINDS.values(), ids=KINDS)
def test_a_chart_of_any_kind_becomes_a_picture(chart):
    data, about = charts.bundle(chart, "What it shows.")
    assert data["text/plain"] == about["stitchlog"]["alt"] == "What it shows."
    assert vega.svg(data[charts.MIME]).startswith("<svg")


def test_what_a_chart_says_of_its_look_goes_before_the_page():
    own = BASE.mark_bar().configure_axis(labelFontSize=20).configure_view(stroke="#ff0000")
    spec, _ = charts.spec_of(own)
    assert spec["config"]["axis"]["labelFontSize"] == 20 and spec["config"]["axis"]["labelColor"] == theme.INK
    assert spec["config"]["view"]["stroke"] == "#ff0000"


def test_nothing_beside_a_chart_sends_its_rows_away():
    spec, _ = charts.spec_of(BASE.mark_bar())
    assert spec["usermeta"]["embedOptions"]["actions"] == {
        "export": True,
        "source": False,
        "compiled": False,
        "editor": False,
    }


def test_a_chart_at_the_end_of_a_cell_is_shown_with_no_network():
    shell = InteractiveShell()
    showing.teach(shell)
    for chart in KINDS.values():
        data, _ = shell.display_formatter.format(chart)
        assert charts.MIME in data and "html" not in " ".join(data)


def test_a_bare_chart_has_a_place_on_the_page_and_a_picture_in_the_notebook(tmp_path):
    data, about = charts.bundle(BASE.mark_bar())
    code = nbformat.v4.new_code_cell("chart")
    code.outputs = [nbformat.v4.new_output("execute_result", data=data, metadata=about) for _ in range(2)]
    book = nbformat.v4.new_notebook(cells=[code, nbformat.v4.new_markdown_cell("Text\n\n## Colours per month")])
    nbformat.write(book, tmp_path / "mine.ipynb")
    page = export.write(tmp_path / "mine.ipynb", tmp_path, "mine").read_text("utf-8")
    assert "<title>Colours per month</title>" in page
    assert re.findall(r'id="(chart-chart-\d)"', page) == ["chart-chart-1", "chart-chart-2"]
    assert (tmp_path / "mine" / "chart-2.png").exists()
    kept = nbformat.read(tmp_path / "mine.ipynb", 4).cells[0].outputs[0]
    assert kept.metadata["image/png"]["alt"] == "A chart." and len(kept.data["image/png"]) < 15_000


@pytest.mark.parametrize(
    ("frame", "columns"),
    [
        (pd.DataFrame({2025: [1.0], 2026: [2.0]}), ["2025", "2026"]),
        (FRAME.groupby("piece")["n"].sum(), ["piece", "n"]),
        (FRAME.groupby("piece").agg({"n": ["sum", "mean"]}), ["piece", "n sum", "n mean"]),
        (FRAME.head(2).set_index("date"), ["date", "piece", "n"]),
        (FRAME.sort_values("n", ascending=False), ["piece", "n", "date"]),
        (pd.DataFrame([[1, 2]], columns=["n", "n"]), ["n", "n"]),
        (pl.DataFrame({"piece": ["a"]}), ["piece"]),
    ],
    ids=["numbers", "series", "two headings", "index", "sorted", "same name twice", "polars"],
)
def test_any_frame_is_a_table_and_a_file(made, frame, columns):
    made.page.table("own", "Own", frame)
    head = (made.out / "own.csv").read_text("utf-8-sig").splitlines()[0]
    assert head == ",".join(columns)
    assert list(tables.plain(frame).columns) == columns


def test_a_styled_frame_keeps_its_colours(made):
    made.page.table("own", "Own & <mine>", FRAME.style.highlight_max("n", color="#ffee00").format({"n": "{:.1f}"}))
    text = made.shown[-1][0]["text/html"]
    assert "background-color: #ffee00" in text and "5.0" in text and "Own &amp; &lt;mine&gt;</caption>" in text
    assert (made.out / "own.csv").read_text("utf-8").startswith("piece,n,date")


def _result(**data):
    return nbformat.v4.new_output("execute_result", data={k.replace("__", "/"): v for k, v in data.items()})


def test_a_frame_at_the_end_of_a_cell_is_a_table_of_the_page():
    text = outputs.to_html(_result(text__html=FRAME.head()._repr_html_(), text__plain="..."))
    assert '<table class="data">' in text and "<style" not in text and 'class="wide"' in text
    assert "border" not in text.partition("<thead>")[0]


def test_text_and_pictures_are_shown_too():
    assert outputs.to_html(_result(text__plain="'a <b>'")) == "<pre>&#x27;a &lt;b&gt;&#x27;</pre>"
    assert outputs.to_html(nbformat.v4.new_output("stream", text="42\n")) == "<pre>42</pre>"
    assert outputs.to_html(nbformat.v4.new_output("stream", name="stderr", text="warning")) == ""
    assert 'src="data:image/png;base64,AAAA"' in outputs.to_html(_result(image__png="AAAA\n"))


def test_what_would_be_written_is_shown_in_place(folder, shown):
    card = vega.png('<svg width="40" height="20" xmlns="http://www.w3.org/2000/svg"></svg>')
    parts = list(files.shown({"cards/a.png": card, "cards/b.png": card, "cards/c.png": card}))
    assert [set(part) for part in parts] == [{"image/jpeg", "text/plain"}, {"text/html", "text/plain"}]
    assert parts[1]["text/plain"].startswith("These 3 pictures are shown only. To have them as files")
    notes, said = files.shown({"notes.md": "# Notes"})
    assert notes["text/markdown"] == "# Notes"
    assert (
        said["text/plain"]
        == 'notes.md is shown only. To have it as a file, set out = "../reports" above and run again.'
    )
    (sheet, _) = files.shown({"list.html": '<p class="a">x</p>'})
    assert "sandbox srcdoc=" in sheet["text/html"] and '<p class="a">' not in sheet["text/html"]


def test_pictures_stand_side_by_side(tmp_path):
    card = vega.png('<svg width="1120" height="630" xmlns="http://www.w3.org/2000/svg"></svg>', scale=1)
    (tmp_path / "sheet.jpg").write_bytes(files.sheet([card] * 3))
    with Image.open(tmp_path / "sheet.jpg") as sheet:
        assert sheet.size == (2 * 560 + 12, 2 * 315 + 12)


def test_a_day_that_is_none_is_one_line(folder, shown):
    from stitchlog import open_diary

    with pytest.raises(StitchlogError, match=r'as_of: "soon" is not a day; write .* 2026-11-15'):
        pages.Page("toy", open_diary(folder), as_of="soon")
