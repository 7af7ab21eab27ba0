"""Over generated diaries: the sums hold, both ways of cutting agree, and a file's manner changes nothing."""

from __future__ import annotations

from hypothesis import example, given, settings
from hypothesis import strategies as st

from stitchlog.diary import names, schema
from stitchlog.diary.reading import dates, numbers
from stitchlog.diary.reading.problems import Wrong
from tests.diary.reading import fuzz
from tests.diary.reading.folders import read

PIECES = ["Otter Creek", "otter  creek", "NA", "=1+1", "Café", "Cafe\u0301", 'the "best"', "a;b,c", "", "two\nlines"]
NOTES = st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\0"), max_size=12)
COUNTS = st.one_of(st.just(""), st.integers(0, 999).map(str), st.sampled_from(["x", "-3", "1.5", "nan", "12.25"]))
DAYS = st.one_of(st.dates().map(str), st.sampled_from(["", "2026-02-30", "46023", "03/04/2026"]))
ROWS = st.lists(
    st.tuples(
        st.sampled_from(PIECES),
        DAYS,
        COUNTS,
        COUNTS,
        COUNTS,
        st.one_of(st.just(""), st.integers(0, 90).map(str)),
        NOTES,
    ),
    max_size=12,
)
NAMES = ["piece", "date", "stitches", "half", "unpicked", "minutes", "note"]
MANNERS = st.tuples(
    st.sampled_from([",", ";", "\t"]),
    st.sampled_from(["\n", "\r\n"]),
    st.sampled_from(["utf-8", "utf-8-sig", "utf-16"]),
)


def written(rows: list[tuple[str, ...]], delimiter: str = ",", end: str = "\n", encoding: str = "utf-8") -> bytes:
    def cell(text: str) -> str:
        return '"' + text.replace('"', '""') + '"' if set(text) & {delimiter, '"', "\r", "\n"} else text

    return "".join(delimiter.join(map(cell, row)) + end for row in [NAMES, *rows]).encode(encoding)


@settings(max_examples=150, deadline=None)
@given(ROWS, MANNERS)
@example([("NA", "2026-01-01", "5", "", "", "", "\r")], (",", "\n", "utf-8"))
def test_rows_read_are_rows_stored_and_rows_left_out(rows, manner):
    reading = fuzz.hold({"diary.csv": written(rows, *manner)})
    assert reading is not None
    there = [row for row in rows if any(cell.strip() for cell in row)]
    assert reading.counts["diary.csv"].read == len(there)
    kept = sorted(reading.tables["sessions"]["note"].to_pylist())
    gone = {row["line"] for row in reading.left_out.to_pylist()}
    assert len(kept) + len(gone) == len(there)
    remaining = [row[6] for row in there]
    for note in kept:
        remaining.remove(note)


@settings(max_examples=150, deadline=None)
@given(ROWS)
def test_stitches_stored_are_the_sum_by_hand(rows):
    reading = read(written(rows))
    sessions = reading.tables["sessions"].to_pylist()

    def number(text: str) -> float:
        return float(text) if text else 0.0

    by_hand = 0.0
    for piece, day, full, half, unpicked, _, _ in rows:
        cells = (full, half, unpicked)
        bad = {"x", "-3", "nan"} & set(cells)
        unread = day in ("", "2026-02-30", "46023", "03/04/2026")
        if piece.strip() and not unread and not bad and any(cells):
            by_hand += number(full) + 0.5 * number(half) - number(unpicked)
    assert abs(sum(s["stitches"] for s in sessions if not s["estimated"]) - by_hand) < 1e-6


@settings(max_examples=100, deadline=None)
@given(ROWS, MANNERS)
def test_the_manner_of_a_file_changes_nothing(rows, manner):
    plain, other = read(written(rows)), read(written(rows, *manner))
    assert plain.tables["sessions"].drop_columns(["line"]).equals(other.tables["sessions"].drop_columns(["line"]))
    assert plain.problems.drop_columns(["line"]).equals(other.problems.drop_columns(["line"]))


@settings(max_examples=60, deadline=None)
@given(ROWS, st.data())
def test_a_file_with_one_byte_changed_still_adds_up(rows, data):
    whole = bytearray(written(rows))
    at = data.draw(st.integers(0, len(whole) - 1))
    whole[at] = data.draw(st.integers(0, 255))
    fuzz.hold({"diary.csv": bytes(whole)})


@settings(max_examples=200, deadline=None)
@given(
    st.lists(st.lists(st.text('ab",;\r\n é', max_size=5), min_size=3, max_size=3), max_size=8), st.sampled_from(",;")
)
def test_both_ways_of_cutting_agree(rows, delimiter):
    padded = [(*row[:2], *[""] * 4, row[2]) for row in rows]
    fuzz.agree(written(padded, delimiter), schema.DIARY)


@settings(max_examples=200, deadline=None)
@given(st.text('a",\r\n', max_size=30))
def test_both_ways_of_cutting_agree_on_any_text(text):
    fuzz.agree(f"piece,date,note\n{text}".encode(), schema.DIARY)


@given(st.floats(0, 1e8).map(lambda x: round(x, 2)), st.booleans())
def test_a_number_reads_as_it_was_written(value, comma):
    text = f"{value:.2f}".replace(".", "," if comma else ".")
    assert numbers.read(text, decimal_comma=comma) == value


@given(st.integers(1000, 999_999_999), st.sampled_from([" ", "'", "\N{NO-BREAK SPACE}"]))
def test_grouped_thousands_read_whole(value, mark):
    assert numbers.read(f"{value:,}".replace(",", mark)) == value


@given(st.text(max_size=12), st.booleans())
def test_no_text_reads_as_a_number_that_python_would_not_read(text, comma):
    try:
        value = numbers.read(text, decimal_comma=comma)
    except Wrong:
        return
    assert -numbers.LARGEST <= value <= numbers.LARGEST
    assert [c for c in text if c.isdigit()] == [c for c in text if c in "0123456789"]


@given(st.dates(), st.sampled_from(["day-first", "month-first"]), st.sampled_from("/.- "))
def test_a_day_reads_back_in_the_declared_order(day, order, mark):
    parts = (day.day, day.month) if order == "day-first" else (day.month, day.day)
    assert dates.read(f"{parts[0]}{mark}{parts[1]}{mark}{day.year:04}", order) == day
    assert dates.read(day.isoformat(), order) == day


@given(st.text(max_size=12))
def test_a_name_is_one_however_it_is_spaced_and_composed(name):
    import unicodedata

    for form in ("NFC", "NFD"):
        assert names.key_of(f"  {unicodedata.normalize(form, name)}\t") == names.key_of(name)
    assert names.key_of(names.tidy(name)) == names.key_of(name)
