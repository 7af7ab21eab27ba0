"""The table of headings: every column has its words in six languages, and the words mean one thing."""

import tomllib
from importlib import resources

import pytest

from stitchlog.diary import headings, schema

TABLE = tomllib.loads(resources.files("stitchlog.diary").joinpath("headings.toml").read_text("utf-8"))


def test_every_column_has_words_in_six_languages():
    assert set(TABLE) >= {*headings.SESSION, *headings.PIECE, "totals", "months"}
    assert all(set(words) == {"en", "de", "fr", "es", "nl", "it"} for words in TABLE.values())
    assert all(len(names) == 12 for names in TABLE["months"].values())


def test_what_a_heading_may_mean_is_a_column_of_the_diary():
    columns = {*schema.DIARY.names, *schema.PIECES.names, "hours", "passed_over"}
    assert {*headings.SESSION, *headings.PIECE} <= columns


@pytest.mark.parametrize(
    ("text", "meaning"),
    [
        ("Gestickt am", "date"),
        ("Stiches", "stitches"),
        ("Nb de points", "stitches"),
        ("X's", "stitches"),
        ("Tijd (min)", "minutes"),
        ("Start time", "passed_over"),
        ("% complete", "percent"),
        ("Totale finora", "so_far"),
        ("mood", ""),
    ],
)
def test_a_heading_of_a_session_is_known(text, meaning):
    assert headings.meaning(text, headings.SESSION)[0] == meaning


def test_the_folders_own_words_come_first():
    assert headings.meaning("Zeit", headings.SESSION, {"note": ["zeit"]}) == ("note", 1.0)
