"""The notebook's cells, run one after the other on the demo, on one row and on nothing."""

import json
import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
NOTEBOOK = ROOT / "notebooks" / "review.ipynb"


def _run(monkeypatch, **parameters) -> list[tuple[dict, dict]]:
    shown: list[tuple[dict, dict]] = []
    monkeypatch.setattr(
        "stitchlog.pages.publish_display_data", lambda data, about: shown.append((data, about["stitchlog"]))
    )
    cells = [c for c in json.loads(NOTEBOOK.read_text("utf-8"))["cells"] if c["cell_type"] == "code"]
    space: dict = {}
    exec("".join(cells[0]["source"]), space)
    assert set(parameters) <= set(space)
    space |= parameters
    for cell in cells[1:]:
        exec("".join(cell["source"]), space)
    return shown


def _texts(shown) -> str:
    return "\n".join(data.get("text/html", "") + data["text/plain"] for data, _ in shown)


def test_the_demo_leaves_tables_notes_and_cards(monkeypatch, tmp_path):
    out = tmp_path / "review"
    (out / "cards").mkdir(parents=True)
    (out / "cards" / "01-a-piece-of-last-month.png").write_bytes(b"old")
    (out / "cards" / "of-my-own.png").write_bytes(b"kept")
    shown = _run(monkeypatch, folder=str(ROOT / "data_demo"), start="2026-10-01", end="2026-10-31", out=str(tmp_path))
    assert [about["name"] for _, about in shown if about["part"] == "chart"] == [
        "calendar",
        "running",
        "progress",
        "shares",
        "flow",
    ]
    assert (out / "pieces.csv").exists()
    assert "## Running order" in (out / "notes.md").read_text("utf-8")
    pieces = len((out / "pieces.csv").read_text("utf-8-sig").splitlines()) - 1
    cards = {p.name for p in (out / "cards").iterdir()}
    assert "01-a-piece-of-last-month.png" not in cards
    assert "of-my-own.png" in cards
    assert len(cards) == pieces + 2 + 1
    assert _texts(shown).count("<h3") == pieces


DIARIES = {
    "empty": "piece,date,stitches\n",
    "one row": "piece,date,stitches\nMoss,2026-10-05,40\n",
    "only minutes": "piece,date,stitches,minutes\nMoss,2026-10-05,,40\n",
    "only unpicked": "piece,date,stitches,unpicked\nMoss,2026-10-05,,40\nMoss,2026-10-06,,4\n",
}


@pytest.mark.parametrize("name", DIARIES)
@pytest.mark.parametrize(("start", "end"), [(None, None), ("2026-10-01", "2026-10-31"), ("2026-01-01", "2026-12-31")])
@pytest.mark.parametrize("tone", ["talk", "journal"])
def test_the_smallest_diaries_read_well(monkeypatch, tmp_path, name, start, end, tone):
    (tmp_path / "diary.csv").write_text(DIARIES[name], "utf-8")
    out = tmp_path / "out"
    shown = _run(monkeypatch, folder=str(tmp_path), start=start, end=end, tone=tone, out=str(out), size="square")
    text = _texts([s for s in shown if s[1]["part"] not in ("style", "chart")])
    text += (out / "review" / "notes.md").read_text("utf-8")
    assert not re.findall(
        r"\bnan\b|NaT|None|unknown stitches|no day\b|[-−]0 |(?<![\d,.])1 (?:stitches|days|pieces)\b", text
    )
