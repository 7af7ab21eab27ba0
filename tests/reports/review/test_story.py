import pandas as pd
import pytest

from stitchlog import StitchlogError, open_diary
from stitchlog.model import forecast
from stitchlog.model.forecast.sentences import say_finish
from stitchlog.reports import review


@pytest.fixture
def story(diary):
    return review.story(diary, "2025-12-20", "2026-01-10").set_index("piece")


def test_how_pieces_came_to_be_picked_up(story):
    assert story["arrival"].to_dict() == {
        "Tide Clock": "back",
        "Fern Gate": "back",
        "Small Drum": "started",
        "Unsized": "first",
        "Night Bus": "again",
    }


def test_a_short_break_is_carrying_on(diary):
    found = review.story(diary, "2026-01-01", "2026-01-04").set_index("piece")
    assert found.loc["Fern Gate", "arrival"] == "on"


def test_sections_are_those_it_was_worked_in(story, diary):
    assert story.loc["Fern Gate", "part_of"] == ["Leaf along (Section 1)"]
    assert story.loc["Small Drum", "part_of"] == ["New week"]  # a start of any piece
    assert story.loc["Night Bus", "part_of"] == []
    later = review.story(diary, "2026-01-06", "2026-03-31").set_index("piece")
    assert later.loc["Fern Gate", "part_of"] == []


def test_prompts_want_the_tag_and_the_stitches(story):
    assert story.loc["Tide Clock", "prompts"] == ["“Salt on the air” of Sea days"]  # tagged, 60 stitches in the window
    assert story.loc["Fern Gate", "prompts"] == []  # tagged green, but too few stitches
    assert story.loc["Small Drum", "prompts"] == []  # tagged, but worked outside the window


@pytest.mark.parametrize(
    ("piece", "cloth"),
    [
        ("Fern Gate", "32 count linen over two, two strands"),
        ("Tide Clock", "25 count evenweave over one, one strand"),
        ("Small Drum", "14 count aida, two strands"),
    ],
)
def test_cloth_as_stitchers_say_it(story, piece, cloth):
    assert story.loc[piece, "cloth"] == cloth


def test_nothing_is_said_of_unknown_cloth(tmp_path):
    (tmp_path / "diary.csv").write_text("piece,date,stitches\nMoss,2026-10-02,5\n", "utf-8")
    found = review.story(open_diary(tmp_path), "2026-10-01", "2026-10-31").iloc[0]
    assert found["cloth"] == ""


def test_new_colours_are_those_never_used_in_it_before(story):
    assert story.loc["Tide Clock", "new_colours"] == ["B3"]
    assert story.loc["Fern Gate", "new_colours"] == ["G3"]
    assert story.loc["Small Drum", "new_colours"] == ["R1", "R2 brick"]


def test_pictures_before_and_after(story, diary):
    clock, drum = story.loc["Tide Clock"], story.loc["Small Drum"]
    assert (clock["before_photo"], clock["after_photo"]) == ("photos/a.png", "photos/c.png")
    assert str(clock["before_photo_date"].date()) == "2025-10-03"
    # Nothing before the period: the first of its own pictures stands in.
    assert (drum["before_photo"], drum["after_photo"]) == ("photos/b.png", "photos/d.png")
    one = review.story(diary, "2026-01-05", "2026-01-05").iloc[0]
    assert (one["before_photo"], one["after_photo"]) == ("photos/a.png", "photos/c.png")
    first = review.story(diary, "2025-10-03", "2025-10-03").iloc[0]
    assert (first["before_photo"], first["after_photo"]) == ("", "photos/a.png")
    assert pd.isna(first["before_photo_date"])


def test_notes_are_kept_with_their_days(story):
    assert [(str(d.date()), t) for d, t in story.loc["Fern Gate", "notes"]] == [("2025-12-27", "Evening light")]


def test_the_sentences_carry_the_figures(diary):
    rows = {r["piece"]: r for r in review.story(diary, "2025-12-20", "2026-01-10").to_dict("records")}
    said = " ".join(review.say_piece(rows["Fern Gate"]))
    for part in (
        "after 8 weeks",
        "for Leaf along (Section 1)",
        "On 32 count linen over two, two strands.",
        "From 109 to 234 of 1,600 stitches: 7% to 15%.",
        "125 stitches in 3 sessions on 2 days, 1 h 15 min timed in 2 of them",
        "(1 of the sessions estimated from minutes).",
        "20 backstitches",
        "12 stitches had to come out again.",
        "“Evening light”",
    ):
        assert part in said
    assert "its total is not written down" in " ".join(review.say_piece(rows["Unsized"]))
    assert "Finished on 9 January" in " ".join(review.say_piece(rows["Small Drum"]))


def test_the_journal_is_told_in_the_past(diary):
    for row in review.story(diary, "2025-12-20", "2026-01-10").to_dict("records"):
        sentences = review.say_piece(row, "journal")
        assert all(s[-1] in ".”" for s in sentences)
        assert not any(f" {verb} " in " ".join(sentences) for verb in ("answers", "have", "comes", "was worked"))
        assert any(verb in sentences[0] for verb in ("started", "came", "took", "carried"))


def test_many_notes_are_counted(diary):
    row = review.story(diary, "2025-12-20", "2026-01-10").iloc[0].to_dict()
    notes = [(pd.Timestamp("2025-12-22"), f"note {i}") for i in range(8)]
    said = " ".join(review.say_piece(row | {"notes": notes}))
    assert "note 7" in said and "note 2" not in said
    assert "The diary has 3 earlier notes on it." in said


def test_another_tone_is_refused(diary):
    with pytest.raises(StitchlogError, match="talk or journal"):
        review.check_tone("song")


def test_what_is_next_is_seen_from_the_end_of_the_period(diary):
    span = review.period("2025-12-20", "2026-01-03")
    found = review.ahead(diary, review.story(diary, span.start, span.end), span).set_index("piece")
    assert "Leaf along (Section 1), until 5 January" in found.loc["Fern Gate", "next"]
    earlier = review.recap(diary, "2025-12-20", "2026-01-10").story.set_index("piece")
    assert "Leaf along (Section 2), until 5 February" in earlier.loc["Fern Gate", "next"]
    assert earlier.loc["Small Drum", "next"] == ""  # finished


def test_a_later_reader_is_told_from_when_the_next_steps_are_seen():
    span = review.period("2025-12-20", "2026-01-10")
    assert review.say_seen_from(span, "2026-02-01") == "What comes next is told as things stood on 10 January 2026."
    assert review.say_seen_from(span, "2026-01-10") == ""


def test_the_window_is_the_forecasts_own(diary):
    span = review.period("2025-12-20", "2026-01-10")
    found = review.ahead(diary, review.story(diary, span.start, span.end), span).set_index("piece")
    assert say_finish(forecast.finish(diary, "Fern Gate", span.end)) in found.loc["Fern Gate", "next"]
    assert found.loc["Unsized", "next"] == ""  # nothing is known of its total
