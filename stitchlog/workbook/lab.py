"""The notebooks live: JupyterLab on a diary folder, on this computer alone."""

from __future__ import annotations

import datetime as dt
import os
import signal
import socket
import subprocess
import sys
import tempfile
import time
import webbrowser
from collections.abc import Callable, Collection, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import IO, Any

from stitchlog.errors import StitchlogError
from stitchlog.render import choices
from stitchlog.run import own
from stitchlog.workbook import copies

_SETTINGS = Path(__file__).parent / "settings"
# A slow machine that starts for the first time is given its time.
_PATIENCE = 120.0
_ASKS = "Close JupyterLab? What is not saved in an open notebook is lost. [y/N] "


def open_lab(
    folder: Path, today: dt.date, browser: bool = True, port: int | None = None, fresh: Collection[str] = ()
) -> None:
    """Opens JupyterLab on a diary folder and waits until it is closed.

    Where JupyterLab is open on that folder already, that one is shown. A folder that cannot be written to opens with
    the notebooks in a folder of passing things. fresh: notebooks to have as they come. Raises StitchlogError, one line,
    where the folder holds no diary or JupyterLab does not start.
    """
    folder = folder.resolve()
    if not (folder / "diary.csv").exists():
        raise StitchlogError(f"{folder}: there is no diary.csv here; begin one with: stitchlog new {folder}")
    if running := _running(lambda info: info["root_dir"] == str(folder)):
        if fresh:
            raise StitchlogError("JupyterLab is open on this folder; close it first, then ask for fresh notebooks")
        _show("This workbook is open already", running, browser)
        return
    with _workplace(folder, today, fresh) as root:
        _serve(root, browser, port)


@contextmanager
def _workplace(folder: Path, today: dt.date, fresh: Collection[str]) -> Iterator[Path]:
    """The folder to open, with the notebooks in it: the diary's own, or a passing one where that cannot be written."""
    try:
        said = copies.bring_up(folder, today, fresh)
    except OSError as err:
        print(f"{folder} cannot be written to ({err.strerror}): what you change in the notebooks is not kept.")
        with tempfile.TemporaryDirectory(prefix="stitchlog-") as place:
            copies.bring_up(Path(place), today, diary=str(folder))
            yield Path(place)
        return
    for line in said:
        print(line)
    yield folder


def _serve(root: Path, browser: bool, port: int | None) -> None:
    if port and not _is_free(port):
        raise StitchlogError(f"port {port} is taken on this computer; name another, or leave --port out")
    as_root = hasattr(os, "geteuid") and os.geteuid() == 0
    if as_root:
        print("You are root: what runs in the notebooks may do anything on this computer.")
    print("JupyterLab is opening. Press Ctrl-C here to close it.", flush=True)
    with tempfile.TemporaryFile() as log:
        command = lab_command(root, port) + (["--allow-root"] if as_root else [])
        # In a group of its own: Ctrl-C comes to us, who ask first, and not to JupyterLab and its kernels.
        server = subprocess.Popen(command, stdin=subprocess.DEVNULL, stdout=log, stderr=log, env=_ENV, **_OWN_GROUP)
        with _ending(server):
            running = _started(server)
            if running is None:
                raise StitchlogError(f"JupyterLab did not start{_last_said(log)}")
            _show("The workbook is open", running, browser)
            if _wait(server):
                raise StitchlogError(f"JupyterLab ended with an error{_last_said(log)}")


def _last_said(log: IO[bytes]) -> str:
    log.seek(0)
    lines = [line.strip() for line in log.read().decode("utf-8", "replace").splitlines() if line.strip()]
    return f": {lines[-1]}" if lines else ""


# The kernels of this JupyterLab show a row of choices above their notebooks.
_ENV = os.environ | {choices.LIVE: "1"}
_OWN_GROUP: dict[str, Any] = (
    {"creationflags": getattr(subprocess, "CREATE_NEW_PROCESS_GROUP", 0)} if os.name == "nt" else {"process_group": 0}
)


def lab_command(root: Path, port: int | None = None) -> list[str]:
    """The command that starts JupyterLab on this computer only, asking no other host for anything."""
    return [
        sys.executable,
        "-m",
        "jupyterlab",
        f"--ServerApp.root_dir={root}",
        f"--LabApp.default_url=/lab/tree/{own.FOLDER}/start.ipynb",
        "--ServerApp.ip=127.0.0.1",
        # Settings that a user has not chosen otherwise: no news from the network, no pages of other hosts in its menus.
        f"--LabApp.app_settings_dir={_SETTINGS}",
        "--LabApp.news_url=None",
        "--LabApp.extension_manager=readonly",
        "--LabApp.check_for_updates_class=jupyterlab.NeverCheckForUpdate",
        # The row of choices above a notebook's parameters writes them through it.
        "--LabApp.expose_app_in_browser=True",
        # Kernels talk on this computer alone; without this each warns of that.
        "--KernelManager.transport_encryption=auto",
        "--log-level=ERROR",
        "--no-browser",
        *([f"--ServerApp.port={port}", "--ServerApp.port_retries=0"] if port else []),
    ]


def _running(wanted: Callable[[dict[str, Any]], bool]) -> dict[str, Any] | None:
    """What a Jupyter server of this user's says of itself (url, token, pid), the first that is wanted."""
    from jupyter_server.serverapp import list_running_servers

    return next((info for info in list_running_servers() if wanted(info)), None)


def _started(server: subprocess.Popen[bytes]) -> dict[str, Any] | None:
    """Waits until the server listens; None where it ended instead, or takes too long."""
    until = time.monotonic() + _PATIENCE
    while server.poll() is None and time.monotonic() < until:
        info = _running(lambda info: info["pid"] == server.pid)
        if info and not _is_free(info["port"]):
            return info
        time.sleep(0.2)
    return None


def _show(what: str, info: dict[str, Any], browser: bool) -> None:
    """Opens a server's way in, in the browser where there is one; its address is said in any case."""
    address = f"{info['url']}lab/tree/{own.FOLDER}/start.ipynb?token={info['token']}"
    print(f"{what}: {address}", flush=True)
    if browser:
        try:
            webbrowser.get().open(address)
        except webbrowser.Error:
            print("No browser was found: open that address in one.", flush=True)


def _wait(server: subprocess.Popen[bytes]) -> int:
    """Waits until JupyterLab is closed, from its own menu or with Ctrl-C, which asks once. Returns its exit status."""
    while True:
        try:
            return server.wait()
        except KeyboardInterrupt:
            if _is_sure():
                server.terminate()
                server.wait()
                return 0


def _is_sure() -> bool:
    if not sys.stdin.isatty():
        return True
    try:
        return input(f"\n{_ASKS}").strip().lower().startswith("y")
    except (KeyboardInterrupt, EOFError):
        return True


@contextmanager
def _ending(server: subprocess.Popen[bytes]) -> Iterator[None]:
    """The server ends with us, whatever ends us."""

    def ended(*_: Any) -> None:
        raise SystemExit(0)

    signals = [getattr(signal, name) for name in ("SIGTERM", "SIGHUP") if hasattr(signal, name)]
    before = {number: signal.signal(number, ended) for number in signals}
    try:
        yield
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)
        if server.poll() is None:
            server.terminate()
            server.wait()


def _is_free(port: int) -> bool:
    with socket.socket() as tried:
        tried.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            tried.bind(("127.0.0.1", port))
        except OSError:
            return False
    return True
