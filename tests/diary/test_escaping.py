"""What leaves the folder is safe to open, and reads back as it was."""

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stitchlog.diary import escaping


@pytest.mark.parametrize("text", ["=1+1", "+cmd", "-x", "@SUM(A1)", "\t=1", "\r=1", "\n=1", "  =1+1", "'=1", "\uff1d1"])
def test_what_a_spreadsheet_would_run_has_an_apostrophe_in_front(text):
    # The list of first characters: OWASP, CSV Injection.
    assert escaping.cell(text) == "'" + text and escaping.restore(escaping.cell(text)) == text


@pytest.mark.parametrize("text", ["", "Otter Creek", "12", "-12.5", "+7", "a=1", "2026-10-31", "1,5", "<b>"])
def test_everything_else_stays_as_it_is(text):
    assert escaping.cell(text) == text


@given(st.text())
def test_any_text_comes_back(text):
    assert escaping.restore(escaping.cell(text)) == text


def test_a_table_for_spreadsheets_reads_back(tmp_path):
    frame = pd.DataFrame(
        {
            "piece": ["=1+1", "NA", "-", 'a "b", c', "'tis", "Café", "line\nbreak", "", "None"],
            "stitches": [-1.5, 2.0, np.nan, 3.25, 0.0, 1e6, 7.0, 8.0, 9.0],
            "sessions": [-1, 2, 3, 4, 5, 6, 7, 8, 9],
            "date": pd.to_datetime(["2026-10-31", None, *["2026-01-01"] * 7]),
            "done": [True, False, True, True, False, False, True, True, False],
            "=code": ["-5", "007", "1e5", "@x", "+", "x", "y", "z", "w"],
        }
    )
    path = tmp_path / "table.csv"
    escaping.to_csv(frame, path)
    text = path.read_bytes().decode("utf-8-sig")
    assert text.splitlines()[0] == "piece,stitches,sessions,date,done,'=code"
    assert text.splitlines()[1] == "'=1+1,-1.5,-1,2026-10-31,True,-5"
    back = pd.read_csv(path, encoding="utf-8-sig", keep_default_na=False, na_values=[""])
    assert back["piece"].fillna("").map(escaping.restore).tolist() == frame["piece"].tolist()
    assert back["'=code"].map(escaping.restore).tolist() == frame["=code"].tolist()
    pd.testing.assert_frame_equal(back[["stitches", "sessions", "done"]], frame[["stitches", "sessions", "done"]])
    assert back["date"].fillna("").tolist() == ["2026-10-31", "", *["2026-01-01"] * 7]


def test_text_with_accents_is_marked_as_utf_8_and_other_text_is_not(tmp_path):
    escaping.to_csv(pd.DataFrame({"piece": ["Café"]}), tmp_path / "a.csv")
    escaping.to_csv(pd.DataFrame({"piece": ["Cafe"]}), tmp_path / "b.csv")
    assert (tmp_path / "a.csv").read_bytes().startswith(b"\xef\xbb\xbf")
    assert (tmp_path / "b.csv").read_bytes() == b"piece\r\nCafe\r\n"


@pytest.fixture
def folder(tmp_path):
    folder = tmp_path / "diary"
    (folder / "photos").mkdir(parents=True)
    for path in (folder / "photos" / "a.jpg", tmp_path / "secret.jpg", folder / "diary.csv"):
        path.write_bytes(b"x")
    (folder / "link.jpg").symlink_to(tmp_path / "secret.jpg")
    (folder / "out").symlink_to(tmp_path)
    (folder / "again.jpg").symlink_to(folder / "photos" / "a.jpg")
    return folder


@pytest.mark.parametrize("photo", ["photos/a.jpg", " photos\\a.jpg ", "./photos/../photos/a.jpg", "again.jpg"])
def test_a_picture_inside_the_folder_is_found(folder, photo):
    assert escaping.inside(folder, photo) == (folder / "photos" / "a.jpg").resolve()


@pytest.mark.parametrize(
    "photo",
    [
        "",
        "../secret.jpg",
        "photos/../../secret.jpg",
        "link.jpg",
        "out/secret.jpg",
        "diary.csv",
        "none.jpg",
        "photos",
        "a\0.jpg",
    ],
)
def test_nothing_else_is(folder, photo):
    assert escaping.inside(folder, photo) is None
    assert escaping.inside(folder, str(folder.parent / "secret.jpg")) is None
