"""The built wheel alone runs the demo from any folder: notebooks and demo diary travel inside it."""

import os
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

pytestmark = pytest.mark.slow
ROOT = Path(__file__).parents[1]


@pytest.fixture(scope="module")
def unpacked(tmp_path_factory):
    place = tmp_path_factory.mktemp("wheel")
    build = [sys.executable, "-m", "build", "--wheel", "--no-isolation", "--outdir", str(place), str(ROOT)]
    subprocess.run(build, check=True, capture_output=True)
    (wheel,) = place.glob("*.whl")
    zipfile.ZipFile(wheel).extractall(place / "site")
    return place / "site"


def test_a_report_is_made_from_the_wheel(unpacked, tmp_path):
    where = "import stitchlog; print(stitchlog.__file__)"
    env = os.environ | {"PYTHONPATH": str(unpacked)}
    options = {"cwd": tmp_path, "env": env, "capture_output": True, "text": True}
    found = subprocess.run([sys.executable, "-c", where], check=True, **options)
    assert found.stdout.startswith(str(unpacked))
    demo = unpacked / "stitchlog" / "_bundled" / "data_demo"
    command = [sys.executable, "-m", "stitchlog.cli", "report", "pace", str(demo), "--out", "reports"]
    run = subprocess.run(command, check=False, **options)
    assert run.returncode == 0, run.stderr
    assert "Traceback" not in run.stderr
    assert (tmp_path / "reports" / "pace.html").stat().st_size > 1_000


@pytest.mark.parametrize("folder", ["notebooks", "data_demo"])
def test_what_the_demo_takes_is_in_the_wheel(unpacked, folder):
    list_files = ["git", "ls-files", "-z", folder]
    tracked = subprocess.run(list_files, cwd=ROOT, capture_output=True, text=True, check=False).stdout
    names = [name for name in tracked.split("\0") if name] or [
        p.relative_to(ROOT).as_posix() for p in (ROOT / folder).glob("*.*")
    ]
    assert names
    assert all((unpacked / "stitchlog" / "_bundled" / name).exists() for name in names)
