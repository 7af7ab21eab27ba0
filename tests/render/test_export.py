"""An executed notebook becomes one page that opens with no network, with its charts' pictures beside it."""

import base64
import html.parser
import io
import itertools
import json
import re

import altair as alt
import nbformat
import pandas as pd
import pytest
from PIL import Image

from stitchlog.render import charts, export, theme, vega
from stitchlog.run import index
from stitchlog.run.notebooks import NAMES

FRAME = pd.DataFrame({"piece": ["Otter", "</script><b>Fox"], "stitches": [12, 30]})
BARS = alt.Chart(FRAME, width=theme.PLOT_WIDTH).mark_bar().encode(y="piece:N", x="stitches:Q").to_dict()


def chart(name="bars", alt_text="Fox leads with 30.", spec=BARS):
    data = {charts.MIME: spec | {"config": theme.chart_config()}, "text/plain": alt_text}
    about = {"stitchlog": {"part": "chart", "name": name, "alt": alt_text, "fluid": False}}
    return nbformat.v4.new_output("display_data", data=data, metadata=about)


def shown(fragment, **about):
    return nbformat.v4.new_output("display_data", data={"text/html": fragment}, metadata={"stitchlog": about})


def notebook(*outputs, text="# October\n\nWhat was *worked* on."):
    code = nbformat.v4.new_code_cell("secret = 1")
    code.outputs = list(outputs)
    return nbformat.v4.new_notebook(cells=[nbformat.v4.new_markdown_cell(text), code])


def page_of(book):
    return export.to_html(book, export.charts(book))


class Outline(html.parser.HTMLParser):
    """The tags of a page, in order, with their attributes."""

    def __init__(self, text):
        super().__init__()
        self.tags = []
        self.feed(text)

    def handle_starttag(self, tag, attrs):
        self.tags.append((tag, dict(attrs)))

    def all(self, name):
        return [a for t, a in self.tags if t == name]


def test_code_stays_out_and_markdown_becomes_text():
    page = page_of(notebook())
    assert "secret" not in page
    assert "<em>worked</em>" in page and "<title>October</title>" in page


@pytest.mark.parametrize("name", (*NAMES, "index"))
def test_one_h1_a_main_a_language_and_headings_in_order(demo_reports, name):
    outline = Outline((demo_reports / f"{name}.html").read_text("utf-8"))
    levels = [int(t[1]) for t, _ in outline.tags if re.fullmatch(r"h\d", t)]
    assert levels[0] == 1 and levels.count(1) == 1
    assert all(b <= a + 1 for a, b in itertools.pairwise(levels))
    assert len(outline.all("main")) == 1 and outline.all("html")[0]["lang"] in ("en", "en-GB")


def test_what_is_for_the_workbook_only_is_left_out():
    book = notebook(shown("<style>x</style>", part="style", language="en_US"))
    book.cells.append(nbformat.v4.new_markdown_cell("how to run", metadata={"tags": ["workbook-only"]}))
    page = page_of(book)
    assert "how to run" not in page and "<style>x" not in page
    assert '<html lang="en-US">' in page


def test_the_library_is_there_once_and_every_chart_has_a_picture_that_says_what_it_shows():
    page = page_of(notebook(chart(), chart("more", 'Otter "has" 12.')))
    outline = Outline(page)
    assert page.count(vega.bundle()) == 1
    pictures = [a for a in outline.all("img") if a.get("class") == "still"]
    assert [a["alt"] for a in pictures] == ["Fox leads with 30.", 'Otter "has" 12.']
    live = [a for a in outline.all("div") if a.get("class") == "live"]
    assert [(a["role"], a["aria-label"]) for a in live] == [("img", p["alt"]) for p in pictures]
    for picture in pictures:
        drawn = base64.b64decode(picture["src"].removeprefix("data:image/svg+xml;base64,")).decode()
        assert drawn.startswith("<svg") and "Otter" in drawn and "prefers-color-scheme:dark" in drawn


def test_a_page_of_eight_charts_weighs_at_most_one_and_a_half_megabytes_besides_its_pictures():
    rows = pd.DataFrame({"piece": ["Otter", "Fox"] * 100, "stitches": range(200)})
    spec = alt.Chart(rows).mark_bar().encode(x="stitches:Q", y="piece:N").to_dict()
    page = page_of(notebook(*(chart(f"c{i}", spec=spec) for i in range(8))))
    assert len(re.sub(r"data:image/[^\"]*", "", page).encode()) <= 1_500_000


def test_names_cannot_break_out_of_the_page():
    page = page_of(notebook(chart(alt_text='"><script>alert(1)</script>')))
    specs = re.search(r'<script type="application/json" id="specs">(.*?)</script>', page, re.DOTALL)[1]
    assert json.loads(specs)[0]["datasets"]
    assert "</script><b>Fox" in json.dumps(json.loads(specs)[0])
    assert "<script>alert" not in page


def test_the_page_names_no_other_host():
    page = page_of(notebook(chart())).replace(vega.bundle(), "")
    outside = re.findall(r"""(?:src|href|url)\s*[=(]\s*["']?((?:https?:)?//[^"')\s]+)""", page)
    assert outside == []


def test_a_page_without_charts_carries_no_script():
    assert "<script" not in page_of(notebook(shown("<p>nothing</p>")))


def test_a_cell_that_failed_is_said_in_words():
    error = nbformat.v4.new_output("error", ename="ValueError", evalue="no <stitches>", traceback=["..."])
    assert "could not be made. ValueError: no &lt;stitches&gt;" in page_of(notebook(error))


def test_pictures_lie_beside_the_page_each_with_its_alternative(tmp_path):
    nbformat.write(notebook(chart(), chart("by_week")), tmp_path / "review.ipynb")
    page = export.write(tmp_path / "review.ipynb", tmp_path, "review")
    assert page == tmp_path / "review.html" and page.exists()
    names = sorted(p.name for p in (tmp_path / "review").iterdir())
    assert names == [f"{n}.{e}" for n in ("bars", "by_week") for e in ("png", "txt")] + ["report.json"]
    assert (tmp_path / "review" / "bars.txt").read_text("utf-8") == "Fox leads with 30.\n"
    picture = Image.open(io.BytesIO((tmp_path / "review" / "bars.png").read_bytes())).convert("RGB")
    assert picture.width > theme.PLOT_WIDTH * theme.PNG_SCALE
    assert picture.getpixel((1, 1)) == tuple(bytes.fromhex(theme.PAPER[1:]))


def test_a_chart_of_the_pages_width_has_it_in_the_page_only():
    about = {"part": "chart", "name": "bars", "alt": "Fox leads.", "fluid": True}
    spec = BARS | {"width": theme.PLOT_WIDTH}
    output = nbformat.v4.new_output("display_data", {charts.MIME: spec}, metadata={"stitchlog": about})
    drawn = export.charts(notebook(output))[0]
    assert drawn.spec["width"] == "container"
    assert vega.size(drawn.drawn)[0] > theme.PLOT_WIDTH


def test_days_in_charts_follow_the_language():
    rows = pd.DataFrame({"date": pd.to_datetime(["2026-03-01", "2026-05-01"]), "stitches": [1, 2]})
    spec = alt.Chart(rows).mark_point().encode(alt.X("date:T").axis(format="%B"), y="stitches:Q").to_dict()
    assert "März" in vega.svg(spec, "de_DE") and "March" in vega.svg(spec, "en_GB")
    assert vega.locales("de_DE")[0]["decimal"] == ","
    assert vega.locales("xx_XX") is None


def test_a_chart_may_not_fetch_anything():
    spec = {"data": {"url": "http://127.0.0.1:9/x.csv"}, "mark": "point", "encoding": {"x": {"field": "a"}}}
    with pytest.raises(ValueError):
        vega.svg(spec)


def test_the_bundle_is_kept_between_runs(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))
    made = []
    monkeypatch.setattr(vega, "_made", lambda: made.append(1) or "script")
    assert [vega.bundle.__wrapped__(), vega.bundle.__wrapped__()] == ["script", "script"]
    assert made == [1]


def test_a_cache_that_cannot_be_written_costs_time_only(monkeypatch):
    import platformdirs

    def refuse(*_, **__):
        raise PermissionError

    monkeypatch.setattr(platformdirs, "user_cache_path", refuse)
    monkeypatch.setattr(vega, "_made", lambda: "script")
    assert vega.bundle.__wrapped__() == "script"


def test_the_index_leads_to_every_page_that_is_there(tmp_path):
    leads = shown("<p>Otter &lt;leads&gt;.</p>", part="says")
    leads.data["text/plain"] = "Otter <leads>."
    for name, outputs in {"review": [leads], "mine": []}.items():
        nbformat.write(notebook(*outputs), tmp_path / f"{name}.ipynb")
        export.write(tmp_path / f"{name}.ipynb", tmp_path, name)
    (tmp_path / "review" / "notes.md").write_text("x", "utf-8")
    (tmp_path / "plan.html").write_text("a page of another program", "utf-8")
    page = index.write(tmp_path).read_text("utf-8")
    links = [a["href"] for a in Outline(page).all("a")]
    assert links == [
        "#main",
        "review.html",
        "review.ipynb",
        "review/notes.md",
        "review/",
        "mine.html",
        "mine.ipynb",
        "mine/",
    ]
    assert "<p>Otter &lt;leads&gt;.</p>" in page
