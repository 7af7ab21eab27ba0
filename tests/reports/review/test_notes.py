import re
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stitchlog import StitchlogError, open_diary
from stitchlog.reports import review
from stitchlog.reports.review import notes

PERIOD = ("2025-12-20", "2026-01-10")


@pytest.fixture(scope="module")
def recap(tmp_path_factory):
    tmp_path = tmp_path_factory.mktemp("notes")
    pieces = "piece,total,count,over,strands,fabric\nFern *Gate*,1600,32,2,2,linen\nMoss,500,14,1,2,aida\n"
    rows = "Fern *Gate*,2025-12-27,300,60,\nMoss,2026-01-02,20,,# not a heading\nMoss,2026-01-03,20,,[no](link)\n"
    (tmp_path / "pieces.csv").write_text(pieces, "utf-8")
    (tmp_path / "diary.csv").write_text(f"piece,date,stitches,minutes,note\n{rows}", "utf-8")
    return review.recap(open_diary(tmp_path), *PERIOD)


def _order(text: str) -> list[tuple[int, str, float]]:
    """Seconds, title and planned minutes of each line of the running order."""
    found = re.findall(r"^- (?:(\d+):)?(\d\d):(\d\d) (.*) \(([\d.]+) (min|s)\)$", text, re.M)
    return [
        (int(h or 0) * 3600 + int(m) * 60 + int(s), title, float(planned) / (60 if unit == "s" else 1))
        for h, m, s, title, planned, unit in found
    ]


@pytest.mark.parametrize("minutes", [0.2, 1, 3, 4, 5, 20, 25.5, 60, 90])
def test_planned_minutes_add_up_to_what_was_asked(recap, minutes):
    order = _order(notes.write_notes(recap, minutes))
    assert [t for _, t, _ in order][1:3] == [r"Fern \*Gate\*", "Moss"]
    assert sum(p for *_, p in order) == pytest.approx(minutes, abs=0.01)
    assert order[0][0] == 0
    for (at, _, planned), (following, _, _) in pairwise(order):
        assert following - at == pytest.approx(planned * 60, abs=0.5)
    assert order[-1][0] + order[-1][2] * 60 == pytest.approx(minutes * 60, abs=0.5)


def test_a_piece_with_more_to_show_gets_more(recap):
    order = {title: planned for _, title, planned in _order(notes.write_notes(recap, 20))}
    assert order[r"Fern \*Gate\*"] > order["Moss"]


@given(st.lists(st.floats(0.1, 20), min_size=1, max_size=40), st.integers(1, 240))
def test_every_part_has_time_and_all_of_it_is_given(weights, minutes):
    found = notes.planned(weights, minutes)
    assert sum(found) == minutes * 60
    assert min(found) > 0
    heavier = sorted(range(len(weights)), key=lambda i: weights[i])
    assert all(found[a] <= found[b] for a, b in pairwise(heavier) if weights[a] < weights[b])


def test_times_are_whole_minutes_where_they_can_be():
    assert all(s % 60 == 0 for s in notes.planned([1.0] * 12, 20))
    assert all(s % 30 == 0 for s in notes.planned([1.0] * 30, 20))


@pytest.mark.parametrize("minutes", [0, -5, float("nan"), float("inf"), 0.01])
def test_no_time_is_refused_in_one_line(recap, minutes):
    with pytest.raises(StitchlogError) as told:
        notes.write_notes(recap, minutes)
    assert "\n" not in str(told.value)


def test_another_tone_is_refused(recap):
    with pytest.raises(StitchlogError, match="talk or journal"):
        notes.write_notes(recap, tone="song")


def test_what_the_stitcher_wrote_means_nothing_to_markdown(recap):
    text = notes.write_notes(recap)
    assert r"\# not a heading" in text
    assert r"\[no\](link)" in text
    assert len(re.findall(r"^# ", text, re.M)) == 1


@pytest.mark.parametrize("tone", review.TONES)
def test_every_figure_is_one_of_the_frame(recap, tone):
    text = notes.write_notes(recap, tone=tone)
    for row in recap.pieces.to_dict("records"):
        moved = f"{row['before']:,.0f} to {row['after']:,.0f}" if tone == "journal" else f"{row['after_share']:.0%}"
        for figure in (moved, f"{row['stitches']:,.0f} stitches"):
            assert figure in text
    assert "340 stitches" in text


def test_the_journal_is_prose_without_times(recap):
    text = notes.write_notes(recap, tone="journal")
    assert not re.search(r"\d\d:\d\d|\bmin\)|^- ", text, re.M)
    assert "I kept going with" in text or "I started" in text


@pytest.mark.parametrize("tone", review.TONES)
def test_a_period_without_a_session_reads_well(tmp_path, tone):
    (tmp_path / "diary.csv").write_text("piece,date,stitches\nMoss,2026-10-02,5\n", "utf-8")
    recap = review.recap(open_diary(tmp_path), "2026-11-01", "2026-11-30")
    text = notes.write_notes(recap, 10, tone)
    assert ("I didn't stitch this time" if tone == "talk" else "No session is written down for November 2026") in text
    assert "nan" not in text.lower() and "NaT" not in text
    if tone == "talk":
        assert sum(p for *_, p in _order(text)) == 10
