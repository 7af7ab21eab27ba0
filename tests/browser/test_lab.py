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
from contextlib import contextmanager
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


@contextmanager
def opened_lab(diary):
    """JupyterLab on the diary folder. Yields the address of its workbook folder, what opens it, and its log."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    log = diary.parent / "lab.log"
    config = diary.parent / "config"
    config.mkdir(exist_ok=True)
    home = os.environ | {"JUPYTER_CONFIG_DIR": str(config), "JUPYTERLAB_SETTINGS_DIR": str(config)}
    home["JUPYTERLAB_WORKSPACES_DIR"] = str(config)
    with log.open("w") as out:
        command = [sys.executable, "-m", "stitchlog.cli", "lab", str(diary), "--no-browser", f"--port={port}"]
        server = subprocess.Popen(command, stdout=out, stderr=out, env=home, start_new_session=True)
    try:
        yield f"http://127.0.0.1:{port}", _token(server, log, port), log
    finally:
        if server.poll() is None:
            server.send_signal(signal.SIGINT)
            server.wait(timeout=60)


@pytest.fixture(scope="module")
def lab(browser, diary):
    with opened_lab(diary) as opened:
        yield opened


def _token(server, log, port):
    """The key in the address that JupyterLab prints once it listens."""
    until = time.monotonic() + LONG / 1000
    while time.monotonic() < until and server.poll() is None:
        found = re.search(rf":{port}/lab\S*\?token=(\w+)", log.read_text("utf-8"))
        if found:
            return found[1]
        time.sleep(0.2)
    raise AssertionError(f"JupyterLab did not start:\n{log.read_text('utf-8')[-3000:]}")


class Window:
    """A window of the browser on JupyterLab, with what it asked of other hosts."""

    def __init__(self, browser, address, token):
        self._address, self._token = address, token
        self.context = browser.new_context(viewport={"width": 1400, "height": 1000})
        self.page = self.context.new_page()
        self.page.set_default_timeout(LONG)
        self.elsewhere = []
        self.page.on("request", self._note)

    def _note(self, request):
        if not request.url.startswith((self._address, self._address.replace("http", "ws"), "data:", "blob:")):
            self.elsewhere.append(request.url)

    def show(self, notebook, reset=True):
        address = f"{self._address}/lab/tree/workbook/{notebook}?{'reset&' if reset else ''}token={self._token}"
        self.page.goto(address)
        self.page.locator(".jp-NotebookPanel .jp-Cell").first.wait_for()
        self.page.locator("#jp-main-statusbar", has_text="| Idle").wait_for()
        return self.page

    def changed(self):
        """The open notebooks that JupyterLab takes for changed and would ask about."""
        open_ones = (
            "[...jupyterapp.shell.widgets('main')].filter((w) => w.context?.model.dirty).map((w) => w.title.label)"
        )
        return self.page.evaluate(f"() => {open_ones}")


@pytest.fixture
def window(browser, lab):
    address, token, _ = lab
    opened = Window(browser, address, token)
    yield opened.show
    assert opened.elsewhere == []
    opened.context.close()


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
    """What the cells show; the row of choices, which names every month, is not among it."""
    shown = [o for c in book["cells"] if c["cell_type"] == "code" for o in c["outputs"]]
    return [o for o in shown if o.get("metadata", {}).get("stitchlog", {}).get("part") != "choices"]


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

    values = page.locator(".jp-CodeCell .cm-content", has_text="start: str = None").first
    values.scroll_into_view_if_needed()
    source = next("".join(c["source"]) for c in october["cells"] if "parameters" in c["metadata"].get("tags", []))
    asked = source.replace("start: str = None", 'start: str = "2026-08-01"')
    asked = asked.replace("end: str = None", 'end: str = "2026-08-31"')
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
    before = (diary / "diary.csv").read_bytes()
    page.get_by_label("piece", exact=True).first.fill("Otter Creek")
    page.get_by_label("stitches", exact=True).fill("123")
    page.get_by_role("button", name="Log it").click()
    page.get_by_text("Otter Creek: 123 today").wait_for()
    assert "Otter Creek" in (diary / "diary.csv").read_text("utf-8-sig").splitlines()[-1]
    page.get_by_role("button", name="Take back the last entry").first.click()
    page.get_by_text("Undone: Otter Creek").wait_for()
    assert (diary / "diary.csv").read_bytes() == before
    page.get_by_label("report", exact=True).select_option(label=f"rotation: {REPORTS['rotation']}")
    page.get_by_role("button", name="Make it").click()
    page.get_by_role("link", name=re.compile("rotation.html$")).wait_for()
    assert (diary / "reports" / "rotation.html").exists()


def test_two_evenings_lose_nothing_and_ask_nothing(browser, tmp_path):
    folder = tmp_path / "diary"
    shutil.copytree(DEMO, folder, ignore=shutil.ignore_patterns("store", "reports", "workbook"))
    path = folder / "workbook" / "rotation.ipynb"
    with opened_lab(folder) as (address, token, _):
        first = Window(browser, address, token)
        first.show("rotation.ipynb")
        _run_all(first.page, path)
        # Another month, from the row of choices: the cell says it, and the notebook runs again.
        first.page.locator(".stitchlog-choices select").first.select_option(label="August 2026")
        first.page.get_by_text("August 2026").nth(1).wait_for(state="attached")
        august = _run_all(first.page, path)
        _assert_no_error(august)
        assert 'start: str = "2026-08-01"' in path.read_text("utf-8").replace('\\"', '"')
        menus = "() => [...document.querySelectorAll('.vega-actions a')].map((entry) => entry.textContent)"
        assert set(first.page.evaluate(menus)) == {"Save as SVG", "Save as PNG"}
        assert first.changed() == [] and first.elsewhere == []
        first.context.close()
    # In the meantime the package has become a newer one: the copy is of an earlier version.
    book = json.loads(path.read_text("utf-8"))
    book["metadata"]["stitchlog"]["written_as"] = "earlier"
    path.write_text(json.dumps(book), "utf-8")
    pace = (folder / "workbook" / "pace.ipynb").read_bytes()
    with opened_lab(folder) as (address, token, log):
        second = Window(browser, address, token)
        assert "rotation.ipynb is new in this version, with your start and end" in log.read_text("utf-8")
        (kept,) = (folder / "workbook").glob("rotation-*.ipynb")
        assert _outputs(json.loads(kept.read_text("utf-8"))) == _outputs(book)
        second.show("rotation.ipynb")
        assert 'start: str = "2026-08-01"' in path.read_text("utf-8").replace('\\"', '"')
        _assert_no_error(_run_all(second.page, path))
        # A notebook that is only looked at is not changed by that.
        second.show("pace.ipynb")
        second.page.wait_for_timeout(2000)
        assert second.changed() == [] and second.page.locator(".jp-Dialog").count() == 0
        assert (folder / "workbook" / "pace.ipynb").read_bytes() == pace
        assert second.elsewhere == []
        second.context.close()
