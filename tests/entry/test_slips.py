"""What `check` tells of that reads well and may be a slip."""

import datetime as dt

import pytest

from stitchlog.entry import slips
from tests.diary.reading.folders import found, read

HEAD = "piece,date,stitches,so_far\n"
FULL = "piece,total,finished\nOtter,5000,\n"


def told(diary, today=None, pieces=FULL):
    return found(slips.told(read(HEAD + diary, pieces=pieces), today))


@pytest.mark.parametrize(
    ("diary", "where"),
    [
        ("Otter,2026-01-01,5,\nOtter,2026-01-01,5,\n", ("diary.csv", 3, "piece", "session-twice")),
        ("Otter,2026-01-01,5,\nOtter,2026-03-01,5,\n", ("diary.csv", 3, "date", "day-ahead")),
        ("Otter,2026-01-01,,0.45\n", ("diary.csv", 2, "so_far", "share-so-far")),
        (
            "Otter,2026-01-01,5,\nOtter,2026-01-02,6,\nOtter,2026-01-03,7,\nOtter,2026-01-31,18,\n",
            ("diary.csv", 5, "stitches", "row-of-totals"),
        ),
    ],
)
def test_a_session_that_may_be_a_slip_is_told(diary, where):
    assert told(diary, dt.date(2026, 2, 1)) == [where]


def test_a_row_of_totals_is_known_by_its_name():
    assert told("Total,2026-01-01,5,\n", pieces="piece,total\nTotal,9\n") == [
        ("diary.csv", 2, "piece", "row-of-totals"),
        ("pieces.csv", 2, "piece", "row-of-totals"),
    ]


def test_a_piece_without_a_total_has_no_forecast():
    assert told("Otter,2026-01-01,5,\n", pieces="piece,total\nOtter,\n") == [
        ("pieces.csv", 2, "total", "piece-no-total")
    ]


def test_a_piece_finished_far_below_its_total_is_told():
    pieces = "piece,total,finished\nOtter,5000,2026-01-02\nFox,10,2026-01-02\n"
    assert told("Otter,2026-01-01,5,\nFox,2026-01-01,9.5,\n", pieces=pieces) == [
        ("pieces.csv", 2, "finished", "finished-early")
    ]


def test_names_that_differ_by_a_slip_are_told_and_by_a_number_are_not():
    pieces = "piece,total\nOtter Creek,10\nOter Creek,10\nBand 1,10\nBand 2,10\n"
    assert told("", pieces=pieces) == [("pieces.csv", 3, "piece", "name-twice")]
