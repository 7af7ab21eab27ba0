"""The row of choices above a live notebook offers what the diary has, and is nowhere else."""

import json
import re

import pytest

from stitchlog import open_diary
from stitchlog.render import choices, export, pages
from tests.render.test_export import notebook
from tests.render.test_export import shown as output


@pytest.fixture
def live(monkeypatch):
    monkeypatch.setenv(choices.LIVE, "1")


def test_it_offers_what_the_diary_has(folder):
    offered = choices.offers(open_diary(folder))
    assert offered["pieces"] == ["Fox, <b>Hill</b>", "Otter Creek"]
    assert offered["periods"] == [
        ("November 2026", "2026-11-01", "2026-11-30"),
        ("October 2026", "2026-10-01", "2026-10-31"),
        ("2026", "2026-01-01", "2026-12-31"),
    ]


def test_a_name_cannot_end_the_script(folder, live):
    text = choices.row(open_diary(folder))["text/html"]
    assert text.count("</script") == 1 and "<b>Hill" not in text
    offered = re.search(r"\}\)\n?\((\{.*\})\);</script>$", text, re.DOTALL)
    assert json.loads(offered[1])["pieces"][0] == "Fox, <b>Hill</b>"


def test_it_is_shown_in_the_workbook_alone(folder, shown, monkeypatch):
    monkeypatch.delenv(choices.LIVE, raising=False)
    pages.Page("toy", open_diary(folder))
    assert "choices" not in [about["part"] for _, about in shown]
    monkeypatch.setenv(choices.LIVE, "1")
    pages.Page("toy", open_diary(folder))
    assert "choices" in [about["part"] for _, about in shown]
    book = notebook(output("<script>alert(1)</script>", part="choices"))
    assert "alert" not in export.to_html(book, [])


def test_a_diary_without_a_session_offers_no_period(tmp_path):
    (tmp_path / "diary.csv").write_text("piece,date,stitches\n", "utf-8")
    assert choices.offers(open_diary(tmp_path))["periods"] == []
