"""Bytes in, nothing out but our own errors: the reader under files that were cut, doubled, flipped and mixed.

By hand, for as long as one likes: python -m tests.diary.reading.fuzz --runs 100000 --seed 1
"""

from __future__ import annotations

import argparse
import random
from pathlib import Path

import numpy as np

from stitchlog.diary import counting, schema
from stitchlog.diary.reading import grid
from stitchlog.diary.reading import text as texts
from stitchlog.diary.reading.reader import Reading, read_folder
from stitchlog.diary.settings import Settings
from stitchlog.entry import checking
from stitchlog.errors import StitchlogError

DIARY = (
    "piece,date,stitches,half,unpicked,so_far,minutes,colours,photo,note\r\n"
    'Otter Creek,2026-10-01,120,4,,,75,B12:100; B14,photos/a.jpg,"rain, and ""tea"""\r\n'
    "Otter Creek,2026-10-02,,,,240,60,,,\r\n"
    '"Salt\nWind",2026-10-02,80,,3,,,,,"two\r\nlines"\r\n'
    "NA,2026-10-03,,,,,45,,,\r\n"
    "Café,31/10/2026,1.234,,,,,,,\r\n"
    "=1+1,2026-10-04,7,,,,,:x; a:b,../x.png,\r\n"
)
PIECES = (
    "piece,total,width,height,coverage,started,want,tags\n"
    "Otter Creek,4000,,,,2026-01-01,0.5,bird; travel\nCafe,,10,20,80%,,,\n"
)
EVENTS = (
    "event,part,starts,ends,target,piece,half_counts,kind\nAutumn,1,2026-10-01,2026-10-07,500,Otter Creek,0.5,target\n"
)
THREADS = "code;name;hex;skeins\nB12;moss;#8fae5d;1,5\nB14;sky;8ad;2\n"
SEEDS: dict[str, bytes] = {
    "diary.csv": DIARY.encode(),
    "pieces.csv": PIECES.encode(),
    "events.csv": EVENTS.encode(),
    "threads.csv": THREADS.encode(),
    "prompts.csv": b"event,prompt,needs,stitches\nAutumn,something blue,bird; sea,50\n",
    "chart_colours.csv": b"piece,code,stitches\nOtter Creek,B12,900\n",
}
TOKENS = [
    *(b'"', b'""', b",", b";", b"\t", b"\r", b"\n", b"\r\n", b"\0", b"\xff", b"\xe9", b"\xef\xbb\xbf", b"\xff\xfe"),
    *(b"nan", b"inf", b"1e999", b"-5", b"1.234", b"1,5", b"46023", b"31/10/2026", b"10/31/2026", b"2026-02-29"),
    *(b"so_far", b"piece", b"date", b"sep=;\n", b"=1+1", b"\xc3", b"\xe2\x80\xa8", b"\x1a", b"0x1F", b"99999999999"),
]


def mutated(data: bytes, chance: random.Random) -> bytes:
    """The file after a few accidents."""
    out = bytearray(data)
    for _ in range(chance.randrange(1, 6)):
        at = chance.randrange(len(out) + 1)
        end = min(len(out), at + chance.randrange(1, 40))
        accident = chance.randrange(7)
        if accident == 0:
            del out[at:end]
        elif accident == 1:
            out[at:at] = out[at:end]
        elif accident == 2 and at < len(out):
            out[at] = chance.randrange(256)
        elif accident == 3:
            out[at:at] = chance.choice(TOKENS)
        elif accident == 4:
            out[at:end] = chance.choice(TOKENS)
        elif accident == 5:
            del out[at:]
        else:
            encoding = chance.choice(["utf-16", "cp1252", "utf-8-sig", "utf-16-be", "latin-1"])
            out = bytearray(out.decode("utf-8", "replace").encode(encoding, "replace"))
    return bytes(out)


def hold(files: dict[str, bytes], settings: Settings | None = None) -> Reading | None:
    """Read the files and hold the reader to its promises. None where they are refused as a whole, in one line."""
    try:
        read = read_folder(Path("."), files, settings)
        reading = counting.worked_out(read)
    except StitchlogError as err:
        message = str(err)
        assert message and "\n" not in message and "\r" not in message, message
        return None
    for file, counts in reading.counts.items():
        gone = [row for row in reading.left_out.to_pylist() if row["file"] == file]
        assert counts.read == counts.stored + counts.left_out
        assert counts.left_out == len(gone), (file, counts, gone)
        assert counts.stored == read.tables[file.removesuffix(".csv")].num_rows
        assert len({row["line"] for row in gone}) == len(gone)
        for row in gone:
            assert "\ufffd" in row["row"] or row["row"] in texts.decode(files[file], file).text
            assert row["reason"] and row["mend"] and row["row"].strip() and row["line"] >= 1
    sessions = reading.tables["sessions"]
    assert sessions.num_rows == reading.counts["diary.csv"].stored
    assert sessions["stitches"].null_count == 0 and np.isfinite(sessions["stitches"].to_numpy()).all()
    assert set(sessions["piece"].to_pylist()) <= set(reading.tables["pieces"]["piece"].to_pylist())
    assert all(len(line) <= 60 for line in checking.as_text(reading, 60).splitlines())
    checking.as_csv(reading)
    checking.as_json(reading)
    for table in schema.TABLES:
        agree(files.get(table.file), table)
    return reading


def agree(data: bytes | None, table: schema.Table) -> None:
    """Where a file can be cut at once, the cells, lines and raw rows are those of the careful way."""
    from stitchlog.diary.reading.fast import cut_fast

    try:
        source = texts.decode(data or b"", table.file)
        found = grid.opening(source, table)
    except StitchlogError:
        return
    if found is None:
        return
    fast = cut_fast(source, *found)
    if fast is None:
        return
    careful = grid.cut_carefully(source, *found)
    assert not careful.misfits, careful.misfits
    assert [column.to_pylist() for column in fast.columns] == [column.to_pylist() for column in careful.columns]
    assert fast.lines.tolist() == careful.lines.tolist()
    assert [fast.raw(i) for i in range(len(fast))] == [careful.raw(i) for i in range(len(careful))]


def run(runs: int, seed: int = 0) -> int:
    """Hold the reader to its promises under `runs` mutated folders. Returns how many were read, not refused."""
    read = 0
    for n in range(seed, seed + runs):
        chance = random.Random(n)
        files = dict(SEEDS)
        for name in chance.sample(list(files), chance.randrange(1, 4)):
            files[name] = mutated(files[name], chance)
        order = chance.choice([None, "day-first", "month-first", "iso"])
        try:
            read += hold(files, Settings(date_order=order)) is not None
        except Exception as err:
            raise AssertionError(f"seed {n}: {files!r}") from err
    return read


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--runs", type=int, default=10_000)
    parser.add_argument("--seed", type=int, default=0)
    asked = parser.parse_args()
    print(f"{run(asked.runs, asked.seed)} of {asked.runs} folders read, the others refused in one line")
