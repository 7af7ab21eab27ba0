"""Files written through the one door: their own bytes only, all or none, and the way back."""

import datetime as dt
import json
import os

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stitchlog.diary import disk
from stitchlog.entry import writing
from stitchlog.entry.csvfile import CsvFile
from stitchlog.entry.writing import change, changes, undo
from stitchlog.errors import StitchlogError

DAY = dt.date(2026, 11, 1)


@pytest.fixture
def folder(tmp_path):
    (tmp_path / "diary.csv").write_bytes(b"piece,date,stitches\nOtter,2026-10-01,5\n")
    (tmp_path / "pieces.csv").write_bytes(b"piece;total;mood\r\n Otter ;1000; fine\r\nFern;;\r\n")
    return tmp_path


def held(folder):
    return {p.name: p.read_bytes() for p in folder.iterdir() if p.suffix in (".csv", ".toml")}


def log(folder, stitches):
    with change(folder, DAY, f"{stitches} stitches") as files:
        files.append_rows("diary.csv", [{"piece": "Otter", "date": DAY, "stitches": stitches}])


def test_several_files_change_together_with_one_set_of_copies(folder):
    before = held(folder)
    with change(folder, DAY, "all") as files:
        files.append_rows("diary.csv", [{"piece": "Otter", "date": DAY, "stitches": 2.5}])
        files.set_cells("pieces.csv", "otter", {"total": 1200, "due": DAY})
        files.write_text("stitchlog.toml", 'date_order = "day-first"\n')
        assert held(folder) == before
        assert files.read().tables["sessions"].num_rows == 2
    assert (folder / "diary.csv").read_bytes() == before["diary.csv"] + b"Otter,2026-11-01,2.5\n"
    assert (folder / "pieces.csv").read_bytes() == (
        b"piece;total;mood;due\r\n Otter ;1200; fine;2026-11-01\r\nFern;;;\r\n"
    )
    assert sorted(p.name for p in (folder / "copies").iterdir()) == [
        "changes.json",
        "diary-2026-11-01.csv",
        "pieces-2026-11-01.csv",
    ]
    assert (folder / "copies" / "pieces-2026-11-01.csv").read_bytes() == before["pieces.csv"]
    undo(folder, DAY)
    assert held(folder) == before


def test_a_block_that_raises_or_changes_nothing_leaves_no_trace(folder):
    with pytest.raises(RuntimeError), change(folder, DAY) as files:
        files.set_cells("pieces.csv", "Otter", {"total": 3})
        raise RuntimeError
    with change(folder, DAY) as files:
        files.set_cells("pieces.csv", "Otter", {"total": 1000})
    assert not (folder / "copies").exists()


def test_the_last_change_goes_and_comes_back_and_earlier_ones_go_too(folder):
    states = [held(folder)]
    for stitches in (1, 2, 3):
        log(folder, stitches)
        states.append(held(folder))
    assert (undo(folder, DAY).said, held(folder)) == ("3 stitches", states[2])
    assert (undo(folder, DAY).back, held(folder)) == (False, states[3])
    undo(folder, DAY)
    for kept in (1, 0):
        assert undo(folder, DAY, earlier=True).back and held(folder) == states[kept]
    with pytest.raises(StitchlogError, match="nothing to undo"):
        undo(folder, DAY, earlier=True)
    log(folder, 4)
    assert undo(folder, DAY, earlier=True).said == "4 stitches" and held(folder) == states[0]


def test_what_was_changed_by_hand_since_is_not_taken_back(folder):
    log(folder, 1)
    (folder / "diary.csv").write_bytes(b"piece,date,stitches\nFern,2026-10-02,7\n")
    with pytest.raises(StitchlogError, match=r"copies/diary-2026-11-01\.csv"):
        undo(folder, DAY)
    assert b"Fern" in (folder / "diary.csv").read_bytes()


def test_what_is_saved_during_the_change_is_not_written_over(folder):
    with pytest.raises(StitchlogError, match="this moment"), change(folder, DAY) as files:
        files.append_rows("diary.csv", [{"piece": "Otter"}])
        (folder / "diary.csv").write_bytes(b"piece,date,stitches\n")
    assert (folder / "diary.csv").read_bytes() == b"piece,date,stitches\n"


def test_cut_off_anywhere_it_is_done_or_not_done(folder, monkeypatch):
    """Every step of the disk fails in turn as if the power went: nothing after it happens."""

    class Gone(BaseException):
        pass

    start = held(folder)
    real = {name: getattr(os, name) for name in ("replace", "fsync", "unlink")}
    seen = set()
    for steps in range(60):
        left = steps

        def cut(name, *arguments, **named):
            nonlocal left
            left -= 1
            if left < 0:
                raise Gone
            return real[name](*arguments, **named)

        with monkeypatch.context() as patch:
            for name in real:
                patch.setattr(os, name, lambda *a, _n=name, **k: cut(_n, *a, **k))
            try:
                with change(folder, DAY, "both") as files:
                    files.append_rows("diary.csv", [{"piece": "Otter", "date": DAY, "stitches": 9}])
                    files.set_cells("pieces.csv", "Otter", {"total": 7})
                finished = True
            except Gone:
                finished = False
        with disk.locked(folder):
            pass
        now = held(folder)
        done = now["diary.csv"].endswith(b"Otter,2026-11-01,9\n")
        assert (b" Otter ;7;" in now["pieces.csv"]) is done and (now == start) is not done
        assert (changes(folder)[-1:] != [] and not changes(folder)[-1].back) is done
        assert not list(folder.glob(".stitchlog*new"))
        seen.add(done)
        if done:
            undo(folder, DAY)
        if finished:
            break
    assert finished and seen == {True, False}


def test_links_and_rights_stay(folder):
    away = folder / "cloud"
    away.mkdir()
    (folder / "diary.csv").rename(away / "diary.csv")
    (folder / "diary.csv").symlink_to(away / "diary.csv")
    (away / "diary.csv").chmod(0o640)
    log(folder, 5)
    assert (folder / "diary.csv").is_symlink() and (away / "diary.csv").stat().st_mode & 0o777 == 0o640
    assert (away / "diary.csv").read_bytes().endswith(b"Otter,2026-11-01,5\n")


def test_old_sets_of_copies_go_and_what_is_not_ours_stays(folder, monkeypatch):
    monkeypatch.setattr(writing, "MOST_COPIES", 3)
    (folder / "copies").mkdir()
    (folder / "copies" / "mine-2026-11-01.csv").write_text("mine")
    for stitches in range(6):
        log(folder, stitches)
    kept = [p for p in (folder / "copies").iterdir() if p.name.startswith("diary-")]
    assert len(kept) == 3 and (folder / "copies" / "mine-2026-11-01.csv").exists()
    assert all((folder / "copies" / e.before["diary.csv"]).exists() for e in changes(folder))
    assert len(json.loads((folder / "copies" / "changes.json").read_bytes())) == 3


@pytest.mark.parametrize(
    ("data", "cells", "now"),
    [
        (b'piece,total\n"Otter",""\n', {"total": 5}, b'piece,total\n"Otter","5"\n'),
        (b"piece,total,\nOtter,1,\nFern\n", {"due": "x"}, b"piece,total,due\nOtter,1,x\nFern\n"),
        (b"piece,total\nFern,1,spare\nOtter\n\n", {"due": "x"}, b"piece,total,due\nFern,1,,spare\nOtter,,x\n\n"),
        (b"sep=;\r\npiece;total\r\nOtter;", {"total": 2.5}, b"sep=;\r\npiece;total\r\nOtter;2,5"),
        (b"\xef\xbb\xbftotal\tpiece\r1\tOtter\r", {"fabric": 'a "b"'}, None),
        (b"piece,note\nCaf\xe9 \xff\xfe,\nOtter,\n", {"total": 3}, b"piece,note,total\nCaf\xe9 \xff\xfe,,\nOtter,,3\n"),
        (b'piece,tags\nFern,"never closed\nOtter,bird\n', {"tags": ""}, b'piece,tags\nFern,"never closed\nOtter,\n'),
    ],
)
def test_only_the_cells_meant_change(data, cells, now):
    file = CsvFile("pieces.csv", data)
    assert file.change({"piece": "OTTER"}, cells)
    assert file.bytes == (now or b'\xef\xbb\xbftotal\tpiece\tfabric\r1\tOtter\t"a ""b"""\r')


CELLS = st.text(st.sampled_from('ab é,;"\n\r\t 1'), max_size=5)


@settings(max_examples=60, deadline=None)
@given(st.lists(CELLS, min_size=3, max_size=3), CELLS, st.sampled_from(",;\t"), st.sampled_from(["\n", "\r\n", "\r"]))
def test_any_cell_reads_back_and_the_others_stay(others, new, delimiter, newline):
    import csv
    import io

    out = io.StringIO()
    writer = csv.writer(out, delimiter=delimiter, lineterminator=newline, quoting=csv.QUOTE_ALL)
    writer.writerows([["piece", "fabric", "tags", "total"], ["Fern", *others], ["Otter", *others], ["Moss", *others]])
    file = CsvFile("pieces.csv", out.getvalue().encode())
    file.change({"piece": "Otter"}, {"tags": new})
    rows = file.rows()
    assert [row["piece"] for row in rows] == ["Fern", "Otter", "Moss"]
    assert rows[1]["tags"].strip() == new.strip()
    assert file.bytes.split(b'"Otter"')[0] == out.getvalue().encode().split(b'"Otter"')[0]
    assert file.bytes.split(b'"Moss"')[1] == out.getvalue().encode().split(b'"Moss"')[1]
