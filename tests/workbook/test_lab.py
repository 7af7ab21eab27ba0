"""JupyterLab is opened on the diary, ends with us, and what stands in its way is said in one line."""

import datetime as dt
import errno
import os
import signal
import socket
import subprocess
import sys

import pytest

from stitchlog.errors import StitchlogError
from stitchlog.workbook import copies, lab

TODAY = dt.date(2026, 11, 25)


@pytest.fixture
def diary(tmp_path, monkeypatch):
    (tmp_path / "diary.csv").write_text("piece,date,stitches\nFern Clock,2026-10-01,120\n")
    monkeypatch.setattr(copies, "bring_up", lambda *_, **__: [])
    monkeypatch.setattr(lab, "_running", lambda _: None)
    return tmp_path


def _stands_in(monkeypatch, code):
    monkeypatch.setattr(lab, "lab_command", lambda *_: [sys.executable, "-c", code])


def test_without_a_diary_there_is_nothing_to_open(tmp_path):
    with pytest.raises(StitchlogError, match=r"there is no diary\.csv here"):
        lab.open_lab(tmp_path, TODAY)


def test_a_jupyterlab_that_fails_is_one_line(diary, monkeypatch):
    _stands_in(monkeypatch, "import sys; print('much'); sys.exit('no luck today')")
    with pytest.raises(StitchlogError, match="JupyterLab did not start: no luck today"):
        lab.open_lab(diary, TODAY)


def test_a_busy_port_is_one_line(diary):
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        with pytest.raises(StitchlogError, match=f"port {port} is taken on this computer"):
            lab.open_lab(diary, TODAY, port=port)


def test_a_second_one_shows_the_first(diary, monkeypatch, capsys):
    info = {"url": "http://127.0.0.1:8899/", "token": "abc", "root_dir": str(diary), "pid": 1}
    monkeypatch.setattr(lab, "_running", lambda wanted: info if wanted(info) else None)
    lab.open_lab(diary, TODAY, browser=False)
    said = capsys.readouterr().out
    assert said == "This workbook is open already: http://127.0.0.1:8899/lab/tree/workbook/start.ipynb?token=abc\n"
    with pytest.raises(StitchlogError, match="close it first"):
        lab.open_lab(diary, TODAY, fresh=["pace"])


def test_a_folder_that_cannot_be_written_opens_with_passing_copies(diary, monkeypatch, capsys):
    asked = []

    def bring_up(folder, today, fresh=(), diary=".."):
        asked.append((folder, diary))
        if folder == here:
            raise OSError(errno.EROFS, "Read-only file system")
        return []

    here = diary
    served = []
    monkeypatch.setattr(copies, "bring_up", bring_up)
    monkeypatch.setattr(lab, "_serve", lambda root, *_: served.append((root, root.exists())))
    lab.open_lab(diary, TODAY)
    assert asked[1][1] == str(diary) and served == [(asked[1][0], True)] and not asked[1][0].exists()
    assert "what you change in the notebooks is not kept" in capsys.readouterr().out


def test_no_browser_is_one_line(monkeypatch, capsys):
    def none():
        raise lab.webbrowser.Error("none")

    monkeypatch.setattr(lab.webbrowser, "get", none)
    lab._show("The workbook is open", {"url": "http://127.0.0.1:1/", "token": "t"}, browser=True)
    assert capsys.readouterr().out.splitlines()[1] == "No browser was found: open that address in one."


@pytest.mark.skipif(os.name == "nt", reason="sends a signal as a terminal does")
def test_ctrl_c_asks_once_and_waits(monkeypatch):
    """The one who says no keeps JupyterLab; the one who says yes has it ended in its own way."""
    server = subprocess.Popen([sys.executable, "-c", "import time; time.sleep(60)"], **lab._OWN_GROUP)
    answers = iter([False, True])
    asked = []

    def sure():
        answer = next(answers)
        asked.append((answer, server.poll()))
        if not answer:
            signal.setitimer(signal.ITIMER_REAL, 0.05)
        return answer

    def interrupt(*_):
        raise KeyboardInterrupt

    monkeypatch.setattr(lab, "_is_sure", sure)
    before = signal.signal(signal.SIGALRM, interrupt)
    try:
        signal.setitimer(signal.ITIMER_REAL, 0.05)
        assert lab._wait(server) == 0
    finally:
        signal.signal(signal.SIGALRM, before)
    assert asked == [(False, None), (True, None)]
    assert server.returncode == -signal.SIGTERM


def test_the_command_asks_no_other_host(tmp_path):
    command = lab.lab_command(tmp_path, 8899)
    assert "--ServerApp.ip=127.0.0.1" in command and "--ServerApp.port=8899" in command
    assert {"--LabApp.news_url=None", "--LabApp.extension_manager=readonly"} <= set(command)
