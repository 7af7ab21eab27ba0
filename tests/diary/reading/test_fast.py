"""Cutting a large file at once: it is used where rows are regular, and gives up where they are not."""

import pytest

from stitchlog.diary import schema
from stitchlog.diary.reading import cutting, grid, text
from stitchlog.diary.reading.fast import cut_fast
from tests.diary.reading import fuzz
from tests.diary.reading.folders import HEAD, codes, counts, found, read


def cut(data: str):
    source = text.decode(data.encode(), "diary.csv")
    return cut_fast(source, *grid.opening(source, schema.DIARY))


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize(
    ("rows", "lines"),
    [
        ("A,2026-01-01,5,,|B,2026-01-02,6,,x|", [2, 3]),
        ('A,2026-01-01,5,,"a, b"|B,2026-01-02,6,,""|', [2, 3]),
        ('A,2026-01-01,5,,"a|b ""c""|"|"B|B",2026-01-02,6,,|C,2026-01-03,7,,', [2, 5, 7]),
        ("A,2026-01-01,5,,||B,2026-01-02,6,,|||", [2, 4]),
    ],
)
def test_regular_rows_are_cut_at_once_on_their_own_lines(rows, lines, end):
    data = (HEAD.replace("\n", "|") + rows).replace("|", end)
    found_ = cut(data)
    assert found_ is not None and found_.lines.tolist() == lines
    fuzz.agree(data.encode(), schema.DIARY)


@pytest.mark.parametrize(
    "rows",
    [
        "A,2026-01-01,5,,,9\n",
        "A,2026-01-01,5\n",
        'A,2026-01-01,5,,a 5" hoop\n',
        'A,2026-01-01,5,,"open\n',
        'A,2026-01-01,5,,"a"b\n',
        'A,2026-01-01,5,, "a"\n',
        "A,2026-01-01,5,,\0\n",
        "\ufeffA,2026-01-01,5,,\n",
        "",
    ],
)
def test_what_is_not_regular_is_left_to_the_careful_way(rows):
    assert cut(HEAD + rows) is None


def test_a_large_diary_reads_the_same_both_ways(monkeypatch):
    rows = "".join(
        f'Piece {i % 7},2026-01-{i % 28 + 1:02},{i % 400 if i % 997 else "12o"},{i % 90},"note {i}, ""so""\nmore"\n'
        for i in range(6000)
    )
    fast = read(HEAD + rows)
    assert len(HEAD + rows) > cutting.FAST_FROM
    monkeypatch.setattr(cutting, "FAST_FROM", 1 << 40)
    careful = read(HEAD + rows)
    assert counts(fast) == counts(careful) == (6000, 5993, 7) and codes(fast) == codes(careful)
    assert found(fast)[0] == ("diary.csv", 2, "stitches", "bad-number")
    for name, table in careful.tables.items():
        assert table.equals(fast.tables[name].combine_chunks()) or table.to_pylist() == fast.tables[name].to_pylist()
    assert careful.left_out.to_pylist() == fast.left_out.to_pylist()
