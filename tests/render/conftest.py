"""A page on a small diary, and what it shows."""

from types import SimpleNamespace

import pytest

from stitchlog import open_diary
from stitchlog.render import pages

DIARY = """piece,date,stitches,minutes
Otter Creek,2026-10-01,120,60
Otter Creek,2026-10-03,,30
"Fox, <b>Hill</b>",2026-10-05,80,
Otter Creek,2026-10-40,10,
"""


@pytest.fixture
def shown(monkeypatch):
    """What pages publish: a list of (data, the page's own remarks)."""
    out = []
    monkeypatch.setattr(pages, "publish_display_data", lambda data, metadata: out.append((data, metadata["stitchlog"])))
    return out


@pytest.fixture
def folder(tmp_path):
    """A diary folder with an estimated session and a row that cannot be read."""
    (tmp_path / "mine").mkdir()
    (tmp_path / "mine" / "diary.csv").write_text(DIARY, "utf-8")
    return tmp_path / "mine"


@pytest.fixture
def made(folder, tmp_path, shown):
    """A page on that folder, its output folder, and what it has shown since it was opened."""
    page = pages.Page("toy", open_diary(folder), out=tmp_path / "out")
    opened = list(shown)
    shown.clear()
    return SimpleNamespace(page=page, out=tmp_path / "out" / "toy", shown=shown, opened=opened)
