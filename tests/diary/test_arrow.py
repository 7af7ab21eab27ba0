"""What check, add and ingest load, and what they leave for those that need it."""

import subprocess
import sys

import pytest

from tests.diary.reading.folders import HEAD

CODE = """
import sys
from stitchlog.cli import main
status = main(sys.argv[1:])
loaded = [name for name in ("pandas", "altair", "papermill", "scipy", "babel", "numpy.ma") if name in sys.modules]
from stitchlog import open_diary
print(status, loaded, len(open_diary(sys.argv[2]).sessions), file=sys.stderr)
"""


@pytest.mark.parametrize(
    ("command", "sessions"), [(["check"], 1), (["add", "Otter Creek", "5"], 2), (["ingest"], 1)], ids=lambda c: str(c)
)
def test_no_command_loads_what_only_reports_need(tmp_path, command, sessions):
    (tmp_path / "diary.csv").write_text(HEAD + "Otter Creek,2026-01-01,5,,\n")
    arguments = [command[0], str(tmp_path), *command[1:]]
    done = subprocess.run([sys.executable, "-c", CODE, *arguments], capture_output=True, text=True, check=True)
    # Frames are to be had afterwards all the same.
    assert done.stderr.strip() == f"0 [] {sessions}"


def test_masked_arrays_are_to_be_had_afterwards():
    code = (
        "from stitchlog.diary import arrow; arrow.start()\n"
        "import numpy as np, pyarrow as pa, sys\n"
        "assert pa.array(np.array([1.0, np.nan])).null_count == 0 and 'numpy.ma' not in sys.modules\n"
        "held = np.ma.masked_array([1, 2], [False, True])\n"
        "assert pa.array(held).null_count == 1 and isinstance(held, np.ma.MaskedArray)"
    )
    subprocess.run([sys.executable, "-c", code], check=True)
