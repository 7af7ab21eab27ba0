"""Killed at any moment, what is there is the old store or the new one."""

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pyarrow.parquet as pq
import pytest

from stitchlog.diary import store
from tests.diary.reading.folders import HEAD

ROUNDS = 7

# Writes the store over and over, of one diary and the other by turns, saying when it begins.
WRITER = """
import sys, pathlib
from stitchlog.diary import store
folder, versions = pathlib.Path(sys.argv[1]), [pathlib.Path(p).read_bytes() for p in sys.argv[2:]]
print("ready", flush=True)
while True:
    for version in versions:
        (folder / "diary.csv").write_bytes(version)
        store.ingest(folder)
"""


def diary(stitches: int) -> str:
    return HEAD + "".join(f"Piece {i % 5},2026-01-{i % 28 + 1:02},{stitches},30,\n" for i in range(300))


@pytest.mark.skipif(os.name == "nt", reason="no kill -9")
def test_killed_at_any_moment_the_store_is_the_old_one_or_the_new_one(tmp_path):
    folder = tmp_path / "diary"
    folder.mkdir()
    versions = []
    for stitches in (1, 2):
        path = tmp_path / f"{stitches}.csv"
        path.write_text(diary(stitches))
        versions.append(str(path))
    (folder / "diary.csv").write_text(diary(1))
    store.ingest(folder)
    seen = set()
    for round_ in range(ROUNDS):
        writer = subprocess.Popen([sys.executable, "-c", WRITER, str(folder), *versions], stdout=subprocess.PIPE)
        assert writer.stdout is not None and writer.stdout.readline() == b"ready\n"
        # Moments spread over several writes, each round another one.
        time.sleep(0.02 + 0.137 * round_ % 0.11)
        writer.send_signal(signal.SIGKILL)
        writer.wait()
        writer.stdout.close()
        seen.add(_whole(folder / "store"))
    assert seen <= {1.0, 2.0}
    # And the next run takes up where it was, leaving nothing behind.
    (folder / "diary.csv").write_text(diary(3))
    assert not store.ingest(folder).skipped and _whole(folder / "store") == 3.0
    assert [p.name for p in folder.iterdir() if p.name.startswith(".store-")] == []


def _whole(place: Path) -> float:
    """The stitches of every session of a store, all of whose files carry one stamp."""
    stamps = {pq.read_metadata(path).metadata[b"stitchlog"] for path in place.glob("*.parquet")}
    assert len(stamps) == 1 and len(list(place.glob("*.parquet"))) == len(store.TABLES)
    assert (place / "left_out.csv").read_text().startswith("file,")
    stitches = set(pq.read_table(place / "sessions.parquet")["stitches"].to_pylist())
    assert len(stitches) == 1
    return stitches.pop()
