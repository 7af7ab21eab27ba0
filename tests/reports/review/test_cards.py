import io

import numpy as np
import pytest
from PIL import Image, ImageColor

from stitchlog import StitchlogError, open_diary
from stitchlog.render import pictures, theme
from stitchlog.reports import review
from stitchlog.reports.review import cards

LONG = "The Very Long and Winding Name of a Sampler That Has Been on the Frame Since Before Anybody Can Remember It"
UNBROKEN = "Donaudampfschifffahrtselektrizitätenhauptbetriebswerkbauunterbeamtengesellschaft"
NAMES = [
    "Otter Creek",
    LONG,
    UNBROKEN,
    "<b>&amp; \"quoted\" 'name'",
    "日本の橋と雪の山と月と花",
    "Unsized",
    "مركب صغير",
    "W" * 60,
]
PERIOD = ("2026-10-01", "2026-10-31")


def _picture(path, size, exif=None):
    image = Image.new("RGB", size, (10, 120, 60))
    image.paste((200, 30, 30), (0, 0, size[0] // 2, size[1]))
    image.save(path, exif=exif or Image.Exif(), quality=95)


@pytest.fixture(scope="module")
def recap(tmp_path_factory):
    folder = tmp_path_factory.mktemp("cards")
    exif = Image.Exif()
    exif[0x0112], exif[0x010F] = 6, "SecretMaker"
    _picture(folder / "before.jpg", (900, 600))
    _picture(folder / "after.jpg", (900, 600), exif)
    quoted = ['"' + n.replace('"', '""') + '"' for n in NAMES]
    pieces = "".join(f"{q},{'' if n == 'Unsized' else 3000},32,2,2,linen\n" for q, n in zip(quoted, NAMES, strict=True))
    rows = f"{quoted[0]},2026-09-10,900,,before.jpg\n{quoted[0]},2026-10-02,123,90,after.jpg\n"
    rows += f"{quoted[1]},2026-10-03,140,,after.jpg\n"
    rows += "".join(f"{q},2026-10-{i:02d},{100 + i},30,missing.jpg\n" for i, q in enumerate(quoted[2:], 4))
    (folder / "pieces.csv").write_text(f"piece,total,count,over,strands,fabric\n{pieces}", "utf-8")
    (folder / "diary.csv").write_text(f"piece,date,stitches,minutes,photo\n{rows}", "utf-8")
    return review.recap(open_diary(folder), *PERIOD)


@pytest.fixture(scope="module", params=list(cards.SIZES))
def made(recap, request):
    return request.param, cards.draw_cards(recap, request.param)


def _open(png: bytes) -> Image.Image:
    return Image.open(io.BytesIO(png))


def test_an_opening_one_a_piece_and_a_closing(recap, made):
    _, found = made
    assert next(iter(found)) == "cards/00-opening.png"
    assert list(found)[1] == "cards/01-otter-creek.png"
    assert [path for path in found if "piece" in path or "closing" in path][-1].endswith("-closing.png")
    assert list(found)[-2:] == ["cards/thumbnail.png", "cards/contact-sheet.png"]
    numbered = [path for path in found if path[6:8].isdigit()]
    assert numbered == sorted(numbered) and len(numbered) >= len(NAMES) + 2
    assert all(path.isascii() and len(path) < 90 for path in found)


def test_cards_are_exactly_as_large_as_asked(made):
    size, found = made
    for path, png in found.items():
        image = _open(png)
        assert (image.format, image.size) == ("PNG", cards.SIZES[size]), path


def test_nothing_reaches_into_the_margins(made):
    """Every pixel of the margins is paper, but for pictures, which reach the edges: no name or figure is cut."""
    size, found = made
    margin = cards.MARGIN[size] // 2 - 8
    paper = np.array(ImageColor.getrgb(theme.PAPER))
    for path, png in found.items():
        if any(name in path for name in ("otter-creek", "the-very-long", "thumbnail")):
            continue
        pixels = np.asarray(_open(png).convert("RGB"))
        inner = np.zeros(pixels.shape[:2], dtype=bool)
        inner[margin:-margin, margin:-margin] = True
        assert (pixels[~inner] == paper).all(), path


def test_pictures_fill_half_of_the_frame(recap, made):
    _, found = made
    pixels = np.asarray(_open(found["cards/01-otter-creek.png"]).convert("RGB")).astype(int)
    red, green = ((abs(pixels - colour) < 12).all(axis=2) for colour in ([200, 30, 30], [10, 120, 60]))
    assert (red | green).mean() >= 0.4  # of one wide and one upright picture; the rest of their cells is out of focus


def test_an_overlay_is_a_strip_on_nothing(recap):
    found = cards.draw_cards(recap, overlay=True)
    assert {path for path in found if not path[6:8].isdigit()} == set()
    for path, png in found.items():
        image = _open(png)
        assert (image.size, image.mode) == ((1920, 1080), "RGBA"), path
        alpha = np.asarray(image)[:, :, 3]
        assert not alpha[: 1080 * 2 // 3].any() and (alpha[800:1000] > 200).all(), path


def test_pictures_stand_upright_at_one_scale_and_without_data(recap, made):
    _, found = made
    png = found["cards/01-otter-creek.png"]
    assert b"SecretMaker" not in png
    pixels = np.asarray(_open(png).convert("RGB")).astype(int)
    red = (abs(pixels - [200, 30, 30]) < 12).all(axis=2)
    green = (abs(pixels - [10, 120, 60]) < 12).all(axis=2)
    # As taken: red to the left of green. Turned clockwise: red above green. Both at one scale, side by side or stacked.
    both = red | green
    side_by_side = pixels.shape[1] >= pixels.shape[0]
    middle = pixels.shape[1] // 2 if side_by_side else (1920 - 620) // 2
    first = np.zeros_like(both)
    first[(slice(None), slice(0, middle)) if side_by_side else (slice(0, middle), slice(None))] = True
    assert np.argwhere(red & first)[:, 1].max() <= np.argwhere(green & first)[:, 1].min() + 3
    assert np.argwhere(red & ~first)[:, 0].max() <= np.argwhere(green & ~first)[:, 0].min() + 3


def test_a_picture_that_is_missing_leaves_the_drawn_progress(recap):
    row = recap.story.set_index("piece").loc[UNBROKEN].to_dict() | {"piece": UNBROKEN}
    assert row["after_photo"] == "" and row["unreadable"] == ["missing.jpg"]
    assert pictures.of_period(recap.folder, row) == []


@pytest.mark.parametrize(
    ("before", "after", "kinds"),
    [
        (0.0, 0.0, {".": 100}),
        (0.25, 0.5, {"o": 25, "x": 25, ".": 50}),
        (0.0, 0.002, {"x": 1, ".": 99}),
        (0.801, 0.803, {"o": 80, "x": 1, ".": 19}),
        (0.99, 0.999, {"o": 98, "x": 1, ".": 1}),
        (0.999, 1.0, {"o": 99, "x": 1}),
        (1.0, 1.0, {"o": 100}),
        (0.5, 0.4, {"o": 40, ".": 60}),
        (0.0, 1.0, {"x": 100}),
    ],
)
def test_a_piece_as_a_hundred_stitches(before, after, kinds):
    found = cards.hundredths({"before_share": before, "after_share": after})
    assert {k: found.count(k) for k in "ox." if k in found} == kinds


def test_the_figures_are_those_of_the_frame(recap):
    row = recap.pieces.iloc[0].to_dict()
    assert cards.figures_of(row) == (("123", "stitches"), ("1", "day"), ("1 h 30", "at the needle"))
    untimed = recap.pieces.iloc[1].to_dict()
    assert cards.figures_of(untimed) == (("140", "stitches"), ("1", "day"), ("1", "session"))
    estimated = cards.figures_of(row | {"estimated": 1, "sessions": 2})
    assert estimated[0] == ("≈ 123", "stitches, partly estimated")


def test_another_shape_is_refused(recap):
    with pytest.raises(StitchlogError, match="wide, square or tall"):
        cards.draw_cards(recap, "round")


def test_a_period_without_a_session_has_an_opening_and_a_closing(tmp_path):
    (tmp_path / "diary.csv").write_text("piece,date,stitches\nMoss,2026-09-02,5\n", "utf-8")
    found = cards.draw_cards(review.recap(open_diary(tmp_path), *PERIOD))
    assert list(found) == ["cards/00-opening.png", "cards/01-closing.png", "cards/thumbnail.png"]
    assert _open(found["cards/00-opening.png"]).size == (1920, 1080)
