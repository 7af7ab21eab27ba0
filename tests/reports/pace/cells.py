"""A notebook's cells, run one after the other in this process."""

import json
from pathlib import Path

ROOT = Path(__file__).parents[3]
DEMO = ROOT / "data_demo"

SMALL = {
    "empty": "piece,date,stitches\n",
    "one row": "piece,date,stitches\nMoss,2026-10-05,40\n",
    "one timed row": "piece,date,stitches,minutes\nMoss,2026-10-05,40,30\n",
    "only minutes": "piece,date,stitches,minutes\nMoss,2026-10-05,,40\n",
    "only unpicked": "piece,date,stitches,unpicked,minutes\nMoss,2026-10-05,,40,30\nMoss,2026-10-06,,4,10\n",
    "one impossible pace": "piece,date,stitches,minutes\nMoss,2026-10-05,4000,1\nFern,2026-10-05,4,100\n",
}
# What no reader should meet.
WINCES = ("nan", "NaT", "None", "unknown", "no day", "-0 ", "1 stitches", "1 days", "1 pieces", "1 sessions", "inf")


def run(name: str, monkeypatch, **parameters) -> list[tuple[dict, dict]]:
    """What the notebook `name` shows: data and what it is about, a pair an output."""
    shown: list[tuple[dict, dict]] = []
    monkeypatch.setattr(
        "stitchlog.render.pages.publish_display_data", lambda data, about: shown.append((data, about["stitchlog"]))
    )
    book = json.loads((ROOT / "notebooks" / f"{name}.ipynb").read_text("utf-8"))
    cells = [c for c in book["cells"] if c["cell_type"] == "code"]
    space: dict = {}
    exec("".join(cells[0]["source"]), space)
    assert set(parameters) <= set(space)
    space |= parameters
    for cell in cells[1:]:
        exec("".join(cell["source"]), space)
    return shown


def texts(shown: list[tuple[dict, dict]]) -> str:
    """All that is read, charts' text alternatives among it."""
    kept = [(data, about) for data, about in shown if about["part"] != "style"]
    return "\n".join(data.get("text/html", "") + data["text/plain"] for data, _ in kept)


def charts(shown: list[tuple[dict, dict]]) -> dict[str, dict]:
    """The Vega-Lite specs by name."""
    return {
        about["name"]: next(v for k, v in data.items() if "vegalite" in k)
        for data, about in shown
        if about["part"] == "chart"
    }
