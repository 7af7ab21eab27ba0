"""What several tests share: the demo's reports, made once."""

from pathlib import Path

import pytest
from filelock import FileLock
from hypothesis import settings

from stitchlog.cli import main

# How long an example takes says more of the machine than of the code.
settings.register_profile("any machine", deadline=None)
settings.load_profile("any machine")

DEMO = Path(__file__).parents[1] / "data_demo"


@pytest.fixture(scope="session")
def demo_reports(tmp_path_factory: pytest.TempPathFactory, worker_id: str) -> Path:
    """The folder that `stitchlog demo` leaves, made once for all workers of a run. Read only."""
    mine = tmp_path_factory.getbasetemp()
    shared = mine if worker_id == "master" else mine.parent
    out = shared / "demo" / "reports"
    with FileLock(shared / "demo.lock"):
        if not (out / "index.html").exists():
            assert main(["demo", "--out", str(out)]) == 0
    return out
