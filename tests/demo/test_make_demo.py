"""The demo diary: the script writes what is kept, and what is kept tells the story that the reports need."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from PIL import Image

from stitchlog import open_diary

ROOT = Path(__file__).resolve().parents[2]
DEMO = ROOT / "data_demo"


def frame(name: str, **kwargs) -> pd.DataFrame:
    return pd.read_csv(DEMO / f"{name}.csv", **kwargs)


@pytest.fixture(scope="module")
def diary() -> pd.DataFrame:
    out = frame("diary", parse_dates=["date"])
    counted = out.reindex(columns=["stitches", "half", "quarter", "three_quarter", "unpicked"]).fillna(0)
    return out.assign(
        net=counted @ pd.Series({"stitches": 1, "half": 0.5, "quarter": 0.25, "three_quarter": 0.75, "unpicked": -1})
    )


@pytest.fixture(scope="module")
def again(tmp_path_factory) -> Path:
    folder = tmp_path_factory.mktemp("demo")
    subprocess.run([sys.executable, str(ROOT / "tests" / "demo" / "make_demo.py"), str(folder)], check=True)
    return folder


def test_the_script_writes_the_same_files_again(again):
    def files(folder):
        return sorted(
            p.relative_to(folder).as_posix() for p in folder.rglob("*") if p.suffix in (".csv", ".toml", ".png")
        )

    kept = [name for name in files(DEMO) if not name.startswith("store/")]
    assert files(again) == kept
    for name in kept:
        if not name.endswith(".png"):
            assert (again / name).read_bytes() == (DEMO / name).read_bytes(), name


def test_the_script_draws_the_same_pictures_again(again):
    # Pixel by pixel: the compressed bytes may differ from one build of zlib to another.
    for picture in sorted((DEMO / "photos").rglob("*.png")):
        with Image.open(picture) as kept, Image.open(again / picture.relative_to(DEMO)) as new:
            assert np.array_equal(np.asarray(kept.convert("RGB")), np.asarray(new.convert("RGB"))), picture.name


def test_it_reads_without_a_problem():
    read = open_diary(DEMO)
    assert read.problems.empty
    assert len(read.sessions) == len(frame("diary"))


def test_it_is_long_and_wide_enough(diary):
    pieces = frame("pieces")
    assert diary["date"].min() <= pd.Timestamp("2025-01-31") and diary["date"].max() == pd.Timestamp("2026-10-31")
    assert diary["date"].is_monotonic_increasing
    assert len(diary) >= 500 and len(pieces) >= 16
    assert 0.1 < diary["minutes"].isna().mean() < 0.4
    assert pieces["total"].max() == 90_000 and pieces["total"].min() < 1_000
    assert {14, 16, 18, 20, 22, 25, 28, 32, 36, 40} <= set(pieces["count"])
    assert set(pieces["over"].dropna()) == {1, 2}
    assert len(frame("threads")) >= 60 and frame("threads")["code"].is_unique


def test_every_kind_of_row_is_there(diary):
    for column in (
        "half",
        "quarter",
        "three_quarter",
        "unpicked",
        "so_far",
        "backstitch",
        "knots",
        "beads",
        "photo",
        "note",
    ):
        assert diary[column].notna().any(), column
    only_minutes = diary[["stitches", "half", "quarter", "three_quarter", "so_far"]].isna().all(axis=1)
    assert diary.loc[only_minutes, "minutes"].notna().all() and only_minutes.any()
    assert diary["colours"].str.contains(":").any() and (~diary["colours"].str.contains(":")).any()


def test_the_story_has_its_turns(diary):
    days = set(diary["date"])
    assert not any(day in days for day in pd.date_range("2025-06-01", "2025-06-30"))  # a missed month
    assert (
        len(diary[diary["date"].between("2026-02-09", "2026-03-01")]) == 1
    )  # a borrowed flat: one thread in three weeks
    pieces = frame("pieces", parse_dates=["set_aside", "finished"]).set_index("piece")
    last = diary.groupby("piece")["date"].max()
    assert (last[pieces["set_aside"].dropna().index] > pieces["set_aside"].dropna()).any()  # picked up again
    assert not set(pieces.index) <= set(last.index)  # one never started
    assert (pieces["finished"].dropna() == last[pieces["finished"].dropna().index]).all()
    assert pieces["finished"].notna().sum() >= 5


def test_finished_pieces_end_on_their_total(diary):
    pieces = frame("pieces").set_index("piece")
    done = diary.groupby("piece")["net"].sum().add(pieces["done_before"].fillna(0), fill_value=0)
    finished = pieces.index[pieces["finished"].notna()]
    assert (done[finished] == pieces.loc[finished, "total"]).all()


def test_charts_add_up_to_their_pieces():
    pieces = frame("pieces").set_index("piece")
    total = pieces["total"].fillna(pieces["width"] * pieces["height"] * pieces["coverage"])
    charts = frame("chart_colours").groupby("piece")["stitches"].sum()
    assert len(charts) >= 4
    assert charts.to_dict() == pytest.approx(total[charts.index].to_dict())
    assert set(frame("chart_colours")["code"]) <= set(frame("threads")["code"])


def test_the_drawer_is_worth_looking_into():
    pieces, fabrics = frame("pieces"), frame("fabrics")
    waiting = pieces[pieces["started"].isna() & pieces["done_before"].isna()]
    assert len(waiting) == 12 and waiting["width"].isna().any() and waiting["pages"].notna().any()
    assert len(fabrics) == 10 and fabrics["name"].is_unique
    colours = [[int(colour[i : i + 2], 16) for i in (1, 3, 5)] for colour in fabrics["colour"]]
    greens = [colour for colour in colours if colour[1] > max(colour[0], colour[2]) + 9]
    assert len(greens) == 2 and all(abs(a - b) <= 2 for a, b in zip(*greens, strict=True))


def test_events_lie_behind_and_ahead(diary):
    events = frame("events", parse_dates=["starts", "ends"])
    ahead = events[events["starts"] > diary["date"].max()]
    assert set(events["kind"]) == {"target", "start", "finish", "length"}
    assert len(ahead["event"].unique()) >= 3 and len(events["event"].unique()) - len(ahead["event"].unique()) >= 3
    assert frame("prompts").groupby("event").size().min() >= 12
    assert set(frame("prompts")["event"]) <= set(events["event"])


def test_every_finish_has_a_picture(diary):
    pieces = frame("pieces").set_index("piece")
    for piece, day in pieces["finished"].dropna().items():
        named = f"photos/{piece.lower().replace(' ', '-')}-{day}.png"
        assert (DEMO / named).exists() or (DEMO / "photos" / piece / f"{day}.png").exists(), piece


def test_pictures_are_named_or_lie_by_piece_and_small(diary):
    listed = diary["photo"].dropna()
    taken = sorted(p.relative_to(DEMO).as_posix() for p in (DEMO / "photos").rglob("*.png"))
    assert sorted(listed) == [path for path in taken if path.count("/") == 1]
    assert {Path(p).parent.name for p in taken if p.count("/") == 2} <= {*frame("pieces")["piece"], "bought"}
    assert set(frame("bought")["photo"].dropna()) <= set(taken)
    assert diary.loc[listed.index].groupby("piece").size().ge(2).sum() >= 6
    sizes = [(DEMO / name).stat().st_size for name in taken]
    assert max(sizes) < 60_000 and sum(sizes) < 2_500_000


def test_said_and_bought(diary):
    goals, bought = frame("goals"), frame("bought", parse_dates=["date"])
    assert set(goals["kind"].dropna()) == {"stitches", "percent", "sessions", "start", "finish"}
    assert {"met", "partly", "dropped"} <= set(goals["outcome"].dropna())
    assert (goals["month"] == "2026-10").sum() >= 5 and (goals["month"] == "2026-11").sum() >= 3
    assert bought["date"].dt.to_period("M").eq("2026-10").sum() == 3 and len(bought) >= 12
    assert set(bought["what"]) == {"chart", "kit", "fabric", "thread", "tool"}
