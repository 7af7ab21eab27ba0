"""What several tests share: the demo's reports, made once."""

from pathlib import Path

import pytest
from hypothesis import settings

from stitchlog.cli import main

# How long an example takes says more of the machine than of the code.
settings.register_profile("any machine", deadline=None)
settings.load_profile("any machine")

DEMO = Path(__file__).parents[1] / "data_demo"


@pytest.fixture(scope="session")
def demo_reports(tmp_path_factory) -> Path:
    """The folder that `stitchlog demo` leaves."""
    out = tmp_path_factory.mktemp("demo") / "reports"
    assert main(["demo", "--out", str(out)]) == 0
    return out
