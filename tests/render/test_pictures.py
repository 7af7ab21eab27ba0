import io
import os

import pytest
from PIL import Image, ImageCms, PngImagePlugin

from stitchlog.render import pictures, theme

RED, BLUE = (200, 30, 30), (30, 30, 200)


def _half_red(size=(80, 40)) -> Image.Image:
    """Left half red, right half blue."""
    image = Image.new("RGB", size, BLUE)
    image.paste(RED, (0, 0, size[0] // 2, size[1]))
    return image


def _near(pixel, colour, by=40) -> bool:
    return all(abs(a - b) < by for a, b in zip(pixel, colour, strict=True))


@pytest.mark.parametrize(
    ("orientation", "size", "red_at"),
    [(1, (80, 40), (5, 20)), (3, (80, 40), (75, 20)), (6, (40, 80), (20, 5)), (8, (40, 80), (20, 75))],
)
def test_a_picture_is_upright_as_the_camera_meant(tmp_path, orientation, size, red_at):
    """Orientation as in the Exif standard (CIPA DC-008, tag 0x0112; from memory): 3 is to be turned by 180 degrees, 6
    by 90 degrees clockwise, 8 by 90 degrees counter-clockwise."""
    exif = Image.Exif()
    exif[0x0112] = orientation
    _half_red().save(tmp_path / "a.jpg", exif=exif, quality=95)
    image = pictures.load(tmp_path, "a.jpg")
    assert image.size == size
    assert _near(image.getpixel(red_at), RED)


def test_nothing_of_camera_or_place_is_left(tmp_path):
    exif = Image.Exif()
    exif[0x010F] = "SecretMaker"
    exif.get_ifd(0x8825)[2] = (51.0, 30.0, 0.0)
    _half_red().save(tmp_path / "a.jpg", exif=exif, comment=b"SecretMaker")
    info = PngImagePlugin.PngInfo()
    info.add_text("Comment", "SecretMaker")
    _half_red().save(tmp_path / "b.png", pnginfo=info)
    for name in ("a.jpg", "b.png"):
        image = pictures.load(tmp_path, name)
        assert not image.getexif()
        data = io.BytesIO()
        image.save(data, "PNG")
        assert b"SecretMaker" not in data.getvalue()
        assert "SecretMaker" not in pictures.uri(image)
        assert image.info == {}


def test_large_pictures_are_made_small(tmp_path):
    _half_red((3000, 1500)).save(tmp_path / "a.jpg")
    assert pictures.load(tmp_path, "a.jpg").size == (pictures.LARGEST, pictures.LARGEST // 2)


@pytest.mark.parametrize("mode", ["L", "P", "RGBA", "LA", "CMYK", "1", "I;16"])
def test_every_kind_of_picture_becomes_plain_colours(tmp_path, mode):
    name = "a.jpg" if mode == "CMYK" else "a.png"
    Image.new(mode, (20, 10)).save(tmp_path / name)
    image = pictures.load(tmp_path, name)
    assert (image.mode, image.size) == ("RGB", (20, 10))


def test_what_is_clear_shows_paper(tmp_path):
    Image.new("RGBA", (10, 10), (0, 0, 0, 0)).save(tmp_path / "a.png")
    assert "#{:02x}{:02x}{:02x}".format(*pictures.load(tmp_path, "a.png").getpixel((5, 5))) == theme.PAPER


def test_a_colour_profile_is_turned_into_common_colours(tmp_path):
    lab = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    _half_red().save(tmp_path / "a.png", icc_profile=lab)
    assert _near(pictures.load(tmp_path, "a.png").getpixel((5, 5)), RED, 4)
    _half_red().save(tmp_path / "b.png", icc_profile=b"not a profile")
    assert _near(pictures.load(tmp_path, "b.png").getpixel((5, 5)), RED, 4)


@pytest.mark.parametrize(
    "path", ["", " ", "none.jpg", "../out.png", "sub/../../out.png", "{folder}/../out.png", "link.png", "."]
)
def test_no_path_leads_out_of_the_folder(tmp_path, path):
    folder = tmp_path / "diary"
    (folder / "sub").mkdir(parents=True)
    _half_red().save(tmp_path / "out.png")
    os.symlink(tmp_path / "out.png", folder / "link.png")
    assert pictures.load(folder, path.format(folder=folder)) is None


def test_either_slash_will_do(tmp_path):
    (tmp_path / "photos").mkdir()
    _half_red().save(tmp_path / "photos" / "a.png")
    assert pictures.load(tmp_path, "photos\\a.png") is not None


@pytest.mark.parametrize("content", [b"", b"no picture", b"\x89PNG\r\n\x1a\n broken", b"\xff\xd8\xff\xe0 broken"])
def test_what_is_broken_is_no_picture(tmp_path, content):
    (tmp_path / "a.png").write_bytes(content)
    assert pictures.load(tmp_path, "a.png") is None


def test_half_a_picture_is_no_picture(tmp_path):
    _half_red((400, 400)).save(tmp_path / "a.jpg")
    whole = (tmp_path / "a.jpg").read_bytes()
    (tmp_path / "a.jpg").write_bytes(whole[: len(whole) // 2])
    assert pictures.load(tmp_path, "a.jpg") is None


def test_a_picture_that_would_exhaust_the_memory_is_not_opened(tmp_path, monkeypatch):
    monkeypatch.setattr(Image, "MAX_IMAGE_PIXELS", 1000)
    _half_red().save(tmp_path / "a.png")
    assert pictures.load(tmp_path, "a.png") is None
