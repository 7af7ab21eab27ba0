"""Pictures found by where they lie and what they are called, dated, and set before and after a period."""

import pandas as pd
import pytest
from PIL import Image

from stitchlog import open_diary
from stitchlog.model import pictures

DIARY = """piece,date,stitches,photo
Otter Creek,2026-01-05,10,
Otter Creek,2026-01-20,10,photos/day.png
Otter Creek II,2026-01-08,10,
Fée Verte,2026-01-09,10,
Fée Verte,2026-02-09,10,
"""


@pytest.fixture
def folder(tmp_path):
    (tmp_path / "diary.csv").write_text(DIARY, "utf-8")
    return tmp_path


def shot(folder, path, exif="", kind=None):
    place = folder / path
    place.parent.mkdir(parents=True, exist_ok=True)
    image = Image.new("RGB", (8, 8), "teal")
    camera = image.getexif()
    if exif:
        camera.get_ifd(0x8769)[0x9003] = exif
    image.save(place, kind, exif=camera)
    return place


def test_whose_and_of_which_day_each_picture_is(folder):
    shot(folder, "photos/day.png")
    shot(folder, "photos/Otter Creek/IMG_20260103_181500.jpg")
    shot(folder, "photos/otter-creek-ii-2026-01-07.png")
    shot(folder, "OTTER_CREEK 04.02.2026.jpg")
    shot(folder, "photos/fee_verte/a.jpg", exif="2026:01:08 20:15:00")
    shot(folder, "photos/fee verte/b.jpg", exif="0000:00:00 00:00:00")
    shot(folder, "photos/somebody.jpg")
    shot(folder, "reports/review/otter-creek-2026-01-01.png")
    (folder / "stitchlog.toml").write_text('date_order = "day-first"\n')
    diary = open_diary(folder)
    found = [(p, path, str(day)[:10], by) for p, path, day, by in pictures.of(diary).itertuples(index=False)]
    assert found == [
        ("Otter Creek", "photos/Otter Creek/IMG_20260103_181500.jpg", "2026-01-03", "name"),
        ("Otter Creek II", "photos/otter-creek-ii-2026-01-07.png", "2026-01-07", "name"),
        ("Fée Verte", "photos/fee_verte/a.jpg", "2026-01-08", "EXIF"),
        ("Otter Creek", "photos/day.png", "2026-01-20", "cell"),
        ("Otter Creek", "OTTER_CREEK 04.02.2026.jpg", "2026-02-04", "name"),
        ("Fée Verte", "photos/fee verte/b.jpg", "NaT", ""),
    ]
    assert pictures.of(diary.at("2026-01-10"), "otter creek")["path"].str.contains("103_18").tolist() == [True]
    assert "1 picture without a date is not shown, such as photos/fee verte/b.jpg" in pictures.say_undated(
        pictures.undated(diary)
    )


def test_before_and_after_a_month(folder):
    shot(folder, "photos/day.png")
    shot(folder, "photos/otter creek/2025-12-20.jpg")
    shot(folder, "photos/otter creek/2026-01-04.jpg")
    shot(folder, "photos/otter creek/2026-02-01.jpg")
    (folder / "photos/otter creek/2026-01-30.jpg").write_bytes(b"\xff\xd8\xff broken")
    shot(folder, "photos/otter creek ii/2026-01-08.jpg")
    shot(folder, "photos/otter creek ii/2026-01-20.jpg")
    diary = open_diary(folder)
    shown = pictures.before_after(diary, "2026-01-01", "2026-01-31").set_index("piece")
    otter, second, fee = (shown.loc[piece] for piece in ("Otter Creek", "Otter Creek II", "Fée Verte"))
    assert (otter["before"], otter["after"]) == ("photos/otter creek/2026-01-04.jpg", "photos/day.png")
    assert otter["after_date"] == pd.Timestamp("2026-01-20")
    assert otter["unreadable"] == ["photos/otter creek/2026-01-30.jpg"]
    assert (second["before_date"].day, second["after_date"].day) == (8, 20)
    assert (fee["before"], fee["after"]) == ("", "") and pd.isna(fee["before_date"])
    assert pictures.to_photograph(diary, "2026-01-01", "2026-01-31") == ["Fée Verte"]
    said = pictures.say_unreadable(shown)
    assert said.startswith("photos/otter creek/2026-01-30.jpg cannot be opened")
    assert pictures.before_after(diary, "2025-01-01", "2025-01-31").empty


def test_a_phones_heic_reads(folder):
    heif = pytest.importorskip("pillow_heif")
    heif.register_heif_opener()
    shot(folder, "photos/fee verte/IMG_0042.HEIC", exif="2026:01:31 07:00:00", kind="HEIF")
    diary = open_diary(folder)
    (row,) = pictures.before_after(diary, "2026-01-09", "2026-01-31").query("piece == 'Fée Verte'").to_dict("records")
    assert (row["after"], row["after_date"].day) == ("photos/fee verte/IMG_0042.HEIC", 31)


def test_the_demo_has_its_pictures():
    from tests.conftest import DEMO

    diary = open_diary(DEMO)
    found = pictures.of(diary)
    assert set(found["dated_by"]) >= {"cell"} and found["date"].notna().all()
