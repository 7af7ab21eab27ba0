"""Thread by colour: what was spent, what is still needed, and whether what is on hand is enough."""

import numpy as np
import pytest

from stitchlog.errors import StitchlogError
from stitchlog.model import thread_use
from stitchlog.model.thread.spending import spent
from stitchlog.reports import materials
from tests.reports.materials.folder import PIECES, diary_of, unpicker
from tests.tools.thread_coverage import foreseen

CONTRACT = ["code", "stitches", "length_m", "skeins", "on_hand", "to_buy"]
PER_STITCH = thread_use.cm_per_stitch(14)


def metres(stitches: float, starts: float, strands: int = 2) -> float:
    """By hand: metres off a six-strand skein, with a tail of 4 cm at both ends of each needleful."""
    return (stitches * PER_STITCH + starts * 8) * strands / 6 / 100


def test_the_columns_begin_as_promised(tmp_path):
    diary = unpicker(tmp_path)
    assert list(materials.thread(diary, "pears"))[: len(CONTRACT)] == CONTRACT


def test_used_thread_is_that_of_the_stitches_and_of_their_starts(tmp_path):
    row = materials.thread(unpicker(tmp_path), "Pears").iloc[0]
    # 84 stitches take two needlefuls of 42 in each of ten sessions.
    assert row["used_m"] == pytest.approx(metres(840, 20))
    assert row["needed_m"] == pytest.approx(metres(1160, 1160 / 42))
    assert row["stitches"] == 2000 and row["stitches_left"] == 1160
    assert row["length_m"] == pytest.approx(row["used_m"] + row["needed_m"])


def test_skeins_are_of_whole_lengths(tmp_path):
    row = materials.thread(unpicker(tmp_path), "Pears").iloc[0]
    assert row["skeins"] == pytest.approx(row["length_m"] / (17 * 0.45))
    assert row["to_buy"] == 0 and row["chance_enough"] == 1


def test_unpicked_thread_is_spent_thread(tmp_path):
    (tmp_path / "a").mkdir()
    (tmp_path / "b").mkdir()
    tidy = materials.thread(unpicker(tmp_path / "a"), "Pears").iloc[0]
    messy = materials.thread(unpicker(tmp_path / "b", unpicked=42), "Pears").iloc[0]
    assert messy["used_m"] == pytest.approx(1.5 * tidy["used_m"])
    # It will go on as it went.
    assert messy["needed_m"] == pytest.approx(1.5 * tidy["needed_m"])


def test_confetti_costs_its_tails(tmp_path):
    rows = [f"Pears,2026-10-{day:02d},40,{'; '.join(f'C{i}:4' for i in range(10))}" for day in range(1, 11)]
    diary = diary_of(
        tmp_path,
        diary="piece,date,stitches,colours\n" + "\n".join(rows),
        pieces=PIECES + "Pears,800,,,14,1,2,\n",
    )
    frame = materials.thread(diary, "Pears")
    assert frame["used_m"].sum() == pytest.approx(metres(400, 100))
    assert frame["needed_m"].sum() == pytest.approx(metres(400, 100))


def test_waste_is_added_and_each_way_of_working_has_its_own_length(tmp_path):
    (tmp_path / "a").mkdir()
    (tmp_path / "b").mkdir()
    plain = materials.thread(unpicker(tmp_path / "a"), "Pears").iloc[0]
    wasteful = materials.thread(unpicker(tmp_path / "b", settings="waste = 0.2\n"), "Pears").iloc[0]
    assert wasteful["length_m"] == pytest.approx(1.2 * plain["length_m"])
    (tmp_path / "c").mkdir()
    each = unpicker(tmp_path / "c", settings='method = "each"\n')
    per_session = spent(each)["lengths"].iloc[0]
    by_hand = (84 * thread_use.cm_per_stitch(14, method="each") + 3 * 8) * 2 / (6 * 45)
    assert per_session == pytest.approx(by_hand)


def test_a_planned_piece_follows_its_chart(tmp_path):
    diary = diary_of(
        tmp_path,
        pieces=PIECES + "Herd,2520,,,28,2,2,\n",
        threads="code,name,hex,skeins\nA,one,#000000,0.5\n",
        chart_colours="piece,code,stitches\nHerd,A,2100\nHerd,B,420\n",
    )
    frame = materials.thread(diary, "Herd").set_index("code")
    assert frame["stitches"].to_dict() == {"A": 2100, "B": 420}
    assert frame.loc["A", "length_m"] == pytest.approx(metres(2100, 50))
    assert frame.loc["A", "to_buy"] == np.ceil(metres(2100, 50) / 7.65 - 0.5)
    assert frame.loc["B", "on_hand"] == 0 and frame.loc["B", "to_buy"] == 1


def test_the_split_so_far_stands_for_the_rest_and_is_said_to(tmp_path):
    rows = [f"Pears,2026-10-{day:02d},84,G05:63; G09:21" for day in range(1, 9)]
    diary = diary_of(
        tmp_path,
        diary="piece,date,stitches,colours\n" + "\n".join(rows),
        pieces=PIECES + "Pears,2000,,,14,1,2,\n",
    )
    frame = materials.thread(diary, "Pears")
    assert frame.set_index("code")["stitches"].to_dict() == pytest.approx({"G05": 1500, "G09": 500})
    assert "no chart gives the colours, so the rest is split as it has been so far" in materials.say_rests(diary, frame)


def test_a_chart_that_is_known_is_not_said_to_be_guessed(tmp_path):
    diary = unpicker(tmp_path, chart_colours="piece,code,stitches\nPears,G05,2000\n")
    assert "split so far" not in materials.say_rests(diary, materials.thread(diary, "Pears"))


def test_sessions_without_counts_are_shared_out_as_the_counted_ones(tmp_path):
    diary = diary_of(
        tmp_path,
        diary="piece,date,stitches,colours\nPears,2026-10-01,40,A:30; B:10\nPears,2026-10-02,40,A; B\n"
        "Pears,2026-10-03,40,\n",
        pieces=PIECES + "Pears,120,,,14,1,2,\n",
    )
    by = spent(diary).groupby("code")["worked"].sum()
    assert by.to_dict() == pytest.approx({"A": 90, "B": 30})


def test_what_was_worked_before_the_diary_counts_as_used(tmp_path):
    pieces = "piece,total,count,strands,done_before\nPears,2000,14,2,840\n"
    rows = "piece,date,stitches,colours\n" + "\n".join(f"Pears,2026-10-{d:02d},84,G05:84" for d in range(1, 6))
    row = materials.thread(diary_of(tmp_path, diary=rows, pieces=pieces), "Pears").iloc[0]
    assert row["used_m"] == pytest.approx(metres(420 + 840, 30))
    assert row["stitches_left"] == 740


def test_on_an_earlier_day_more_is_still_needed(tmp_path):
    diary = unpicker(tmp_path)
    early, late = (materials.thread(diary.at(day), "Pears").iloc[0] for day in ("2026-10-05", "2026-10-10"))
    assert early["stitches_left"] == 1580 and late["stitches_left"] == 1160
    assert early["used_m"] == pytest.approx(late["used_m"] / 2)


def test_a_finished_piece_takes_no_more(tmp_path):
    pieces = "piece,total,count,strands,finished\nPears,2000,14,2,2026-10-10\n"
    rows = "piece,date,stitches,colours\nPears,2026-10-10,1990,G05:1990\n"
    frame = materials.thread(diary_of(tmp_path, diary=rows, pieces=pieces), "Pears")
    assert frame["needed_m"].sum() == 0 and frame["to_buy"].sum() == 0
    assert materials.say_thread(frame).endswith("all of it used.")


def test_an_unknown_fabric_or_total_stays_unknown(tmp_path):
    rows = "piece,date,stitches,colours\nPears,2026-10-10,90,G05:90\nKite,2026-10-11,90,G05:90\n"
    diary = diary_of(tmp_path, diary=rows, pieces="piece,total,count,strands\nPears,2000,,\nKite,,14,2\n")
    fabric, total = materials.thread(diary, "Pears"), materials.thread(diary, "Kite")
    assert fabric[["length_m", "skeins", "to_buy", "chance_enough"]].isna().all().all()
    assert total["used_m"].notna().all() and total["to_buy"].isna().all()
    assert "count of its fabric" in materials.say_thread(fabric)
    assert "how many stitches are left" in materials.say_thread(total)


def test_a_piece_without_colours_has_one_row_for_all_of_them(tmp_path):
    rows = "piece,date,stitches\nPears,2026-10-10,420\n"
    row = materials.thread(diary_of(tmp_path, diary=rows, pieces=PIECES + "Pears,840,,,14,1,2,\n"), "Pears").iloc[0]
    assert row["code"] == "" and row["stitches"] == 840
    assert row["length_m"] == pytest.approx(metres(840, 20))


def test_the_chance_rises_with_what_is_on_hand_and_spans_the_need(tmp_path):
    rng = np.random.default_rng(1)
    # Sessions of two colours in a wild mix: nobody knows how the rest will fall.
    rows = []
    for day in range(1, 25):
        a = int(rng.integers(5, 95))
        rows.append(f"Pears,2026-10-{day:02d},100,A:{a}; B:{100 - a}")
    frames = []
    for skeins in (0.6, 1.0, 1.8):
        folder = tmp_path / str(skeins)
        folder.mkdir()
        diary = diary_of(
            folder,
            diary="piece,date,stitches,colours\n" + "\n".join(rows),
            pieces=PIECES + "Pears,6400,,,14,1,2,\n",
            threads=f"code,skeins\nA,{skeins}\nB,9\n",
        )
        frames.append(materials.thread(diary, "Pears").set_index("code").loc["A"])
    low, middle, high = (row["chance_enough"] for row in frames)
    assert low < 0.05 and 0.2 < middle < 0.8 and high > 0.99
    assert frames[0]["needed_low"] < frames[0]["needed_skeins"] < frames[0]["needed_high"]
    assert frames[0]["to_be_safe"] >= frames[0]["to_buy"] > 0


def test_the_likely_range_holds_what_comes(tmp_path):
    held, ratio = foreseen(tmp_path, pieces=40, seed=20)
    assert 0.80 <= held <= 0.98
    assert ratio == pytest.approx(1.0, abs=0.06)


def test_the_same_seed_gives_the_same_figures(tmp_path):
    diary = unpicker(tmp_path)
    assert materials.thread(diary, "Pears").equals(materials.thread(diary, "Pears"))


@pytest.mark.parametrize("settings", ["tail_cm = 23\n", "skein_length_m = 0.3\n"])
def test_settings_that_leave_no_thread_are_said_in_one_line(tmp_path, settings):
    diary = unpicker(tmp_path, settings=settings)
    with pytest.raises(StitchlogError, match=r"stitchlog\.toml.*fix"):
        materials.thread(diary, "Pears")


def test_sentences_name_what_runs_short(tmp_path):
    diary = diary_of(
        tmp_path,
        pieces=PIECES + "Herd,8000,,,14,1,2,\n",
        threads="code,name,hex,skeins\nA,one,#000000,0.5\nB,two,#ffffff,9\n",
        chart_colours="piece,code,stitches\nHerd,A,4000\nHerd,B,4000\n",
    )
    said = materials.say_thread(materials.thread(diary, "Herd"))
    assert "1 colour will run short: A one" in said and "all of it still needed" in said
