"""Encodings, separators, line ends and quotes: what a spreadsheet saves is what is read, on the lines of the file."""

import pytest

from stitchlog.errors import StitchlogError
from tests.diary.reading.folders import HEAD, codes, column, counts, found, read

PLAIN = HEAD + "Café,2026-01-01,5,30,naïve\nB,2026-01-02,x,,\n"


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-32"])
def test_every_unicode_encoding_with_its_mark_reads_alike(encoding):
    reading = read(PLAIN.encode(encoding))
    assert column(reading, "piece") == ["Café"] and column(reading, "note") == ["naïve"]
    assert found(reading) == [("diary.csv", 3, "stitches", "bad-number")]


@pytest.mark.parametrize(("mark", "encoding"), [(b"\xff\xfe", "utf-16-le"), (b"\xfe\xff", "utf-16-be")])
def test_utf_16_of_both_byte_orders(mark, encoding):
    assert column(read(mark + PLAIN.encode(encoding)), "note") == ["naïve"]


def test_windows_1252_is_read_with_a_warning():
    reading = read((HEAD + "Café,2026-01-01,5,,5 € – naïve\n").encode("cp1252"))
    assert column(reading, "note") == ["5 € – naïve"]
    assert codes(reading) == ["old-encoding"]


def test_one_damaged_letter_spoils_its_own_row_only():
    reading = read(
        (HEAD + "Café,2026-01-01,5,,naïve\n").encode() + b"B,2026-01-02,6,,\xff\nCaf\xc3\xa9,2026-01-03,7,,\n"
    )
    assert column(reading, "piece") == ["Café", "Café"]
    assert found(reading) == [("diary.csv", 3, "", "bad-bytes")]


@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize("last", [True, False])
def test_separators_and_line_ends(delimiter, end, last):
    text = PLAIN.replace(",", delimiter).replace("\n", end)
    reading = read(text if last else text.removesuffix(end))
    assert column(reading, "minutes") == [30.0]
    assert found(reading) == [("diary.csv", 3, "stitches", "bad-number")]


@pytest.mark.parametrize("delimiter", [";", "\t"])
def test_decimal_commas(delimiter):
    text = "piece,date,stitches,half\nA,2026-01-01,12^5,3^0\n".replace(",", delimiter).replace("^", ",")
    assert column(read(text), "stitches") == [14.0]


def test_quoted_line_breaks_keep_the_lines_of_the_file():
    reading = read(HEAD + 'A,2026-01-01,5,,"two\r\nlines, and ""more"""\n"B\nB",2026-01-02,x,,\nC,2026-01-03,y,,\n')
    assert column(reading, "note") == ['two\r\nlines, and "more"']
    assert [(line, code) for _, line, _, code in found(reading)] == [(4, "bad-number"), (6, "bad-number")]


def test_a_quote_inside_a_cell_is_a_letter():
    assert column(read(HEAD + 'A,2026-01-01,5,,a 5" hoop\n'), "note") == ['a 5" hoop']


def test_a_quote_that_is_not_closed_spoils_its_own_row_only():
    reading = read(HEAD + 'A,2026-01-01,5,,"abc\nB,2026-01-02,6,,"d"\nC,2026-01-03,7,,"e"f\nD,2026-01-04,8,,\n')
    assert column(reading, "piece") == ["B", "D"]
    assert [(line, code) for _, line, _, code in found(reading)] == [(2, "open-quote"), (4, "open-quote")]
    assert reading.left_out["row"].to_pylist() == ['A,2026-01-01,5,,"abc', 'C,2026-01-03,7,,"e"f']


def test_trailing_blank_rows_and_columns_are_nothing():
    reading = read("piece,date,stitches,,\nA,2026-01-01,5,,\nB,2026-01-02,x,,\n,,,,\n\n   ,,\n")
    assert counts(reading) == (2, 1, 1)
    assert found(reading) == [("diary.csv", 3, "stitches", "bad-number")]


def test_blank_rows_before_the_headings_and_between_rows():
    reading = read("\n,,\npiece,date,stitches\n\nA,2026-01-01,5\n,,\nB,2026-01-02,x\n")
    assert counts(reading) == (2, 1, 1)
    assert found(reading) == [("diary.csv", 7, "stitches", "bad-number")]


def test_a_line_that_names_the_separator():
    reading = read("sep=;\r\npiece;date;stitches\r\nA;2026-01-01;x\r\n")
    assert found(reading) == [("diary.csv", 3, "stitches", "bad-number")]


def test_a_nul_byte_spoils_its_own_row_only():
    reading = read(HEAD + "A,2026-01-01,5,,x\0y\nB,2026-01-02,6,,\n")
    assert column(reading, "piece") == ["B"] and codes(reading) == ["control-character"]


def test_a_note_of_three_megabytes():
    note = 'long "note", ' * 240_000
    reading = read(HEAD + f'A,2026-01-01,5,,"{note.replace(chr(34), chr(34) * 2)}"\nB,2026-01-02,x,,\n')
    assert column(reading, "note") == [note]
    assert found(reading) == [("diary.csv", 3, "stitches", "bad-number")]


@pytest.mark.parametrize("break_", ["\x0b", "\x0c", "\x1c", "\x85", "\u2028"])
def test_only_cr_and_lf_end_a_row(break_):
    reading = read(HEAD + f"A,2026-01-01,5,,a{break_}b\nB,2026-01-02,x,,\n")
    assert column(reading, "note") == [f"a{break_}b"]
    assert found(reading) == [("diary.csv", 3, "stitches", "bad-number")]


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b"", "is empty"),
        (b"\xef\xbb\xbf", "is empty"),
        (b"\n\n,,\n", "is empty"),
        (b"A,2026-01-01,5\n", 'the first row, "A 2026-01-01 5", does not name the columns'),
        (b"stitches,minutes\n5,6\n", "no column piece"),
        (b"piece,stitches\nA,5\n", "no column date"),
        (b"PK\x03\x04\x14\x00", "a spreadsheet file"),
        (b"\xd0\xcf\x11\xe0\xa1\xb1", "a spreadsheet file"),
        (b"%PDF-1.7", "a PDF file"),
        ("piece,date\n".encode("utf-16-le") * 3, "not text"),
        (b"\0" * 100, "not text"),
    ],
)
def test_what_is_no_diary_is_refused_in_one_line(data, says):
    with pytest.raises(StitchlogError, match=says) as refused:
        read(data)
    assert str(refused.value).startswith("diary.csv") and "\n" not in str(refused.value)


def test_headings_alone_are_an_empty_diary():
    assert counts(read(HEAD)) == (0, 0, 0)


def test_quotes_that_open_on_every_line_cost_one_pass():
    # A search to the end of the file at every line would take minutes here.
    rows = 'A,2026-01-01,5,,"open\n' * 40_000
    assert counts(read(HEAD + rows)) == (40_000, 0, 40_000)
