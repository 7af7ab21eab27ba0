import base64
import io
import re

import pytest
from PIL import Image

from stitchlog import open_diary
from stitchlog.reports import review
from stitchlog.reports.review import storyboard


@pytest.fixture
def recap(tmp_path):
    exif = Image.Exif()
    exif[0x0112], exif[0x010F] = 6, "SecretMaker"
    Image.new("RGB", (300, 200), "#3b7d3f").save(tmp_path / "a.jpg", exif=exif)
    Image.new("RGB", (600, 200), "#3b7d3f").save(tmp_path / "b.png")
    pieces = 'piece,total\n"Fern <b>&""Gate""",1000\nMoss,500\nUnsized,\n'
    rows = '"Fern <b>&""Gate""",2026-09-20,200,a.jpg,\n'
    rows += '"Fern <b>&""Gate""",2026-10-02,100,b.png,<script>alert(1)</script>\n'
    rows += "Moss,2026-10-03,50,../a.jpg,\nUnsized,2026-10-04,30,,\n"
    (tmp_path / "pieces.csv").write_text(pieces, "utf-8")
    (tmp_path / "diary.csv").write_text(f"piece,date,stitches,photo,note\n{rows}", "utf-8")
    return review.recap(open_diary(tmp_path), "2026-10-01", "2026-10-31")


def _pictures(text: str) -> list[Image.Image]:
    found = re.findall(r'src="data:image/jpeg;base64,([^"]+)"', text)
    return [Image.open(io.BytesIO(base64.b64decode(data))) for data in found]


def test_before_and_after_are_upright_small_and_without_data(recap):
    text = storyboard.storyboard_html(recap)
    before, after = _pictures(text)
    assert before.height > before.width  # the camera lay on its side
    assert after.width > after.height
    for image in (before, after):
        assert not image.getexif()
        assert image.width <= 640 and image.height <= 480
    assert "SecretMaker" not in text


def test_pictures_have_words_and_days(recap):
    text = storyboard.storyboard_html(recap)
    assert re.findall(r'alt="([^"]*)"', text) == [
        "Fern &lt;b&gt;&amp;&quot;Gate&quot; on 20 September 2026",
        "Fern &lt;b&gt;&amp;&quot;Gate&quot; on 2 October 2026",
    ]
    assert re.findall(r"<figcaption>(.*?)</figcaption>", text) == ["20 September 2026", "2 October 2026"]


def test_what_the_stitcher_wrote_is_text(recap):
    text = storyboard.storyboard_html(recap)
    assert "<b>" not in text and "<script" not in text
    assert "&lt;script&gt;" in text


def test_a_piece_without_a_picture_has_a_bar_that_says_its_share(recap):
    text = storyboard.storyboard_html(recap)
    assert re.findall(r'aria-label="([^"]*)"', text) == ["Moss: 0% to 10%"]
    assert "../a.jpg" in storyboard.say_pictures(recap)


def test_sections_follow_the_running_order(recap):
    headings = re.findall(r"<h3[^>]*>(\d+)\. ", storyboard.storyboard_html(recap))
    assert headings == [str(order) for order in recap.pieces["order"]]
