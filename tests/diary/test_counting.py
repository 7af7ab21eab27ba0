"""What a session counts: each rule worked through by hand."""

import pytest

from tests.diary.reading.folders import codes, column, found, read

ALL = "piece,date,stitches,half,quarter,three_quarter,unpicked,so_far,minutes,backstitch,knots,beads,colours\n"


def session(**cells) -> str:
    names = ALL.strip().split(",")
    return ",".join(str({"piece": "A", "date": "2026-01-01", **cells}.get(n, "")) for n in names) + "\n"


def stitches(*rows: str, pieces: str = "piece\nA\nB\n") -> list[float]:
    return column(read(ALL + "".join(rows), pieces=pieces), "stitches")


def test_fractions_count_their_part_and_unpicked_ones_subtract():
    # 100 + 10 x 0.5 + 4 x 0.25 + 4 x 0.75 - 9 = 100
    row = session(stitches=100, half=10, quarter=4, three_quarter=4, unpicked=9, backstitch=50, knots=3, beads=2)
    assert stitches(row) == [100.0]


def test_fractions_alone_and_unpicking_alone_are_sessions():
    assert stitches(session(half=10), session(unpicked=7), session(three_quarter=4, quarter=4)) == [5.0, -7.0, 4.0]


def test_backstitch_knots_and_beads_are_never_stitches():
    reading = read(ALL + session(backstitch=50, minutes=30) + session(knots=3) + session(beads=2))
    assert column(reading, "stitches") == [0.0, 0.0, 0.0] and column(reading, "estimated") == [False] * 3
    assert (column(reading, "backstitch")[0], column(reading, "knots")[1], column(reading, "beads")[2]) == (50, 3, 2)


def test_a_count_to_date_leaves_what_it_rose_by():
    # Before the diary 40. Rows: 100 so far (60), 25 counted, 150 so far (25), 140 so far (10 came out).
    rows = [session(so_far=100), session(stitches=25), session(so_far=150), session(so_far=140)]
    reading = read(ALL + "".join(rows), pieces="piece,done_before\nA,40\n")
    assert column(reading, "stitches") == [60.0, 25.0, 25.0, -10.0]
    assert found(reading) == [("diary.csv", 5, "so_far", "count-fell")]


def test_counts_to_date_go_by_date_then_by_place_in_the_file_each_piece_on_its_own():
    rows = [
        session(so_far=300, date="2026-01-03"),
        session(so_far=100, date="2026-01-01"),
        session(piece="B", so_far=7, date="2026-01-02"),
        session(so_far=180, date="2026-01-02"),
        session(so_far=200, date="2026-01-02"),
    ]
    assert stitches(*rows) == [100.0, 7.0, 80.0, 20.0, 100.0]


def test_fractions_beside_a_count_to_date_are_part_of_it():
    assert stitches(session(so_far=100, half=10), session(so_far=120, unpicked=3)) == [100.0, 20.0]


def test_where_stitches_and_a_count_to_date_disagree_stitches_count_and_it_is_told():
    reading = read(ALL + session(so_far=100) + session(stitches=50, so_far=150) + session(stitches=50, so_far=260))
    assert column(reading, "stitches") == [100.0, 50.0, 50.0]
    assert found(reading) == [("diary.csv", 4, "so_far", "counts-disagree")]


def test_minutes_alone_are_estimated_at_the_pieces_own_pace():
    # A: 120 stitches in 60 minutes and 60 in 60, 1.5 a minute; B has no pace of its own: all stitches over all minutes.
    rows = [
        session(stitches=120, minutes=60),
        session(stitches=60, minutes=60),
        session(minutes=30),
        session(piece="C", stitches=30, minutes=60),
        session(piece="B", minutes=60),
    ]
    reading = read(ALL + "".join(rows))
    assert column(reading, "stitches") == [120.0, 60.0, 45.0, 30.0, pytest.approx(210 / 180 * 60)]
    assert column(reading, "estimated") == [False, False, True, False, True]
    assert codes(reading) == []


def test_counts_to_date_with_minutes_make_a_pace_too():
    assert stitches(session(so_far=90, minutes=60), session(minutes=20)) == [90.0, 30.0]


def test_estimates_take_no_more_than_the_next_count_to_date_leaves():
    # At 2 a minute 60 minutes are 120, and the count rose by 50 only: it is all of it. A rise of 200 leaves 80.
    start = session(stitches=120, minutes=60)
    assert stitches(start, session(minutes=60), session(so_far=170)) == [120.0, 50.0, 0.0]
    assert stitches(start, session(minutes=60), session(so_far=320)) == [120.0, 120.0, 80.0]


def test_without_any_pace_a_timed_session_counts_nothing_and_says_so():
    reading = read(ALL + session(minutes=60))
    assert column(reading, "stitches") == [0.0] and column(reading, "estimated") == [True]
    assert codes(reading) == ["no-pace"]


def test_no_minutes_are_not_a_time():
    reading = read(ALL + session(stitches=100, minutes=0))
    assert column(reading, "minutes") == [None] and codes(reading) == ["zero-minutes"]


def test_colours_have_a_row_each_with_their_count_where_it_is_written():
    reading = read(
        ALL + session(stitches=5, colours=" b12:120 ;B14; C3:1.5;; ") + session(stitches=5), threads="code\nB12\n"
    )
    rows = [(r["code"], r["stitches"], r["line"]) for r in reading.tables["colours"].to_pylist()]
    assert rows == [("B12", 120.0, 2), ("B14", None, 2), ("C3", 1.5, 2)]


def test_a_colour_count_that_cannot_be_read_loses_no_session():
    reading = read(ALL + session(stitches=5, colours="B12:x; :5; B14:-3; B15:7"))
    rows = [(r["code"], r["stitches"]) for r in reading.tables["colours"].to_pylist()]
    assert rows == [("B12", None), ("B14", None), ("B15", 7.0)]
    assert column(reading, "stitches") == [5.0] and codes(reading) == ["bad-colour-count"] * 3


def test_a_total_follows_from_width_height_and_coverage():
    pieces = "piece,total,width,height,coverage\nA,,10,20,0.5\nB,7,10,20,\nC,,10,20,\nD,,10,,\n"
    reading = read(ALL + session(stitches=1), pieces=pieces)
    assert column(reading, "total", "pieces") == [100.0, 7.0, 200.0, None]


@pytest.mark.parametrize(
    ("rows", "code"),
    [
        ([session(stitches=60), session(stitches=60)], "beyond-total"),
        ([session(stitches=90, minutes=5), session(stitches=9, minutes=1)], None),
        ([session(stitches=99, minutes=10)], None),
        ([session(so_far=5000, piece="B")], "first-count"),
        ([session(stitches=700, minutes=60, piece="B")], "odd-pace"),
        ([session(stitches=5, minutes=60, piece="B")], "odd-pace"),
        ([session(stitches=9000, minutes=900, piece="B"), session(stitches=6000, minutes=600, piece="B")], "long-day"),
    ],
)
def test_what_may_be_a_slip_is_kept_and_asked_about(rows, code):
    reading = read(ALL + "".join(rows), pieces="piece,total\nA,100\nB,\n")
    assert codes(reading) == ([code] if code else [])
    assert reading.counts["diary.csv"].left_out == 0


def test_many_questions_of_one_kind_are_cut_and_say_so():
    reading = read(ALL + session(stitches=200, minutes=10) * 140)
    assert codes(reading) == ["odd-pace"] * 100
    assert reading.problems["reason"][99].as_py().endswith("so it is with 40 more")
