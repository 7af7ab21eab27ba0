"""What to pick up next: every rank traced to its parts."""

from pathlib import Path

import pandas as pd
import pytest

from stitchlog import open_diary
from stitchlog.reports import rotation
from stitchlog.reports.rotation.picking import PARTS

DEMO = Path(__file__).parents[3] / "data_demo"


def _diary(tmp_path: Path, pieces: str = "", events: str = "", settings: str = "", days: str = ""):
    (tmp_path / "pieces.csv").write_text("piece,total,due,want,tags,set_aside,finished\n" + pieces, "utf-8")
    (tmp_path / "diary.csv").write_text("piece,date,stitches,minutes\n" + days, "utf-8")
    if events:
        (tmp_path / "events.csv").write_text("event,part,starts,ends,target,piece,kind\n" + events, "utf-8")
    (tmp_path / "stitchlog.toml").write_text(settings, "utf-8")
    return open_diary(tmp_path)


# Thirty days of a session each, Moss and Fern in turn; 100 stitches a session.
DAYS = "".join(f"{'Moss' if d % 2 else 'Fern'},2026-01-{d:02d},100,60\n" for d in range(1, 31))


def test_every_point_is_a_part():
    ranked = rotation.next_up(open_diary(DEMO), suits="travel")
    found = ranked.pieces
    assert found["points"].to_numpy() == pytest.approx(found[list(PARTS)].sum(axis=1).to_numpy())
    weights = ranked.weights
    for part in PARTS:
        assert found[part].between(0, weights[part] + 1e-9).all(), part
    assert found["rank"].tolist() == list(range(1, len(found) + 1))
    assert found["points"].is_monotonic_decreasing
    assert found["reason"].str.len().gt(0).all() and not found["reason"].str.contains("nan|NaT").any()


def test_candidates_are_on_the_go_or_promised(tmp_path):
    pieces = (
        "Moss,9000,,,,,\nDone,100,,,,,2026-01-05\nAside,900,,,,2026-01-05,\nGift,400,2026-02-20,,,,\nSomeday,500,,,,,\n"
        "Along,600,,,,,\n"
    )
    events = "Leaf along,Part 1,2026-01-20,2026-02-10,200,Along,target\n"
    found = rotation.next_up(_diary(tmp_path, pieces, events, days=DAYS))
    found = found.pieces
    assert set(found["piece"]) == {"Moss", "Fern", "Gift", "Along"}
    assert found.set_index("piece")["status"]["Gift"] == "not begun"


def test_due_is_the_share_of_usual_sessions_that_a_piece_needs(tmp_path):
    """Fern: 1,500 of 2,500 done, 10 sessions of 100 left; 20 days at a session a day: half of them."""
    diary = _diary(tmp_path, "Fern,2500,2026-02-19,,,,\n", days=DAYS)
    found = rotation.next_up(diary.at("2026-01-30")).pieces.set_index("piece")
    assert found.loc["Fern", "sessions_left"] == pytest.approx(10)
    assert found.loc["Fern", "due"] == pytest.approx(3 * 10 / 20)
    assert found.loc["Fern", "reason"].startswith(
        "the piece, due on 19 February 2026, needs about 10 more sessions: 50% of those you usually have by then"
    )
    assert found.loc["Moss", "due"] == 0


def test_what_is_past_its_day_is_said_without_scolding(tmp_path):
    found = rotation.next_up(_diary(tmp_path, "Fern,2500,2026-01-10,,,,\n", days=DAYS)).pieces.set_index("piece")
    assert found.loc["Fern", "due"] == 3
    assert "was due on 10 January 2026" in found.loc["Fern", "reason"]


def test_a_section_of_its_own_is_due_by_its_last_day(tmp_path):
    """400 of 1,000 worked since the section opened on 24 January; 6 more sessions in 10 days."""
    events = "Leaf along,Part 1,2026-01-24,2026-02-09,1000,Fern,target\n"
    diary = _diary(tmp_path, "Fern,,,,,,\n", events, days=DAYS)
    found = rotation.next_up(diary.at("2026-01-30")).pieces.set_index("piece")
    assert found.loc["Fern", "due"] == pytest.approx(3 * 6 / 10)
    assert "Leaf along, Part 1, due on 9 February 2026, needs about 6 more sessions" in found.loc["Fern", "reason"]


def test_the_furthest_below_its_wanted_share(tmp_path):
    pieces = "Moss,,,0.8,,,\nFern,,,0.4,,,\n"
    diary = _diary(tmp_path, pieces, days=DAYS)
    found = rotation.next_up(diary.at("2026-01-30")).pieces.set_index("piece")
    assert found.loc["Moss", "below_want"] == pytest.approx(2 * (0.8 - 0.5) / 0.8)
    assert found.loc["Fern", "below_want"] == 0
    assert "you wanted 80% of your stitches on it, and it had 50% in the last 28 days" in found.loc["Moss", "reason"]


def test_the_longest_untouched(tmp_path):
    diary = _diary(tmp_path, days=DAYS + "Reed,2026-01-15,50,30\n")
    found = rotation.next_up(diary.at("2026-01-30")).pieces.set_index("piece")
    assert found.loc["Reed", "untouched"] == pytest.approx(15 / 60)
    assert found.index[0] == "Reed"
    assert found.loc["Reed", "reason"] == "not touched for 15 days"
    assert found.loc["Fern", "reason"] == "nothing is pressing; pick it up when you feel like it"


def test_nearly_finished_within_five_sessions(tmp_path):
    days = DAYS + "Reed,2026-01-30,100,60\n"
    pieces = "Moss,1550,,,,,\nFern,1990,,,,,\nReed,700,,,,,\n"
    diary = _diary(tmp_path, pieces, days=days)
    found = rotation.next_up(diary.at("2026-01-30")).pieces.set_index("piece")
    assert found["nearly"].to_dict() == pytest.approx({"Moss": 1.5, "Fern": 1.5 / 5, "Reed": 0})
    assert "finished in about 1 session" in found.loc["Moss", "reason"]


def test_the_habit_piece_of_the_day(tmp_path):
    events = "Length a day,January,2026-01-01,2026-01-31,,Moss,length\n"
    diary = _diary(tmp_path, "", events, days=DAYS)
    # Moss has the odd days: on the 30th its length is still to do, on the 29th it is done and comes again tomorrow.
    assert rotation.next_up(diary.at("2026-01-30")).pieces.set_index("piece").loc["Moss", "habit"] == 2
    assert rotation.next_up(diary.at("2026-01-29")).pieces.set_index("piece").loc["Moss", "habit"] == 1
    assert (
        "you have not stitched today's length of thread"
        in rotation.next_up(diary.at("2026-01-30")).pieces.loc[0, "reason"]
    )


@pytest.mark.parametrize("asked", ["travel", "Travel; small", "small travel"])
def test_what_suits_comes_first(tmp_path, asked):
    pieces = "Moss,,,0.9,sea; home,,\nFern,,,,small; travel,,\n"
    found = rotation.next_up(_diary(tmp_path, pieces, days=DAYS), suits=asked)
    assert found.pieces.loc[0, "piece"] == "Fern"
    assert found.pieces["suits"].tolist() == [10, 0]
    assert not found.unmatched


def test_tags_that_no_piece_has_are_said(tmp_path):
    found = rotation.next_up(_diary(tmp_path, "Moss,,,,sea,,\n", days=DAYS), suits="aeroplane")
    assert found.unmatched
    assert rotation.say_next_up(found).startswith('No piece has the tags "aeroplane". ')


def test_only_what_was_known_on_the_day_counts(tmp_path):
    diary = _diary(tmp_path, "Moss,,,0.8,,,\nFern,,,0.4,,,\n", days=DAYS)
    early = rotation.next_up(diary.at("2026-01-12"))
    days = "".join(line + "\n" for line in DAYS.splitlines() if line.split(",")[1] <= "2026-01-12")
    cut = rotation.next_up(_diary(tmp_path, "Moss,,,0.8,,,\nFern,,,0.4,,,\n", days=days))
    pd.testing.assert_frame_equal(early.pieces, cut.pieces)


def test_weights_are_settable_and_said(tmp_path):
    settings = "[next_up]\nuntouched = 7.5\nuntouched_days = 30\nbelow_want = 0\n"
    diary = _diary(tmp_path, "Moss,,,0.8,,,\n", settings=settings, days=DAYS + "Reed,2026-01-15,50,30\n")
    found = rotation.next_up(diary.at("2026-01-30")).pieces.set_index("piece")
    assert found.loc["Reed", "untouched"] == pytest.approx(7.5 * 15 / 30)
    assert (found["below_want"] == 0).all()
    assert "waiting 7.5" in rotation.say_weights(rotation.next_up(diary))


def test_with_nothing_on_the_go(tmp_path):
    found = rotation.next_up(_diary(tmp_path, "Moss,100,,,,,\n").at(None))
    assert found.pieces.empty
    assert "no works in progress" in rotation.say_next_up(found)
