"""The notebooks live: copies in the diary folder, opened in JupyterLab."""

from __future__ import annotations

import hashlib
import json
import subprocess
import sys
from pathlib import Path
from typing import Any

from stitchlog import resources
from stitchlog.errors import StitchlogError

FOLDER = "workbook"
_DEMO = 'folder = "../data_demo"'


def copy_notebooks(folder: Path) -> list[Path]:
    """Puts the notebooks into `folder/workbook`, asking about `folder`. Returns those of the user's that were kept.

    A notebook whose cells were changed there stays as it is; an unchanged one is brought up to date.
    """
    target = folder / FOLDER
    target.mkdir(exist_ok=True)
    kept = []
    for source in sorted(resources.folder("notebooks").glob("*.ipynb")):
        copy = target / source.name
        book = json.loads(source.read_text("utf-8"))
        for cell in book["cells"]:
            cell["source"] = "".join(cell["source"]).replace(_DEMO, 'folder = ".."')
            if cell["cell_type"] == "code":
                cell |= {"outputs": [], "execution_count": None}
        book["metadata"]["stitchlog"] = {"written_as": _print_of(book)}
        if copy.exists() and _changed(copy):
            kept.append(copy)
        else:
            copy.write_text(json.dumps(book, indent=1, ensure_ascii=False) + "\n", "utf-8")
    return kept


def open_lab(folder: Path, browser: bool = True, port: int | None = None) -> None:
    """Opens JupyterLab on a diary folder and waits until it is closed.

    Raises StitchlogError where the folder holds no diary, the notebooks cannot be copied into it, or JupyterLab fails.
    """
    folder = folder.resolve()
    if not (folder / "diary.csv").exists():
        raise StitchlogError(f"{folder}: there is no diary.csv here; begin one with: stitchlog new {folder}")
    try:
        kept = copy_notebooks(folder)
    except OSError as err:
        raise StitchlogError(
            f"{folder}: the notebooks cannot be copied here ({err.strerror}); copy the folder first"
        ) from None
    for path in kept:
        print(f"kept your changes in {path}")
    print("JupyterLab is opening. Press Ctrl-C here to close it.", flush=True)
    try:
        failed = subprocess.run(lab_command(folder, browser, port), check=False).returncode
    except KeyboardInterrupt:
        return
    if failed:
        raise StitchlogError("JupyterLab ended with an error; what it said stands above")


def lab_command(folder: Path, browser: bool = True, port: int | None = None) -> list[str]:
    """The command that starts JupyterLab on this computer only, asking no other host for news or updates."""
    command = [
        sys.executable,
        "-m",
        "jupyterlab",
        f"--ServerApp.root_dir={folder}",
        f"--LabApp.default_url=/lab/tree/{FOLDER}/start.ipynb",
        "--ServerApp.ip=127.0.0.1",
        # Settings that a user has not chosen otherwise: no question about news from the network.
        f"--LabApp.app_settings_dir={Path(__file__).parent / 'settings'}",
        "--LabApp.news_url=None",
        # Kernels talk on this computer alone; without this each warns of that in the terminal.
        "--KernelManager.transport_encryption=auto",
        "--LabApp.check_for_updates_class=jupyterlab.NeverCheckForUpdate",
        "--log-level=ERROR" if browser else "--log-level=INFO",
    ]
    if port:
        command.append(f"--ServerApp.port={port}")
    if not browser:
        command.append("--no-browser")
    return command


def _changed(copy: Path) -> bool:
    try:
        book = json.loads(copy.read_text("utf-8"))
        return book["metadata"]["stitchlog"]["written_as"] != _print_of(book)
    except (ValueError, KeyError, TypeError):
        return True


def _print_of(book: dict[str, Any]) -> str:
    """A fingerprint of what the cells say, whatever their outputs are."""
    cells = [(c["cell_type"], "".join(c["source"])) for c in book["cells"]]
    return hashlib.sha256(json.dumps(cells, ensure_ascii=False).encode()).hexdigest()
