import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import ImageFont

from stitchlog.render import lettering

NAMES = st.text(st.characters(exclude_categories=("Cs", "Cc")), max_size=120)


@given(NAMES, st.integers(120, 2000), st.integers(20, 600))
def test_nothing_is_lost_and_everything_fits(text, across, down):
    lines, size = lettering.fit(text, across, down, (92, 60, 40))
    assert "".join("".join(lines).split()) == "".join(text.split())
    if size >= 2:
        assert len(lines) * size * 1.16 <= down
        # One letter alone may be wider than a line; no two are.
        assert all(lettering.width(line, size) <= across or len(line) <= 2 for line in lines)


@given(st.text("abcdefgh ", max_size=80))
def test_words_stay_whole_where_they_can(text):
    assert [w for line in lettering.wrap(text, 40, 4000) for w in line.split()] == text.split()


def test_the_largest_size_that_fits_is_taken():
    assert lettering.fit("Otter Creek", 1000, 120, (92, 60, 40))[1] == 92
    assert lettering.fit("Otter Creek", 430, 60, (92, 60, 40))[1] == 40


def test_letters_keep_their_marks():
    text = "e\u0301" * 40
    lines = lettering.wrap(text, 40, 200)
    assert all(not unicodedata.combining(line[0]) for line in lines)


@pytest.mark.parametrize("face", ["LiberationSans-Regular.ttf", "LiberationSans-Bold.ttf"])
def test_no_text_comes_out_wider_than_said(face):
    """Against the font itself, where this machine has it."""
    try:
        font = ImageFont.truetype(face, 1000)
    except OSError:
        pytest.skip("the font is not on this machine")
    letters = "".join(map(chr, range(32, 127))) + "ÀÉîöüßøØñçåšž–—“”‘’…·×"
    for letter in letters:
        assert font.getlength(letter) <= lettering.width(letter, 1000) + 1, letter
