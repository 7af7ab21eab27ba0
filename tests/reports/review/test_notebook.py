"""The notebook's cells, run one after the other on the demo, on one row and on nothing."""

import re

import pytest

from tests.reports.pace.cells import DEMO, SMALL, charts, run, texts


def test_the_demo_leaves_tables_notes_and_cards(monkeypatch, tmp_path):
    out = tmp_path / "review"
    (out / "cards").mkdir(parents=True)
    (out / "cards" / "01-a-piece-of-last-month.png").write_bytes(b"old")
    (out / "cards" / "of-my-own.png").write_bytes(b"kept")
    shown = run("review", monkeypatch, folder=str(DEMO), start="2026-10-01", end="2026-10-31", out=str(tmp_path))
    assert list(charts(shown)) == ["calendar", "running", "progress", "shares", "flow"]
    assert (out / "pieces.csv").exists()
    assert "## Running order" in (out / "notes.md").read_text("utf-8")
    pieces = len((out / "pieces.csv").read_text("utf-8-sig").splitlines()) - 1
    cards = {p.name for p in (out / "cards").iterdir()}
    assert "01-a-piece-of-last-month.png" not in cards
    assert "of-my-own.png" in cards
    numbered = [name for name in cards if name[:2].isdigit()]
    assert len(numbered) >= pieces + 2 and {"thumbnail.png", "contact-sheet.png"} < cards
    assert texts(shown).count("<h3") == pieces


@pytest.mark.parametrize("name", SMALL)
@pytest.mark.parametrize(
    ("start", "end", "tone"),
    [
        (None, None, "talk"),
        ("2026-10-01", "2026-10-31", "talk"),
        ("2026-10-01", "2026-10-31", "journal"),
        ("2026-01-01", "2026-12-31", "journal"),
    ],
)
def test_the_smallest_diaries_read_well(monkeypatch, tmp_path, name, start, end, tone):
    (tmp_path / "diary.csv").write_text(SMALL[name], "utf-8")
    out = tmp_path / "out"
    shown = run(
        "review", monkeypatch, folder=str(tmp_path), start=start, end=end, tone=tone, out=str(out), size="square"
    )
    text = texts(shown) + (out / "review" / "notes.md").read_text("utf-8")
    assert not re.findall(
        r"\bnan\b|NaT|None|unknown stitches|no day\b|[-−]0 |(?<![\d,.])1 (?:stitches|days|pieces)\b", text
    )
