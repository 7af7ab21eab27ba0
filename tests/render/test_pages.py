"""A page shows sentences, charts and tables, and keeps tables and files beside the report."""

import datetime as dt

import altair as alt
import pandas as pd
import pytest

from stitchlog import open_diary, words
from stitchlog.diary import clock
from stitchlog.errors import StitchlogError
from stitchlog.render import charts, pages, theme

FRAME = pd.DataFrame({"piece": ["Otter", "=2+3"], "share": [0.25, 0.75]})


def test_it_says_whose_diary_it_is_and_from_when(made):
    assert [about["part"] for _, about in made.opened] == ["style", "quiet"]
    assert made.opened[1][0]["text/plain"] == "From the diary in mine, up to 5 October 2026."


def test_an_empty_diary_has_a_page_too(tmp_path, shown):
    (tmp_path / "diary.csv").write_text("piece,date,stitches\n", "utf-8")
    page = pages.Page("toy", open_diary(tmp_path))
    assert pd.isna(page.as_of)
    assert "no session yet" in shown[-2][0]["text/plain"] and "stitchlog add" in shown[-1][0]["text/plain"]
    page.problems()
    assert len(shown) == 3


def test_a_chart_stands_under_its_sentence_and_carries_its_alternative(made):
    chart = alt.Chart(FRAME, width="container", description="Otter has a quarter.").mark_bar().encode(y="piece:N")
    made.page.chart("shares", "Who has <what>.", chart)
    says, drawn = made.shown
    assert says[0]["text/html"] == '<p class="says">Who has &lt;what&gt;.</p>'
    spec = drawn[0][charts.MIME]
    assert drawn[1] == {"part": "chart", "name": "shares", "alt": "Otter has a quarter.", "fluid": True}
    assert spec["width"] == theme.PLOT_WIDTH and "autosize" not in spec
    assert spec["config"]["background"] == theme.PAPER
    assert spec["config"]["axis"]["labelColor"] == theme.INK


def test_a_chart_without_a_description_is_described_by_its_sentence(made):
    made.page.chart("shares", "Otter has a quarter.", alt.Chart(FRAME).mark_bar().encode(y="piece:N"))
    assert made.shown[1][1]["alt"] == "Otter has a quarter."


def test_a_chart_of_nothing_is_its_sentence_alone(made):
    made.page.chart("shares", "Nobody has anything yet.", None)
    assert [(data["text/plain"], about["part"]) for data, about in made.shown] == [("Nobody has anything yet.", "note")]


def test_a_table_shows_some_rows_and_keeps_all(made):
    made.page.table("shares", "Who has & what", FRAME, {"piece": "piece", "share": "share of stitches"}, limit=1)
    shown = made.shown[0][0]["text/html"]
    assert "<caption><span>Who has &amp; what</span></caption>" in shown
    assert '<th scope="col" class="num">share of stitches</th>' in shown
    assert '<th scope="row"' in shown and "25%" in shown and "75%" not in shown
    assert "The first 1 of 2 rows; all are in toy/shares.csv." in shown
    kept = (made.out / "shares.csv").read_text("utf-8-sig").splitlines()
    assert kept == ["piece,share", "Otter,0.25", "'=2+3,0.75"]


@pytest.mark.parametrize(("rows", "box"), [(25, 'class="wide"'), (26, 'class="wide tall"')])
def test_a_long_table_scrolls_in_its_own_box(made, rows, box):
    made.page.table("many", "Many", pd.DataFrame({"piece": ["Otter"] * rows}))
    assert box in made.shown[0][0]["text/html"]


def test_a_table_without_rows_is_written_and_not_shown(made):
    made.page.table("none", "Nothing", FRAME.head(0))
    assert not made.shown
    assert (made.out / "none.csv").exists()


def test_nothing_is_written_where_there_is_no_out(folder, tmp_path, shown):
    page = pages.Page("toy", open_diary(folder))
    before = sorted(tmp_path.rglob("*.csv"))
    page.table("shares", "Shares", FRAME)
    page.file("notes.md", "text")
    assert sorted(tmp_path.rglob("*.csv")) == before


def test_problems_are_said_and_shown_with_how_to_mend_them(made):
    made.page.problems()
    texts = [data["text/plain"] for data, _ in made.shown]
    assert texts[0] == "1 row could not be read and is left out of this page."
    assert texts[1].startswith("The stitches of 1 session are estimated from minutes")
    table = made.shown[2][0]["text/html"]
    assert "2026-10-40" in table and "left out" in table and "kept" not in table


def test_the_language_is_the_diarys(folder, shown):
    (folder / "stitchlog.toml").write_text('language = "en_US"\n', "utf-8")
    try:
        pages.Page("toy", open_diary(folder))
        assert shown[0][1]["language"] == "en_US"
        assert "October 5, 2026" in shown[1][0]["text/plain"]
    finally:
        words.use("en_GB")


@pytest.mark.parametrize("language", ["de_DE", "xx_QQ", ""])
def test_a_language_that_is_not_english_is_one_line(language):
    with pytest.raises(StitchlogError, match=r"stitchlog\.toml: language .* pages are written in English"):
        words.use(language)


def test_a_day_that_has_not_come_does_not_move_the_page(folder, shown, monkeypatch):
    monkeypatch.setattr(clock, "today", lambda: dt.date(2026, 10, 4))
    with (folder / "diary.csv").open("a") as diary:
        diary.write("Otter Creek,2027-10-05,100,50\n")
    page = pages.Page("toy", folder)
    assert page.as_of == pd.Timestamp("2026-10-04")
    assert page.diary.last_day == pd.Timestamp("2026-10-03")
    monkeypatch.setattr(clock, "today", lambda: dt.date(2027, 12, 31))
    assert pages.Page("toy", folder).as_of == pd.Timestamp("2027-10-05")


def test_what_is_asked_by_hand_is_read_like_what_is_asked_on_the_command_line(folder, shown):
    page = pages.Page("toy", folder, as_of="2026-10-03", piece="otter", start="2026-10", end=None, count="28", mine=3)
    assert vars(page.asked) == {
        "as_of": dt.date(2026, 10, 3),
        "piece": "Otter Creek",
        "count": 28,
        "mine": 3,
        "start": dt.date(2026, 10, 1),
        "end": dt.date(2026, 10, 31),
    }
    with pytest.raises(StitchlogError, match='as_of: 1985 is not a day; put it in quotes, as in as_of = "2026-10-31"'):
        pages.Page("toy", folder, as_of=2026 - 10 - 31)
