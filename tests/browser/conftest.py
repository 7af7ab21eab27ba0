"""A real browser, and pages opened in it with everything noted that they say and ask for.

Where there is no Chromium these tests are skipped; under CI=true its absence fails them.
"""

import os
import shutil
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

import pytest

FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
READY = "() => !document.getElementById('specs') || document.documentElement.dataset.charts !== undefined"


def chromium() -> str | None:
    """The program, where this machine has one."""
    return next(filter(None, map(shutil.which, ("chromium", "chromium-browser", "google-chrome"))), None)


def _missing(what: str) -> None:
    if os.environ.get("CI") == "true":
        pytest.fail(f"{what} is missing")
    pytest.skip(f"{what} is not installed here")


@pytest.fixture(scope="session")
def browser():
    """Chromium, headless."""
    program = chromium()
    if program is None:
        _missing("Chromium")
    try:
        from playwright.sync_api import sync_playwright
    except ImportError:
        _missing("playwright")
    with sync_playwright() as driver:
        started = driver.chromium.launch(executable_path=program, args=FLAGS)
        yield started
        started.close()


@dataclass
class Opened:
    """A page in the browser, with the errors on its console and the requests that it made of any host."""

    page: object
    errors: list[str] = field(default_factory=list)
    requests: list[str] = field(default_factory=list)

    def note_request(self, url: str) -> None:
        if not url.startswith(("file:", "data:", "blob:")):
            self.requests.append(url)


@pytest.fixture
def opened(browser) -> Callable[..., Opened]:
    """Opens a file in a fresh window and waits until its charts are drawn."""
    contexts = []

    def open_file(path: Path, width: int = 1280, scheme: str = "light", scripts: bool = True) -> Opened:
        context = browser.new_context(
            viewport={"width": width, "height": 900}, color_scheme=scheme, java_script_enabled=scripts, offline=True
        )
        contexts.append(context)
        seen = Opened(context.new_page())
        seen.page.on("console", lambda m: seen.errors.append(m.text) if m.type == "error" else None)
        seen.page.on("pageerror", lambda e: seen.errors.append(str(e)))
        seen.page.on("request", lambda r: seen.note_request(r.url))
        seen.page.goto(path.resolve().as_uri())
        if scripts:
            seen.page.wait_for_function(READY, timeout=60_000)
        return seen

    yield open_file
    for context in contexts:
        context.close()


@pytest.fixture(scope="session")
def axe() -> str:
    """The accessibility checker's script."""
    from importlib.util import find_spec

    found = find_spec("axe_playwright_python")
    if found is None or found.origin is None:
        _missing("axe-playwright-python")
    return (Path(found.origin).parent / "axe.min.js").read_text("utf-8")
