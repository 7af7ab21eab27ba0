"""What several tests share: the demo's reports, made once."""

from pathlib import Path

import pytest
from filelock import FileLock
from hypothesis import settings

from stitchlog.cli import main

# How long an example takes says more of the machine than of the code.
settings.register_profile("any machine", deadline=None)
settings.load_profile("any machine")

# Wheels, browsers, coverage studies, fuzz and kills: what `-m "not slow"` leaves out, besides what is marked in place.
SLOW = (
    "browser/",
    "demo/test_make_demo.py",
    "diary/reading/test_reader.py::test_the_reader_holds_under_mutated_files",
    "diary/store/test_killed.py",
    "entry/test_evenings.py",
    "model/forecast/test_score.py",
    "published/test_scores.py",
    "properties/",
    "reports/pace/test_begun.py::test_nine_windows_in_ten_hold_the_next_piece",
    "reports/pace/test_coverage.py",
    "reports/pace/test_notebook.py",
    "reports/pace/test_paces.py::test_the_chance_is_right_as_often_as_it_says",
    "reports/plan/test_calibration.py",
    "reports/materials/test_thread.py::test_the_likely_range_holds_what_comes",
    "reports/review/test_charts.py",
    "reports/review/test_notebook.py",
    "reports/rotation/test_notebook.py",
    "render/test_export.py::test_one_h1_a_main_a_language_and_headings_in_order",
    "run/test_notebooks.py",
    "test_cli.py::test_the_demo",
    "test_cli.py::test_the_totals",
    "workbook/test_forms.py",
)

DEMO = Path(__file__).parents[1] / "data_demo"


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    for item in items:
        if item.nodeid.removeprefix("tests/").startswith(SLOW):
            item.add_marker(pytest.mark.slow)


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
