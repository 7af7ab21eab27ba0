"""The store: replaced whole or not at all, and only when something has changed."""

import datetime as dt
import errno
import os
import shutil
import subprocess
import sys
import threading
from dataclasses import replace
from pathlib import Path

import pandas as pd
import pyarrow.parquet as pq
import pytest

from stitchlog import open_diary
from stitchlog.diary import disk, store
from stitchlog.entry import adding
from stitchlog.errors import StitchlogError
from tests.diary.reading.folders import HEAD


@pytest.fixture
def diary(tmp_path) -> Path:
    folder = tmp_path / "diary"
    folder.mkdir()
    rows = 'Otter Creek,2026-01-01,5,30,\n=1+1,2026-01-02,12o,,"a, b"\nOtter Creek,2026-01-03,7,,\n'
    (folder / "diary.csv").write_text(HEAD + rows)
    (folder / "pieces.csv").write_text("piece,total\nOtter Creek,100\n")
    return folder


def snapshot(folder: Path) -> dict[str, bytes]:
    return {p.name: p.read_bytes() for p in sorted((folder / "store").iterdir())}


def leftovers(folder: Path) -> list[str]:
    return [p.name for p in folder.iterdir() if p.name.startswith((".store-", ".datapackage-"))]


def test_ingest_says_what_it_read_stored_and_left_out(diary):
    done = store.ingest(diary)
    assert (done.read, done.stored, done.left_out, done.skipped) == (4, 3, 1, False)
    assert pq.read_table(diary / "store" / "sessions.parquet")["stitches"].to_pylist() == [5.0, 7.0]
    left_out = pd.read_csv(diary / "store" / "left_out.csv")
    assert left_out[["file", "line", "column", "value"]].values.tolist() == [["diary.csv", 3, "stitches", "12o"]]
    # A spreadsheet would run the row as a formula, so it has an apostrophe in front here, and only here.
    assert left_out["row"].tolist() == ['\'=1+1,2026-01-02,12o,,"a, b"']
    assert open_diary(diary).left_out["row"].tolist() == ['=1+1,2026-01-02,12o,,"a, b"']


def test_reading_again_changes_nothing_and_is_skipped(diary):
    store.ingest(diary)
    before = snapshot(diary)
    times = {p: p.stat().st_mtime_ns for p in (diary / "store").iterdir()}
    assert store.ingest(diary).skipped
    assert {p: p.stat().st_mtime_ns for p in (diary / "store").iterdir()} == times
    shutil.rmtree(diary / "store")
    assert not store.ingest(diary).skipped and snapshot(diary) == before


def test_a_summary_of_a_skipped_run_says_the_same(diary):
    assert replace(store.ingest(diary), skipped=True) == store.ingest(diary)


@pytest.mark.parametrize("name", ["diary.csv", "pieces.csv", "stitchlog.toml", "threads.csv"])
def test_any_change_of_what_was_read_is_seen_even_within_the_same_instant(diary, name):
    store.ingest(diary)
    path = diary / name
    text = path.read_text() if path.exists() else {"stitchlog.toml": "waste = 0\n", "threads.csv": "code\n"}[name]
    stat = (diary / "diary.csv").stat()
    path.write_text(text.replace("5", "6") if name.endswith("s.csv") or name == "diary.csv" else text)
    if name == "pieces.csv":
        path.write_text("piece,total\nOtter Creek,101\n")
    os.utime(path, ns=(stat.st_atime_ns, stat.st_mtime_ns))
    assert not store.ingest(diary).skipped


def test_a_diary_opens_the_same_from_the_store_and_from_memory(diary, monkeypatch):
    stored = open_diary(diary)
    assert (diary / "store").is_dir()
    monkeypatch.setattr(store, "_read", lambda *_: None)
    monkeypatch.setattr(store, "_replaced", _fails(OSError(errno.EROFS, "read-only")))
    in_memory = open_diary(diary)
    for name in store.TABLES:
        pd.testing.assert_frame_equal(getattr(stored, name), getattr(in_memory, name))


def test_opening_brings_the_store_up_to_date(diary):
    assert len(open_diary(diary).sessions) == 2
    with (diary / "diary.csv").open("a") as out:
        out.write("Otter Creek,2026-01-04,9,,\n")
    assert len(open_diary(diary).sessions) == 3
    assert store.ingest(diary).skipped


@pytest.mark.parametrize("harm", ["cut", "gone", "mixed", "left_out"])
def test_a_damaged_store_is_written_anew(diary, tmp_path, harm):
    store.ingest(diary)
    whole = snapshot(diary)
    path = diary / "store" / "pieces.parquet"
    if harm == "cut":
        path.write_bytes(path.read_bytes()[:100])
    elif harm == "gone":
        path.unlink()
    elif harm == "left_out":
        (diary / "store" / "left_out.csv").unlink()
    else:
        other = tmp_path / "other"
        shutil.copytree(diary, other)
        (other / "pieces.csv").write_text("piece,total\nOtter Creek,999\n")
        store.ingest(other)
        shutil.copy(other / "store" / "pieces.parquet", path)
    assert open_diary(diary).pieces["total"].tolist()[0] == 100
    assert snapshot(diary) == whole


def _fails(error):
    def fail(*_args, **_kwargs):
        raise error

    return fail


@pytest.mark.parametrize(
    ("number", "says"),
    [
        (errno.ENOSPC, "no room on the disk"),
        (errno.EROFS, "read-only"),
        (errno.EACCES, "read-only"),
        (errno.EIO, "disk"),
    ],
)
@pytest.mark.parametrize("where", ["to_disk", "into_place"])
def test_what_goes_wrong_leaves_the_old_store_and_says_what_to_do(diary, monkeypatch, number, says, where):
    store.ingest(diary)
    before = snapshot(diary)
    (diary / "diary.csv").write_text(HEAD + "Otter Creek,2026-01-01,6,,\n")
    monkeypatch.setattr(disk, where, _fails(OSError(number, os.strerror(number))))
    with pytest.raises(StitchlogError, match=says) as refused:
        store.ingest(diary)
    assert "\n" not in str(refused.value)
    assert snapshot(diary) == before and leftovers(diary) == []
    # Reports work all the same, in memory.
    assert open_diary(diary).sessions["stitches"].tolist() == [6.0]
    assert (store.up_to_date(diary).read_rows, store.up_to_date(diary).left_out_rows) == (2, 0)


def test_a_disk_that_is_really_full_leaves_the_old_store(diary):
    store.ingest(diary)
    before = snapshot(diary)
    (diary / "diary.csv").write_text(HEAD + "".join(f"P{i},2026-01-01,{i},,{i * 7919}\n" for i in range(3000)))
    code = (
        "import resource, sys\nfrom stitchlog.diary import store\nfrom stitchlog.errors import StitchlogError\n"
        "resource.setrlimit(resource.RLIMIT_FSIZE, (20_000, 20_000))\n"
        "try:\n    store.ingest(sys.argv[1])\nexcept StitchlogError as err:\n    print(err)\n"
    )
    out = subprocess.run([sys.executable, "-c", code, str(diary)], capture_output=True, text=True, check=True)
    assert "no room on the disk" in out.stdout and out.stderr == ""
    assert snapshot(diary) == before and leftovers(diary) == []


def test_without_an_exchange_in_one_step_two_renames_do(diary, monkeypatch):
    store.ingest(diary)
    (diary / "diary.csv").write_text(HEAD + "Otter Creek,2026-01-01,6,,\n")
    monkeypatch.setattr(disk, "_exchanged", lambda *_: False)
    assert not store.ingest(diary).skipped
    assert open_diary(diary).sessions["stitches"].tolist() == [6.0] and leftovers(diary) == []


def test_a_file_in_the_place_of_the_store_is_left_alone(diary):
    (diary / "store").write_text("mine")
    with pytest.raises(StitchlogError, match="cannot be written"):
        store.ingest(diary)
    assert (diary / "store").read_text() == "mine" and leftovers(diary) == []
    assert len(open_diary(diary).sessions) == 2


def test_ingests_and_additions_at_once_all_end_well(diary):
    faults: list[BaseException] = []

    def quietly(work, *args, **cells):
        try:
            work(*args, **cells)
        except BaseException as fault:
            faults.append(fault)

    today = dt.date(2026, 1, 5)
    jobs = [threading.Thread(target=quietly, args=(store.ingest, diary)) for _ in range(4)]
    jobs += [
        threading.Thread(target=quietly, args=(adding.add, diary, "otter", 1), kwargs={"today": today, "yes": True})
        for _ in range(4)
    ]
    for job in jobs:
        job.start()
    for job in jobs:
        job.join()
    assert faults == []
    assert len(open_diary(diary).sessions) == 6
    assert leftovers(diary) == []


def test_no_diary_is_said_in_one_line(tmp_path):
    with pytest.raises(StitchlogError, match="there is no diary"):
        store.ingest(tmp_path)
    with pytest.raises(StitchlogError, match="not a folder"):
        store.ingest(tmp_path / "nowhere")
    assert list(tmp_path.iterdir()) == []
