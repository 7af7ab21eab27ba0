"""The house rules that a machine can keep: layers, thin notebooks, one place for columns, nothing at the top level."""

import ast
import json
import re
import subprocess
import sys
from importlib.util import find_spec
from pathlib import Path

import pytest

from stitchlog.reports import REPORTS
from tests.tools import refresh

ROOT = Path(__file__).parents[1]
NOTEBOOKS = sorted((ROOT / "notebooks").glob("*.ipynb"))
TOP = {"README.md", "DEVELOPERS.md", "pyproject.toml", "notebooks", "stitchlog", "data_demo", "tests", "reports"}


def _code_cells(notebook: Path) -> list[dict]:
    return [c for c in json.loads(notebook.read_text("utf-8"))["cells"] if c["cell_type"] == "code"]


def test_the_top_level_holds_only_what_belongs_there():
    tracked = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=False).stdout.split(
        "\n"
    )
    if not any(tracked):
        pytest.skip("not a checkout")
    names = {line.split("/")[0] for line in tracked if line}
    assert {n for n in names if not n.startswith(".")} == TOP


def test_imports_point_one_way():
    from importlinter.cli import lint_imports

    assert lint_imports(config_filename=str(ROOT / "pyproject.toml"), no_cache=True) == 0


@pytest.mark.parametrize("notebook", NOTEBOOKS, ids=lambda p: p.stem)
def test_a_notebook_holds_no_logic(notebook):
    cells = _code_cells(notebook)
    assert cells[0]["metadata"].get("tags") == ["parameters"]
    imports, besides = 0, set()
    for cell in cells:
        for node in ast.walk(ast.parse("".join(cell["source"]))):
            imports += isinstance(node, ast.ImportFrom)
            besides |= {alias.name for alias in node.names} if isinstance(node, ast.Import) else set()
            assert not isinstance(node, (ast.FunctionDef, ast.Lambda, ast.For, ast.While, ast.If, ast.ListComp)), cell
    assert imports == 1
    # The one on which an analyst goes on shows what there is to go on with.
    assert besides == ({"altair", "duckdb", "polars"} if notebook.stem == "explore" else set())


@pytest.mark.parametrize("notebook", NOTEBOOKS, ids=lambda p: p.stem)
def test_every_parameter_is_explained(notebook):
    """In the way that papermill's help reads: name, type, value, and what it is."""
    for line in "".join(_code_cells(notebook)[0]["source"]).strip().splitlines():
        assert re.fullmatch(r"\w+: (str|int|float|bool) = .+?  # .{10,}", line), line


@pytest.mark.parametrize("notebook", NOTEBOOKS, ids=lambda p: p.stem)
def test_a_kept_notebook_names_no_machine(notebook):
    text = notebook.read_text("utf-8")
    assert not re.search(r"/(home|root|Users|tmp|work|opt)/", text)
    assert "papermill" not in json.loads(text)["metadata"]


def test_the_readme_says_what_the_reader_reads():
    assert refresh.column_tables() in (ROOT / "README.md").read_text("utf-8")


def test_the_way_in_says_what_the_help_says_of_every_report():
    text = (ROOT / "notebooks" / "start.ipynb").read_text("utf-8")
    for name, answers in REPORTS.items():
        assert f"| [{name}]({name}.ipynb) | {answers} |" in text


def test_nothing_heavy_loads_with_the_command_line():
    heavy = ("pandas", "pyarrow", "altair", "papermill")
    code = f"import sys, stitchlog.cli; print([m for m in {heavy} if m in sys.modules])"
    out = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout
    assert out.strip() == "[]"


def test_the_clock_is_read_in_one_place():
    clock = re.compile(r"\b(date\.today|datetime\.now|datetime\.today|Timestamp\.now|Timestamp\.today|time\.time)\(")
    readers = {p.name for p in (ROOT / "stitchlog").rglob("*.py") if clock.search(p.read_text("utf-8"))}
    assert readers == {"clock.py"}


def test_every_command_in_the_guide_is_there():
    guide = (ROOT / "DEVELOPERS.md").read_text("utf-8")
    modules = set(re.findall(r"python -m ((?:tests|stitchlog)\.[\w.]+)", guide))
    assert len(modules) >= 6
    for module in modules:
        assert find_spec(module) is not None, module
    for path in set(re.findall(r"`((?:tests|stitchlog|notebooks)/[\w./-]+)`", guide)):
        assert (ROOT / path).exists(), path
