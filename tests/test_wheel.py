"""The built wheel alone runs the demo from any folder: notebooks and demo diary travel inside it."""

import os
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

from stitchlog.run.notebooks import NAMES

ROOT = Path(__file__).parents[1]


@pytest.fixture(scope="module")
def unpacked(tmp_path_factory):
    place = tmp_path_factory.mktemp("wheel")
    build = [sys.executable, "-m", "build", "--wheel", "--no-isolation", "--outdir", str(place), str(ROOT)]
    subprocess.run(build, check=True, capture_output=True)
    (wheel,) = place.glob("*.whl")
    zipfile.ZipFile(wheel).extractall(place / "site")
    return place / "site"


def test_the_demo_runs_from_the_wheel(unpacked, tmp_path):
    where = "import stitchlog; print(stitchlog.__file__)"
    env = os.environ | {"PYTHONPATH": str(unpacked)}
    options = {"cwd": tmp_path, "env": env, "capture_output": True, "text": True}
    found = subprocess.run([sys.executable, "-c", where], check=True, **options)
    assert found.stdout.startswith(str(unpacked))
    run = subprocess.run([sys.executable, "-m", "stitchlog.cli", "demo"], check=False, **options)
    assert run.returncode == 0, run.stderr
    assert "Traceback" not in run.stderr
    for name in ("index", *NAMES):
        assert (tmp_path / "reports" / f"{name}.html").stat().st_size > 1_000
