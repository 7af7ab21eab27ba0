"""What people write in a diary's cells: percentages, sizes, a fabric's count, goals of a month."""

import pytest

from stitchlog.diary.reading import sizes
from tests.diary.reading.folders import HEAD, codes, column, counts, read

ONE = HEAD + "A,2026-01-01,5,,\n"


def test_percentages_count_what_the_piece_rose_by():
    diary = "piece,date,percent\nA,2026-01-01,10%\nA,2026-01-02,12.5\nA,2026-01-03,25 %\n"
    reading = read(diary, pieces="piece,size\nA,20 x 50\n")
    assert column(reading, "stitches") == [100.0, 25.0, 125.0] and codes(reading) == []


def test_a_percentage_without_a_total_is_told_and_counts_nothing_yet():
    reading = read("piece,date,percent\nA,2026-01-01,10\n", pieces="piece\nA\n")
    assert column(reading, "stitches") == [0.0] and codes(reading) == ["no-total"]


def test_a_count_of_its_own_goes_before_a_percentage():
    reading = read("piece,date,stitches,percent\nA,2026-01-01,40,10\n", pieces="piece,total\nA,1000\n")
    assert column(reading, "stitches") == [40.0]


def test_more_than_all_of_a_piece_is_left_out():
    reading = read("piece,date,percent\nA,2026-01-01,101\n", pieces="piece,total\nA,1000\n")
    assert codes(reading) == ["bad-percent"] and counts(reading) == (1, 0, 1)


@pytest.mark.parametrize(
    ("text", "meant"),
    [
        ("28", (28, None)),
        ("28ct over 2", (28, 2)),
        ("28 count over two", (28, 2)),
        ("32ct linen, over 1", (32, None)),
        ("16-count", (16, None)),
        ("12.5", (12.5, None)),
        ("18 ct.", (18, None)),
        ("linen", None),
        ("2 pieces", None),
    ],
)
def test_a_fabric_count_reads_as_people_write_it(text, meant):
    assert sizes.count_over(text) == meant


@pytest.mark.parametrize(
    ("text", "meant"),
    [
        ("150w x 200h", (150, 200)),
        ("200h x 150w", (150, 200)),
        ("150 x 200", (150, 200)),
        ("150×200 stitches", (150, 200)),
        ('150 x 200 (7.5" x 10")', (150, 200)),
        ("150 wide by 200 high", (150, 200)),
        ("20 x 30 cm", None),
        ('7.5" x 10"', None),
        ("large", None),
    ],
)
def test_a_size_reads_as_people_write_it(text, meant):
    assert sizes.size(text) == meant


def test_a_size_gives_the_width_the_height_and_the_total():
    reading = read(ONE, pieces="piece,size,count\nA,150w x 200h,28ct over 2\n")
    assert [column(reading, name, "pieces") for name in ("width", "height", "total", "count", "over")] == [
        [150.0],
        [200.0],
        [30000.0],
        [28.0],
        [2.0],
    ]


def test_goals_purchases_and_fabrics_are_tables_of_their_own():
    reading = read(
        ONE,
        goals="month,goal,piece,kind,amount\nOctober 2026,a third of it,a,percent,33\n",
        bought="date,what,name,from,cost\n2026-01-05,fabric,A quarter of linen,the market,12.50\n",
        fabrics="name,count,colour,width_cm\nOld linen,32ct,#EEE,50\n",
    )
    assert column(reading, "month", "goals") == ["2026-10"] and column(reading, "piece", "goals") == ["A"]
    assert column(reading, "cost", "bought") == [12.5] and column(reading, "colour", "fabrics") == ["#EEEEEE"]
    assert column(reading, "count", "fabrics") == [32.0] and codes(reading) == []


@pytest.mark.parametrize(
    ("text", "cm"),
    [
        ("45", 45),
        ("45 cm", 45),
        ("18 in", 45.72),
        ('18"', 45.72),
        ("19.5 inches", 49.53),
        ("0.5 m", 50),
        ("450 mm", 45),
    ],
)
def test_a_cut_is_measured_in_centimetres_or_inches(text, cm):
    cell = '"' + text.replace('"', '""') + '"'
    reading = read(ONE, fabrics=f"name,width_cm\nScrap,{cell}\n")
    assert reading.tables["fabrics"]["width_cm"].to_pylist() == [pytest.approx(cm)] and codes(reading) == []


def test_a_measure_that_is_none_is_told():
    reading = read(ONE, fabrics="name,width_cm\nScrap,a yard\n")
    assert len(codes(reading)) == 1
