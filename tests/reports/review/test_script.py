"""The script reads well whatever the month was like: short sentences, few lines, other words for the next piece."""

import re
from itertools import pairwise

import pytest

from stitchlog import StitchlogError, open_diary, review
from stitchlog.reports.review import notes, wording

OCTOBER = ("2026-10-01", "2026-10-31")
NOTHING = "piece,date,stitches\nMoss,2026-08-02,5\n"
ONE = "piece,date,stitches,minutes\nMoss,2026-10-02,5,30\n"
FORTY = "piece,date,stitches,minutes\n" + "".join(
    f"Piece {i},2026-{month}-{1 + i % 28:02d},{40 + 7 * i},{20 + i}\n" for i in range(40) for month in ("08", "10")
)
GOALS = """month,goal,piece,kind,amount,outcome
2026-10,Finish Moss.,Moss,finish,,
2026-10,Sort the thread box,,,,
2026-10,Stitch 4 stitches,,stitches,4,
2026-11,Put 40 stitches in the moss,Moss,stitches,40,
"""


def _recap(folder, diary, goals=""):
    (folder / "diary.csv").write_text(diary, "utf-8")
    pieces = "piece,total,count,fabric,design_by,chart_from\n" + "".join(
        f"Piece {i},{4000 + i},28,linen,own design,a library book\n" for i in range(40)
    )
    (folder / "pieces.csv").write_text(f"{pieces}Moss,500,14,aida,,\n", "utf-8")
    if goals:
        (folder / "goals.csv").write_text(goals, "utf-8")
    return review.recap(open_diary(folder).at("2026-10-31"), *OCTOBER)


def _sections(text):
    """The lines of the script, by heading."""
    parts = re.split(r"^### ", text.split("## Script")[1], flags=re.M)[1:]
    return {part.split("\n", 1)[0]: re.findall(r"^- (.*)$", part, re.M) for part in parts}


@pytest.mark.parametrize("goals", ["", GOALS])
@pytest.mark.parametrize("diary", [NOTHING, ONE, FORTY], ids=["nothing", "one", "forty"])
def test_every_kind_of_month_reads_well(tmp_path, diary, goals):
    found = _sections(notes.write_notes(_recap(tmp_path, diary, goals), 40))
    everything = " ".join(line for lines in found.values() for line in lines)
    assert not re.search(r"\bnan\b|NaT|  |\.\.|!", everything, re.IGNORECASE)
    for sentence in re.split(r"(?<=[.?]) ", everything):
        assert len(sentence.split()) <= 25, sentence
    pieces = list(found.values())[1:-1]
    assert all(1 <= len(lines) <= 4 for lines in pieces)
    for first, second in pairwise(pieces):
        # Names and figures aside, no line is said twice in a row.
        bare = [
            {re.sub(r"Piece \d+|[\d,]+|(?<=over )\w+|(?<=about ).*?(?=[ .])", "", line) for line in lines}
            for lines in (first, second)
        ]
        assert not (bare[0] & bare[1]) - {""}


def test_what_was_said_comes_first_and_is_held_against_what_came(tmp_path):
    opening = next(iter(_sections(notes.write_notes(_recap(tmp_path, ONE, GOALS))).values()))
    assert "Three goals: one met, one partly met and one still open." in opening
    assert "I said I'd finish Moss. I got part of the way." in opening
    assert "I said I'd stitch 4 stitches, and it came to five." in opening


def test_the_month_to_come_is_told_in_four_sentences_at_most(tmp_path):
    recap = _recap(tmp_path, ONE, GOALS)
    said = review.say_next_month(recap.next_month, recap.coming.start)
    assert said[0] == "In November I'd like to put 40 stitches in the moss."
    assert len(said) == 2 and said[1].startswith("As things go, Moss looks ")


def test_the_pieces_come_in_the_order_asked_for(tmp_path):
    rows = "Slow,2026-10-01,10\nQuick,2026-10-02,400\nDone,2026-10-03,50\n"
    pieces = "piece,total\nDone,50\nSlow,1000\nQuick,1000\n"
    (tmp_path / "diary.csv").write_text(f"piece,date,stitches\n{rows}", "utf-8")
    (tmp_path / "pieces.csv").write_text(pieces, "utf-8")
    recap = review.recap(open_diary(tmp_path), *OCTOBER)
    found = {order: [row["piece"] for row in notes.in_order(recap, order)] for order in review.ORDERS}
    assert found == {
        "worked": ["Slow", "Quick", "Done"],
        "finishes-first": ["Done", "Slow", "Quick"],
        "biggest-change": ["Done", "Quick", "Slow"],
        "file": ["Done", "Slow", "Quick"],
    }
    with pytest.raises(StitchlogError, match="write worked, finishes-first"):
        notes.write_notes(recap, order="loudest")


def test_figures_are_rounded_as_they_are_said():
    assert [wording.rounded(n) for n in (1, 999.4, 1024, 1049, 9_974, 27_884)] == [
        "1",
        "999",
        "about 1,000",
        "about 1,050",
        "about 9,950",
        "about 27,900",
    ]
    assert [wording.rest(d) for d in (13, 17, 42, 45, 180, 700)] == [
        "13 days",
        "two and a half weeks",
        "six weeks",
        "over one month",
        "six months",
        "two years",
    ]


def test_the_description_takes_the_real_times_from_a_list_of_cuts(tmp_path):
    recap = _recap(tmp_path, ONE)
    cuts = tmp_path / "cuts.txt"
    cuts.write_text("0:00 hello\n4:05.5 Moss\n1:02:03 bye\n", "utf-8")
    text = review.write_description(recap, times=cuts)
    assert re.findall(r"^(\S+) (.*\S)  $", text, re.M) == [
        ("0:00:00", "Hello, and how October 2026 went"),
        ("0:04:05", "Moss"),
        ("1:02:03", "What's next, and goodbye"),
    ]
    cuts.write_text("4:05\n9:00\n", "utf-8")
    assert "00:00 Hello" in review.write_description(recap, times=cuts)
    cuts.write_text("4:05\n", "utf-8")
    with pytest.raises(StitchlogError, match="has 1 times and there are 3 chapters"):
        review.write_description(recap, times=cuts)
    cuts.write_text("0:00\n9:00\n4:05\n", "utf-8")
    with pytest.raises(StitchlogError, match="do not go forward"):
        review.write_description(recap, times=cuts)
