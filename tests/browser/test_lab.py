"""`stitchlog lab` on a diary folder: the review, run as a person would run it, in JupyterLab itself."""

import json
import os
import re
import shutil
import signal
import socket
import subprocess
import sys
import time
from pathlib import Path

import pytest

from stitchlog.reports import REPORTS

DEMO = Path(__file__).parents[2] / "data_demo"
# A slow machine that starts a server and a kernel is given its time.
LONG = 120_000
CHART = ".jp-RenderedVegaCommon5 svg, .jp-RenderedVegaCommon5 canvas"


@pytest.fixture(scope="module")
def diary(tmp_path_factory):
    folder = tmp_path_factory.mktemp("lab") / "diary"
    shutil.copytree(DEMO, folder, ignore=shutil.ignore_patterns("store", "reports", "workbook"))
    return folder


@pytest.fixture(scope="module")
def lab(browser, diary):
    """JupyterLab on the diary folder. Yields the address of its workbook folder and what opens it."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    log = diary.parent / "lab.log"
    config = diary.parent / "config"
    config.mkdir()
    # Machines that only run tests often know no other user than root, as which JupyterLab would not start.
    (config / "jupyter_server_config.json").write_text(json.dumps({"ServerApp": {"allow_root": True}}), "utf-8")
    home = os.environ | {"JUPYTER_CONFIG_DIR": str(config), "JUPYTERLAB_SETTINGS_DIR": str(config)}
    home["JUPYTERLAB_WORKSPACES_DIR"] = str(config)
    with log.open("w") as out:
        command = [sys.executable, "-m", "stitchlog.cli", "lab", str(diary), "--no-browser", f"--port={port}"]
        server = subprocess.Popen(command, stdout=out, stderr=out, env=home, start_new_session=True)
    try:
        yield f"http://127.0.0.1:{port}/lab/tree/workbook", _token(server, log, port)
    finally:
        if server.poll() is None:
            os.killpg(server.pid, signal.SIGTERM)
            server.wait(timeout=60)


def _token(server, log, port):
    """The key in the address that JupyterLab prints once it listens."""
    until = time.monotonic() + LONG / 1000
    while time.monotonic() < until and server.poll() is None:
        found = re.search(rf":{port}/lab\S*\?token=(\w+)", log.read_text("utf-8"))
        if found:
            return found[1]
        time.sleep(0.2)
    raise AssertionError(f"JupyterLab did not start:\n{log.read_text('utf-8')[-3000:]}")


@pytest.fixture
def window(browser, lab):
    address, token = lab
    context = browser.new_context(viewport={"width": 1400, "height": 1000})
    page = context.new_page()
    page.set_default_timeout(LONG)

    def show(notebook):
        page.goto(f"{address}/{notebook}?reset&token={token}")
        page.locator(".jp-NotebookPanel .jp-Cell").first.wait_for()
        page.locator("#jp-main-statusbar", has_text="| Idle").wait_for()
        return page

    yield show
    context.close()


def _run_all(page, path):
    """Runs all cells, waits until the last is done, saves, and returns the notebook as it lies on disk."""
    before = path.stat().st_mtime_ns
    page.locator(".lm-MenuBar-itemLabel", has_text=re.compile("^Run$")).click()
    page.locator(".lm-Menu-item", has_text=re.compile("^Run All Cells")).click()
    until = time.monotonic() + LONG / 1000
    while time.monotonic() < until:
        page.locator("#jp-main-statusbar", has_text="| Idle").wait_for()
        page.keyboard.press("Control+s")
        page.wait_for_timeout(500)
        book = json.loads(path.read_text("utf-8"))
        code = [c for c in book["cells"] if c["cell_type"] == "code"]
        failed = any(o["output_type"] == "error" for c in code for o in c["outputs"])
        if path.stat().st_mtime_ns > before and (failed or code[-1]["execution_count"]):
            return book
    raise AssertionError("the notebook did not come to its end")


def _outputs(book):
    return [o for c in book["cells"] if c["cell_type"] == "code" for o in c["outputs"]]


def _assert_no_error(book):
    errors = [o["evalue"] for o in _outputs(book) if o["output_type"] == "error"]
    assert errors == [] and any("application/vnd.vegalite.v5+json" in o.get("data", {}) for o in _outputs(book))


def _see_charts(page, book):
    """Scrolls through the notebook and sees every chart drawn."""
    wanted = sum("application/vnd.vegalite.v5+json" in o.get("data", {}) for o in _outputs(book))
    seen = 0
    for cell in page.locator(".jp-NotebookPanel .jp-Cell").all():
        cell.scroll_into_view_if_needed()
        for chart in cell.locator(".jp-RenderedVegaCommon5").all():
            chart.scroll_into_view_if_needed()
            chart.locator("svg, canvas").first.wait_for()
            assert chart.bounding_box()["width"] > 300
            seen += 1
    assert seen == wanted > 0


def test_the_review_runs_live_and_again_for_another_month(window, diary):
    path = diary / "workbook" / "review.ipynb"
    page = window("review.ipynb")
    october = _run_all(page, path)
    _assert_no_error(october)
    _see_charts(page, october)

    values = page.locator(".jp-CodeCell .cm-content", has_text="start = None").first
    values.scroll_into_view_if_needed()
    source = next("".join(c["source"]) for c in october["cells"] if "parameters" in c["metadata"].get("tags", []))
    asked = source.replace("start = None", 'start = "2026-08-01"').replace("end = None", 'end = "2026-08-31"')
    values.click()
    page.keyboard.press("Control+a")
    page.keyboard.insert_text(asked)
    august = _run_all(page, path)
    _assert_no_error(august)
    _see_charts(page, august)
    assert "August 2026" in json.dumps(_outputs(august)) and "August 2026" not in json.dumps(_outputs(october)[:6])


def test_the_way_in_logs_a_session_and_makes_a_report(window, diary):
    page = window("start.ipynb")
    book = _run_all(page, diary / "workbook" / "start.ipynb")
    assert [o["evalue"] for o in _outputs(book) if o["output_type"] == "error"] == []
    page.get_by_label("piece", exact=True).first.fill("Otter Creek")
    page.get_by_label("stitches", exact=True).fill("123")
    page.get_by_role("button", name="Log it").click()
    page.get_by_text("123 stitches (line").wait_for()
    assert "Otter Creek" in (diary / "diary.csv").read_text("utf-8-sig").splitlines()[-1]
    page.get_by_label("report", exact=True).select_option(label=f"rotation: {REPORTS['rotation']}")
    page.get_by_role("button", name="Make it").click()
    page.get_by_role("link", name=re.compile("rotation.html$")).wait_for()
    assert (diary / "reports" / "rotation.html").exists()
