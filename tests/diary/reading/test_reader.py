"""Every row is stored or left out, and says why: one broken file a promise, named after its one defect."""

import pytest

from stitchlog.diary.reading import problems
from stitchlog.diary.settings import Settings
from tests.diary.reading import fuzz
from tests.diary.reading.folders import HEAD, codes, column, counts, days, found, read

ONE = HEAD + "A,2026-01-01,5,,\n"


def test_a_row_left_out_is_kept_verbatim_with_its_reason_and_its_mend():
    reading = read(HEAD + 'A,2026-01-01,5,,\nB,2026-01-02, 12o ,30,"rain, ""tea"""\n')
    (row,) = reading.left_out.to_pylist()
    assert (row["file"], row["line"], row["column"], row["value"]) == ("diary.csv", 3, "stitches", " 12o ")
    assert row["row"] == 'B,2026-01-02, 12o ,30,"rain, ""tea"""'
    assert "not a number" in row["reason"] and row["mend"] == problems.MENDS["bad-number"]


def test_a_row_with_several_faults_is_left_out_once_and_all_are_told():
    reading = read(HEAD + "A,2026-13-01,12o,-5,\n")
    assert counts(reading) == (1, 0, 1) and reading.left_out.num_rows == 1
    assert {(c, code) for _, _, c, code in found(reading)} == {
        ("date", "bad-date"),
        ("stitches", "bad-number"),
        ("minutes", "negative"),
    }


def test_identical_rows_both_survive():
    assert counts(read(HEAD + "A,2026-01-01,5,,\n" * 2)) == (2, 2, 0)


@pytest.mark.parametrize(
    "name", ["NA", "None", "null", "nan", "true", "007", "=1+1", "<script>", "../x", "-", "O'Tool"]
)
def test_a_piece_may_have_any_name(name):
    reading = read(HEAD + f"{name},2026-01-01,5,,{name}\n", pieces=f"piece,total\n{name},100\n")
    assert column(reading, "piece") == [name] and column(reading, "note") == [name]
    assert reading.problems.num_rows == 0


def test_letters_composed_two_ways_are_one_piece_spelt_as_pieces_has_it():
    reading = read(HEAD + "cafe\u0301  au LAIT,2026-01-01,5,,\n", pieces="piece\nCaf\u00e9 au Lait\n")
    assert column(reading, "piece") == ["Caf\u00e9 au Lait"] and codes(reading) == []


def test_without_pieces_the_first_spelling_in_the_diary_holds():
    reading = read(HEAD + "OTTER,2026-01-02,5,,\nOtter,2026-01-01,6,,\n")
    assert column(reading, "piece") == ["OTTER", "OTTER"] and column(reading, "known", "pieces") == [False]


@pytest.mark.parametrize(
    ("cells", "where", "code"),
    [
        ("A,,5,,", "date", "missing"),
        (",2026-01-01,5,,", "piece", "missing"),
        ("A,2026-01-01,,,just a note", "stitches", "no-count"),
        ("A,2026-01-01,nan,,", "stitches", "bad-number"),
        ("A,2026-01-01,-1,,", "stitches", "negative"),
        ("A,2026-01-01,1.234,,", "stitches", "unclear-number"),
        ("A,2026-01-01,1e999,,", "stitches", "shortened-number"),
        ("A,2026-01-01,5,1441,", "minutes", "too-large"),
        ("A,2026-02-29,5,,", "date", "bad-date"),
        ("A,46023,5,,", "date", "serial-date"),
        ("A,03/04/2026,5,,", "date", "unclear-date"),
        ("A,2026-01-01,5,,note,extra", "", "too-many-values"),
    ],
)
def test_one_bad_row_is_left_out_and_no_other(cells, where, code):
    reading = read(f"{ONE}{cells}\nB,2026-01-03,7,,\n")
    assert found(reading) == [("diary.csv", 3, where, code)]
    assert counts(reading) == (3, 2, 1) and column(reading, "stitches") == [5.0, 7.0]


def test_a_value_too_many_in_every_row_shifts_nothing():
    reading = read("piece,date,stitches\nA,2026-01-01,5,9\nA,2026-01-02,6,9\n")
    assert counts(reading) == (2, 0, 2) and codes(reading) == ["too-many-values"] * 2


def test_a_short_row_is_kept_with_a_warning():
    reading = read(HEAD + "A,2026-01-01,5\n")
    assert counts(reading) == (1, 1, 0) and found(reading) == [("diary.csv", 2, "", "short-row")]


def test_a_column_twice_counts_once_and_a_contradiction_is_left_out():
    text = "piece,date,stitches,stitches\nA,2026-01-01,5,5\nA,2026-01-02,5,\nA,2026-01-03,,7\nA,2026-01-04,5,7\n"
    reading = read(text)
    assert column(reading, "stitches") == [5.0, 5.0, 7.0]
    assert [(line, code) for _, line, _, code in found(reading)] == [(1, "column-twice"), (5, "two-values")]


def test_unknown_columns_are_kept_untouched():
    reading = read("mood,piece,date,stitches,line\n  calm ,A,2026-01-01,5,=x\n")
    assert column(reading, "mood") == ["  calm "] and column(reading, "line (2)") == ["=x"]
    assert column(reading, "line") == [2] and reading.problems.num_rows == 0


def test_a_column_of_values_without_a_heading_is_kept_and_told():
    reading = read("piece,date,,stitches,\nA,2026-01-01,hm,5,\n")
    assert column(reading, "column 3") == ["hm"] and codes(reading) == ["column-unnamed"]


def test_headings_forgive_capitals_blanks_and_the_other_spelling_of_colour():
    reading = read(" Piece ,DATE,Three Quarter,So-Far,colors\nA,2026-01-01,4,,B12\n")
    assert column(reading, "stitches") == [3.0] and column(reading, "code", "colours") == ["B12"]


def test_a_column_proves_the_order_of_its_days():
    assert days(read("piece,date,stitches\nA,03/04/2026,1\nA,13/04/2026,1\n")) == ["2026-04-03", "2026-04-13"]
    assert days(read("piece,date,stitches\nA,04/03/2026,1\nA,04/13/2026,1\n")) == ["2026-04-03", "2026-04-13"]


def test_a_declared_order_holds_and_iso_always_reads():
    reading = read("piece,date,stitches\nA,03/04/2026,1\nA,2026-04-05,1\n", Settings(date_order="day-first"))
    assert days(reading) == ["2026-04-03", "2026-04-05"]


def test_undecided_days_say_how_to_declare_them():
    reading = read("piece,date,stitches\nA,03/04/2026,1\nA,2026-04-05,1\n")
    assert found(reading) == [("diary.csv", 2, "date", "unclear-date")]
    mend = reading.problems["mend"][0].as_py()
    assert "date_order" in mend and "stitchlog.toml" in mend


def test_a_column_that_contradicts_itself_reads_only_its_iso_days():
    reading = read("piece,date,stitches\nA,13/04/2026,1\nA,04/13/2026,1\nA,2026-04-05,1\n")
    assert codes(reading) == ["mixed-dates"] * 2 and days(reading) == ["2026-04-05"]


def test_days_far_off_are_kept_with_a_question():
    assert codes(read(HEAD + "A,0206-01-01,5,,\n")) == ["odd-year"]


@pytest.mark.parametrize(
    ("row", "where", "code"),
    [
        (" a ,,,,,,", "piece", "row-twice"),
        (",5,,,,,", "piece", "missing"),
    ],
)
def test_a_wrong_piece_never_hides_a_session(row, where, code):
    pieces = f"piece,total,over,fabric_colour,coverage,strands,due\nA,100,2,#8ad,80%,2,2026-12-24\n{row}\n"
    reading = read(ONE, pieces=pieces)
    assert found(reading) == [("pieces.csv", 3, where, code)]
    assert counts(reading, "pieces.csv") == (2, 1, 1) and counts(reading) == (1, 1, 0)
    assert column(reading, "coverage", "pieces") == [0.8] and column(reading, "fabric_colour", "pieces") == ["#88aadd"]


@pytest.mark.parametrize(
    ("row", "where", "code"),
    [
        ("B,x,,,,,", "total", "bad-number"),
        ("B,45%,,,,,", "total", "percent-number"),
        ("B,,3,,,,", "over", "bad-over"),
        ("B,,-1,,,,", "over", "bad-over"),
        ("B,,,#ggg,,,", "fabric_colour", "bad-hex"),
        ("B,,,,80,,", "coverage", "bad-share"),
        ("B,,,,,1.5,", "strands", "not-whole"),
        ("B,,,,,,soon", "due", "bad-date"),
    ],
)
def test_a_wrong_cell_never_loses_its_piece(row, where, code):
    reading = read(ONE, pieces=f"piece,total,over,fabric_colour,coverage,strands,due\n{row.replace('B', 'A')}\n")
    assert found(reading) == [("pieces.csv", 2, where, code)] and counts(reading, "pieces.csv") == (1, 1, 0)
    assert reading.problems["severity"].to_pylist() == ["warning"]
    assert column(reading, where, "pieces") in ([None], [""])


def test_a_cloth_of_no_threads_is_told_with_its_own_mend():
    assert found(read(ONE, pieces="piece,count\nA,0\n")) == [("pieces.csv", 2, "count", "bad-fabric")]


@pytest.mark.parametrize(
    ("row", "where", "code"),
    [
        ("E,2026-02-01,2026-01-01,5,,,,", "ends", "ends-first"),
        ("E,2026-01-01,,5,,,,", "ends", "missing"),
        ("E,2026-01-01,soon,5,,,,", "ends", "bad-date"),
    ],
)
def test_a_wrong_event_never_hides_a_session(row, where, code):
    head = "event,starts,ends,target,piece,kind,shared,half_counts\nD,2026-01-01,2026-02-01,5,a,,,\n"
    reading = read(ONE, events=f"{head}{row}\n")
    assert found(reading) == [("events.csv", 3, where, code)]
    assert counts(reading, "events.csv") == (2, 1, 1) and counts(reading) == (1, 1, 0)
    event = reading.tables["events"].to_pylist()[0]
    assert (event["piece"], event["kind"], event["shared"], event["half_counts"]) == ("A", "target", "yes", 0.5)


@pytest.mark.parametrize(
    ("cells", "where", "code"),
    [
        ("often,,", "kind", "bad-kind"),
        (",maybe,", "shared", "bad-yes-no"),
        (",,2", "half_counts", "bad-share"),
    ],
)
def test_a_wrong_cell_never_loses_its_event(cells, where, code):
    events = f"event,starts,ends,target,kind,shared,half_counts\nE,2026-01-01,2026-02-01,5,{cells}\n"
    reading = read(ONE, events=events)
    assert found(reading) == [("events.csv", 2, where, code)] and counts(reading, "events.csv") == (1, 1, 0)
    (event,) = reading.tables["events"].to_pylist()
    assert (event["kind"], event["shared"], event["half_counts"]) == ("target", "yes", 0.5)


@pytest.mark.parametrize(
    ("name", "text", "line", "where", "code"),
    [
        ("prompts", "event,prompt\n,blue\n", 2, "event", "missing"),
        ("threads", "code,skeins\nB12,1\nb12,2\n", 3, "code", "row-twice"),
        ("chart_colours", "piece,code,stitches\nA,B12,\n", 2, "stitches", "missing"),
    ],
)
def test_a_wrong_row_elsewhere_never_hides_a_session(name, text, line, where, code):
    reading = read(ONE, **{name: text})
    assert found(reading) == [(f"{name}.csv", line, where, code)]
    assert counts(reading) == (1, 1, 0) and counts(reading, f"{name}.csv")[2] == 1


@pytest.mark.parametrize("data", ["A,10\nB,20\n", b"PK\x03\x04\x14\x00"])
def test_a_side_file_that_cannot_be_read_is_told_and_the_diary_stands(data):
    reading = read(ONE, pieces=data)
    assert found(reading) == [("pieces.csv", 1, "", "unreadable-file")] and counts(reading) == (1, 1, 0)
    read_, stored, left_out = counts(reading, "pieces.csv")
    assert stored == 0 and read_ == left_out == reading.left_out.num_rows == (2 if isinstance(data, str) else 0)


def test_a_piece_that_pieces_does_not_know_is_kept_with_the_nearest_name():
    reading = read(HEAD + "Oter Creek,2026-01-01,5,,\nOter Creek,2026-01-02,5,,\n", pieces="piece\nOtter Creek\n")
    assert column(reading, "piece") == ["Oter Creek"] * 2
    assert found(reading) == [("diary.csv", 2, "piece", "unknown-piece")]
    assert '"Otter Creek"' in reading.problems["reason"][0].as_py()


def test_a_piece_that_only_left_out_rows_name_is_no_piece():
    reading = read(HEAD + "B,2026-01-01,x,,\nA,2026-01-01,5,,\n", pieces="piece\nA\n")
    assert column(reading, "piece", "pieces") == ["A"] and codes(reading) == ["bad-number"]


def test_colours_of_a_chart_are_spelt_as_threads_has_them():
    reading = read(ONE, threads="code\nB12\n", chart_colours="piece,code,stitches\na,b12,5\nA,c3,6\n")
    assert column(reading, "code", "chart_colours") == ["B12", "c3"]
    assert column(reading, "piece", "chart_colours") == ["A", "A"]


def test_every_unknown_piece_is_told_once_and_the_first_ones_get_a_guess():
    rows = "".join(f"Otter Creek {i},2026-01-01,5,,\n" for i in range(80)) * 2
    reading = read(HEAD + rows, pieces="piece\nOtter Creek\n")
    assert codes(reading) == ["unknown-piece"] * 80
    assert sum("did you mean" in reason for reason in reading.problems["reason"].to_pylist()) == 50


def test_an_event_that_only_prompts_name_is_told_and_spellings_are_joined():
    events = "event,starts,ends,target\nAutumn Days,2026-01-01,2026-02-01,50\n"
    reading = read(ONE, events=events, prompts="event,prompt\nautumn  days,blue\nAutum Days,red\nSpring,green\n")
    assert column(reading, "event", "prompts") == ["Autumn Days", "Autum Days", "Spring"]
    assert found(reading) == [
        ("prompts.csv", 3, "event", "unknown-event"),
        ("prompts.csv", 4, "event", "unknown-event"),
    ]
    assert '"Autumn Days"' in reading.problems["reason"][0].as_py()


def test_an_event_with_neither_target_nor_prompts_is_told():
    window = "2026-01-01,2026-02-01,,"
    events = f"event,starts,ends,target,kind\nA,{window}\nB,{window}start\nC,{window}\n"
    reading = read(ONE, events=events, prompts="event,prompt\nc,blue\n")
    assert found(reading) == [("events.csv", 2, "target", "no-target")]


def test_a_picture_outside_the_folder_is_told():
    text = "piece,date,stitches,photo\n" + "".join(
        f"A,2026-01-01,1,{p}\n" for p in ("a.jpg", "../a.jpg", "/a.jpg", "C:\\a.jpg", "http://x/a.jpg", "p/../a.jpg")
    )
    assert [line for _, line, _, code in found(read(text)) if code == "photo-outside"] == [3, 4, 5, 6]


def test_the_reader_holds_under_mutated_files():
    # By hand for longer: python -m tests.diary.reading.fuzz --runs 100000
    assert fuzz.run(150, seed=7) > 100
