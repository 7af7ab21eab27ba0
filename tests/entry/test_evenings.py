"""Two weeks of tired evenings at the command line: every slip is caught or taken back, and no CSV file is opened."""

import datetime as dt
import os
import random
import signal
import sys

import pytest

from stitchlog.cli import main, shared
from stitchlog.diary import clock, disk
from stitchlog.entry import adding, pieces, writing

DAY = dt.date(2026, 11, 1)
DIARY = b"piece;date;stitches;minutes;mood\r\nOtter Creek;2026-10-30;100;60;calm\r\n"
# About so many lines of what writes are run by one change.
LINES = 500
PIECES = '\ufeffpiece;my no;total\r\nOtter Creek; 7 ;"1000"\r\nFée Verte;8;2000\r\n'.encode()


@pytest.fixture
def evening(tmp_path, capsys, monkeypatch):
    """Types a command on a day of November 2026; returns its exit status and all that it said."""
    (tmp_path / "diary.csv").write_bytes(DIARY)
    (tmp_path / "pieces.csv").write_bytes(PIECES)
    monkeypatch.setattr(shared, "at_terminal", lambda: False)

    def typed(day, line, *answers):
        monkeypatch.setattr(clock, "today", lambda: dt.date(2026, 11, day))
        command, *rest = line.split("|")
        status = main([command, str(tmp_path), *rest])
        said = capsys.readouterr()
        assert "Traceback" not in said.err and said.err.count("\n") <= 1
        return status, (said.out + said.err).replace(str(tmp_path), "DIR")

    return typed


def test_two_weeks_of_slips_leave_the_files_right_to_the_byte(evening, tmp_path):
    def done(day, line):
        status, said = evening(day, line)
        assert status == 0, said
        return said

    def refused(day, line, why):
        before = (tmp_path / "diary.csv").read_bytes(), (tmp_path / "pieces.csv").read_bytes()
        status, said = evening(day, line)
        assert status == 2 and why in said, said
        assert before == ((tmp_path / "diary.csv").read_bytes(), (tmp_path / "pieces.csv").read_bytes())

    assert done(1, "add|otter|140|--minutes|75") == (
        "Otter Creek: 140 today, 240 of 1,000, 24%; undo: stitchlog undo DIR\n"
    )
    # A typing slip in the number, seen a moment later.
    done(2, "add|otter|41")
    assert "Undone: Otter Creek, 2 November 2026: 41 stitches" in done(2, "undo")
    done(2, "add|otter|14")
    refused(2, "add|otter|14", "has this same session on 2 November 2026 already")
    refused(2, "add|otter|14o", "is not a number")
    # The wrong day, the wrong piece, a name left without quotes, an accent left out.
    done(4, "add|fee|50")
    done(4, "undo")
    assert "50 yesterday" in done(4, "add|fee|50|--date|yesterday")
    refused(4, "add|fee|50|--date|6 Nov 2026", "has not come yet")
    refused(4, "add|fee|50|--date|31 feb", '"31 feb"')
    done(5, "add|Otter|Creek|30")
    done(5, "undo")
    done(5, "add|fee verte|30|--date|monday")
    # A new piece, named like a known one.
    refused(6, "add|Otter Creek II|20", "the nearest: Otter Creek")
    assert "New piece: Otter Creek II: 20 today, 20 of 3,000" in done(6, "add|Otter Creek II|20|--total|3000")
    done(7, "piece|Otter Creek II|--total|3100|--count|28|--due|24 Dec")
    # Put aside, taken up again, finished too early, finished.
    done(8, "piece|fee|--set-aside")
    done(8, "undo")
    assert "Redone: Fée Verte: set aside 8 November 2026" in done(8, "undo")
    done(9, "piece|fee|--picked-up")
    refused(10, "piece|otter creek|--finished", "has 254 of 1,000 stitches")
    done(11, "add|otter creek|--so-far|1000|--note|the last one; at last|--yes")
    assert "finished 11 November 2026" in done(11, "piece|otter creek|--finished")
    refused(12, "add|otter creek|5", "was finished on 11 November 2026")
    # Two at once are taken back one after the other.
    done(13, "add|fee|60")
    done(13, "add|fee|61")
    done(13, "undo")
    done(13, "undo|--earlier")
    # Slips of other evenings, found when the month is told.
    assert "36 stitches (was: " in done(14, "session|fee|--date|2 nov|--stitches|36")
    done(14, "session|fee|--date|3 nov|--to-piece|otter creek ii")
    done(14, "undo")
    refused(14, "session|fee|--date|3 nov|--to-date|3 dec 2026", "has not come yet")
    assert (tmp_path / "diary.csv").read_bytes() == (
        "piece;date;stitches;minutes;mood;so_far;note\r\n"
        "Otter Creek;2026-10-30;100;60;calm;;\r\n"
        "Otter Creek;2026-11-01;140;75;;;\r\n"
        "Otter Creek;2026-11-02;14;;;;\r\n"
        "Fée Verte;2026-11-03;50;;;;\r\n"
        "Fée Verte;2026-11-02;36;;;;\r\n"
        "Otter Creek II;2026-11-06;20;;;;\r\n"
        'Otter Creek;2026-11-11;;;;1000;"the last one; at last"\r\n'
    ).encode()
    assert (tmp_path / "pieces.csv").read_bytes() == (
        "\ufeffpiece;my no;total;count;due;set_aside;finished\r\n"
        'Otter Creek; 7 ;"1000";;;;2026-11-11\r\n'
        "Fée Verte;8;2000;;;;\r\n"
        "Otter Creek II;;3100;28;2026-12-24;;\r\n"
    ).encode()


def test_questions_are_asked_at_a_terminal(evening, monkeypatch, tmp_path):
    from click import testing

    monkeypatch.setattr(shared, "at_terminal", lambda: True)
    monkeypatch.setattr(clock, "today", lambda: dt.date(2026, 11, 1))

    def answered(answers, *arguments):
        from stitchlog.cli import cli

        return testing.CliRunner().invoke(cli, [arguments[0], str(tmp_path), *arguments[1:]], input=answers)

    assert "not a number" in answered("n\nmany\n6,000\n", "add", "Otter Creek II", "20").output
    assert b"Otter Creek II;;6000\r\n" in (tmp_path / "pieces.csv").read_bytes()
    assert answered("1\n", "add", "creek", "33").exit_code == 0
    assert (tmp_path / "diary.csv").read_bytes().endswith(b"Otter Creek;2026-11-01;33;;\r\n")
    before = (tmp_path / "diary.csv").read_bytes()
    assert answered("n\n", "add", "otter creek", "33").exit_code == 1
    assert (tmp_path / "diary.csv").read_bytes() == before
    assert answered("y\n", "add", "otter creek", "33").exit_code == 0
    assert answered("\n", "add", "Moss", "5", "--new").exit_code == 0


@pytest.mark.skipif(not hasattr(os, "fork"), reason="the kill is sent to a forked process")
def test_thirty_kills_leave_the_files_right_to_the_byte(tmp_path):
    """Each run is killed at a random line of what writes; what it was to do is then done whole or not at all."""
    (tmp_path / "diary.csv").write_bytes(DIARY)
    (tmp_path / "pieces.csv").write_bytes(PIECES)
    chance = random.Random(7)

    def held():
        return (tmp_path / "diary.csv").read_bytes(), (tmp_path / "pieces.csv").read_bytes()

    def act_and_die(act, number, after):
        """In a process of its own, killed when it has run so many lines."""
        left = after

        def stop(frame, event, argument):
            nonlocal left
            if not frame.f_code.co_filename.endswith(("entry/writing.py", "diary/disk.py")):
                return None
            left -= event == "line"
            if left < 0:
                os.kill(os.getpid(), signal.SIGKILL)
            return stop

        child = os.fork()
        if child == 0:
            sys.settrace(stop)
            try:
                if act == "add":
                    adding.add(tmp_path, f"Piece {number}", 10, today=DAY, total=number + 100, new=True)
                elif act == "piece":
                    pieces.change_piece(tmp_path, "Otter Creek", total=number + 2000, today=DAY)
                else:
                    writing.undo(tmp_path, DAY)
            finally:
                os._exit(1 if sys.exc_info()[0] else 0)
        return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])

    killed, last = 0, held()
    adding.add(tmp_path, "otter", 10, today=DAY)
    for number in range(30):
        act = ("add", "piece", "add", "undo")[number % 4]
        before = held()
        status = act_and_die(act, number, chance.randrange(LINES))
        assert status in (0, -9)
        killed += status == -9
        with disk.locked(tmp_path):
            now = held()
        if act == "add":
            rows = f"Piece {number};2026-11-01;10;;\r\n".encode(), f"Piece {number};;{number + 100}\r\n".encode()
            whole = before[0] + rows[0], before[1] + rows[1]
        elif act == "piece":
            line = before[1].split(b"\r\n")[1]
            cell = f'Otter Creek; 7 ;"{number + 2000}"'.encode()
            whole = before[0], before[1].replace(line, cell)
        else:
            whole = last
        assert now in (before, whole)
        if now != before:
            last = before
        assert status == -9 or now == whole
    assert 10 < killed < 30
