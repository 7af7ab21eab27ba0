import io

import pytest
from PIL import Image

from stitchlog import open_diary, review
from stitchlog.reports.review import wipes


@pytest.fixture(scope="module")
def recap(tmp_path_factory):
    folder = tmp_path_factory.mktemp("wipes")
    Image.new("RGB", (90, 70), (200, 30, 30)).save(folder / "before.png")
    Image.new("RGB", (90, 70), (10, 120, 60)).save(folder / "after.png")
    rows = "Otter,2026-09-10,900,before.png\nOtter,2026-10-02,123,after.png\nHare,2026-10-03,10,\n"
    (folder / "diary.csv").write_text(f"piece,date,stitches,photo\n{rows}", "utf-8")
    return review.recap(open_diary(folder), "2026-10-01", "2026-10-31")


def test_a_film_of_four_seconds_and_the_size_asked(recap):
    av = pytest.importorskip("av")
    found = wipes.clips(recap, "square")
    assert list(found) == ["clips/01-otter.mp4"]
    with av.open(io.BytesIO(found["clips/01-otter.mp4"])) as film:
        frames = [frame.to_image() for frame in film.decode(video=0)]
    assert len(frames) == 4 * 25 and {f.size for f in frames} == {(1080, 1080)}
    middle = [f.getpixel((540, 300)) for f in frames]
    assert middle[0][0] > middle[0][1] and middle[-1][0] < middle[-1][1]
    assert "in review/clips." in wipes.say_clips(found)


def test_an_animated_picture_without_the_extra(recap, monkeypatch):
    monkeypatch.setattr(wipes, "find_spec", lambda name: None)
    found = wipes.clips(recap, "wide")
    assert list(found) == ["clips/01-otter.png"]
    image = Image.open(io.BytesIO(found["clips/01-otter.png"]))
    lasts = 0.0
    for frame in range(image.n_frames):
        image.seek(frame)
        lasts += image.info["duration"]
    assert image.size == (1920, 1080) and lasts == pytest.approx(4000)
    assert 'pip install "stitchlog[clip]"' in wipes.say_clips(found)


def test_none_where_none_is_asked_for(recap):
    assert wipes.clips(recap, make=False) == {} and wipes.say_clips({}) == ""
