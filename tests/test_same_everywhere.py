"""What a notebook shows is the same on every machine: no more digits than are sure, and none that a processor moves."""

import functools
import json
import os
import re
import subprocess
import sys
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import nbformat
import numpy as np
import pandas as pd
import pytest
from IPython.core.interactiveshell import InteractiveShell

from stitchlog import rounding, words
from stitchlog.render import pages

ROOT = Path(__file__).parents[1]
NOTEBOOKS = sorted((ROOT / "notebooks").glob("*.ipynb"))
_NUMBER = re.compile(r"(?<![\w#.])\d+\.\d+(?:e[-+]?\d+)?")
_PICTURE = re.compile(r"data:image/[a-z]+;base64,[A-Za-z0-9+/=]+")


def _outputs(notebook: Path) -> str:
    cells = nbformat.read(notebook, 4).cells
    return _PICTURE.sub("", json.dumps([cell.get("outputs", []) for cell in cells]))


def _digits(number: str) -> int:
    return len(number.partition("e")[0].replace(".", "").strip("0"))


@pytest.mark.parametrize("notebook", NOTEBOOKS, ids=lambda p: p.stem)
def test_no_kept_output_holds_more_than_six_significant_digits(notebook):
    assert {n for n in _NUMBER.findall(_outputs(notebook)) if _digits(n) > rounding.DIGITS} == set()


@pytest.mark.parametrize("notebook", NOTEBOOKS, ids=lambda p: p.stem)
def test_names_of_data_sets_do_not_depend_on_what_they_hold(notebook):
    assert not re.search(r"data-[0-9a-f]{16,}", _outputs(notebook))


def test_numbers_on_an_edge_fall_to_one_side():
    for edge in (0.5, 2.5, 0.125, 0.005, 1234.5, 0.1234565, 123456.5, 99999.95, -0.5):
        for moved in (edge * (1 - 3e-13), edge * (1 + 3e-13)):
            assert rounding.shown(moved) == rounding.shown(edge)
            assert words.number(moved, 2) == words.number(edge, 2)
            assert words.percent(moved) == words.percent(edge)
            assert words.duration(moved) == words.duration(edge)


def test_numbers_that_name_nothing_stay_as_they_are():
    assert np.isnan(rounding.shown(float("nan")))
    assert rounding.shown(float("inf")) == float("inf")
    assert rounding.tree({"a": [12345678, "1.23456789", True, None]}) == {"a": [12345678, "1.23456789", True, None]}


def _moved(value: Any, rng: np.random.Generator) -> Any:
    """The value with every float in it moved by up to five parts in 10^13."""
    if isinstance(value, float):
        return value * (1 + rng.uniform(-5e-13, 5e-13))
    if isinstance(value, dict):
        return {key: _moved(held, rng) for key, held in value.items()}
    if isinstance(value, list):
        return [_moved(held, rng) for held in value]
    if isinstance(value, pd.DataFrame):
        floats = value.select_dtypes("float")
        return value.assign(**{c: floats[c] * (1 + rng.uniform(-5e-13, 5e-13, len(value))) for c in floats})
    return value


def _run(notebook: Path, **instead: Any) -> list[Any]:
    """All that a notebook's cells show through their page. instead: functions of `words` and `pages.Page` to use."""
    out: list[Any] = []
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(pages, "publish_display_data", lambda data, metadata: out.append((data, metadata)))
        patch.chdir(notebook.parent)
        for name, function in instead.items():
            patch.setattr(words if hasattr(words, name) else pages.Page, name, function)
        InteractiveShell.clear_instance()
        shell = InteractiveShell.instance()
        for cell in nbformat.read(notebook, 4).cells:
            if cell.cell_type == "code" and "nbval-ignore-output" not in cell.metadata.get("tags", []):
                shell.run_cell(cell.source).raise_error()
    return out


_shown = functools.cache(_run)


@pytest.mark.slow
@pytest.mark.parametrize("notebook", NOTEBOOKS, ids=lambda p: p.stem)
def test_a_last_digit_that_moves_changes_nothing_shown(notebook):
    """Stands in for another processor: numbers move by a few parts in 10^13 just before they are shown."""
    rng = np.random.default_rng(15)
    chart, table, number, percent = pages.Page.chart, pages.Page.table, words.number, words.percent

    def moved_chart(self: pages.Page, name: str, sentence: str, drawn: Any) -> None:
        moved = drawn and SimpleNamespace(to_dict=lambda: _moved(drawn.to_dict(), rng))
        chart(self, name, sentence, moved)

    def moved_table(self: pages.Page, name: str, caption: str, frame: pd.DataFrame, *more: Any, **named: Any) -> None:
        table(self, name, caption, _moved(frame, rng), *more, **named)

    moved = _run(
        notebook,
        chart=moved_chart,
        table=moved_table,
        number=lambda value, digits=0: number(_moved(value, rng), digits),
        percent=lambda share: percent(_moved(share, rng)),
    )
    assert moved == _shown(notebook)


@pytest.mark.slow
def test_what_is_shown_is_the_same_on_a_lesser_processor_elsewhere():
    """The notebooks once more with numpy's newer instructions off, and another time zone, locale and hash seed."""
    elsewhere = os.environ | {
        "NPY_DISABLE_CPU_FEATURES": " ".join(_dispatched()),
        "TZ": "Pacific/Kiritimati",
        "LC_ALL": "C",
        "PYTHONHASHSEED": "4711",
    }
    command = [sys.executable, "-m", "tests.test_same_everywhere"]
    done = subprocess.run(command, cwd=ROOT, env=elsewhere, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr[-4000:]
    there = json.loads(done.stdout.splitlines()[-1])
    for notebook in NOTEBOOKS:
        assert there[notebook.stem] == json.loads(json.dumps(_shown(notebook))), notebook.stem


def _dispatched() -> list[str]:
    """The processor features that numpy would choose by itself here and can be told to leave alone."""
    from numpy._core._multiarray_umath import __cpu_dispatch__, __cpu_features__

    return [name for name in __cpu_dispatch__ if __cpu_features__[name]]


if __name__ == "__main__":
    print("\n" + json.dumps({notebook.stem: _shown(notebook) for notebook in NOTEBOOKS}))
