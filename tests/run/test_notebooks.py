"""Running notebooks: the fast way and the plain way give the same; a failure leaves the rest standing."""

from pathlib import Path

import nbformat
import pytest

from stitchlog import resources
from stitchlog.run.notebooks import Job, run

SHOWING = """
from IPython.display import publish_display_data
print("first")
publish_display_data({"text/html": "<p>shown</p>", "text/plain": "shown"}, {"stitchlog": {"part": "note"}})
print("last")
"""


def _write(path: Path, *sources: str) -> None:
    book = nbformat.v4.new_notebook()
    book.metadata = {"kernelspec": {"name": "python3", "display_name": "Python 3", "language": "python"}}
    asked = nbformat.v4.new_code_cell('folder = ""\nout = None\nword = "usual"', metadata={"tags": ["parameters"]})
    book.cells = [nbformat.v4.new_markdown_cell("# Toy"), asked, *[nbformat.v4.new_code_cell(s) for s in sources]]
    for number, cell in enumerate(book.cells):
        cell.id = f"cell-{number}"
    nbformat.write(book, path)


@pytest.fixture
def toys(tmp_path, monkeypatch):
    books = tmp_path / "notebooks"
    books.mkdir()
    _write(books / "good.ipynb", SHOWING, "word, 1 + 1")
    _write(books / "bad.ipynb", "1 / 0", "print('never')")
    refusal = "from stitchlog import StitchlogError\nraise StitchlogError('there is no piece \"X\" in this diary')"
    _write(books / "refusing.ipynb", refusal)
    monkeypatch.setattr(resources, "notebook", lambda name: books / f"{name}.ipynb")
    return tmp_path


def _outputs(path: Path) -> list:
    return [cell.get("outputs") for cell in nbformat.read(path, 4).cells if cell.cell_type == "code"]


def test_both_ways_give_the_same_outputs(toys):
    for plain in (False, True):
        (outcome,) = run([Job("good", toys, toys / f"{plain}", {"word": "asked"})], plain=plain)
        assert outcome.failure is None
        assert outcome.page == toys / f"{plain}" / "good.html"
    fast, slow = (_outputs(toys / f"{plain}" / "good.ipynb") for plain in (False, True))
    assert fast == slow
    assert fast[-1][0]["data"]["text/plain"] == "('asked', 2)"
    assert [o.output_type for o in fast[2]] == ["stream", "display_data", "stream"]


@pytest.mark.parametrize("plain", [False, True])
def test_a_failure_says_which_cell_and_leaves_the_others_standing(toys, plain):
    jobs = [Job(name, toys, toys / "out") for name in ("bad", "refusing", "good")]
    outcomes = {o.job.name: o for o in run(jobs, plain=plain)}
    assert outcomes["good"].failure is None
    assert (toys / "out" / "good.html").exists()
    assert outcomes["bad"].page is None
    assert outcomes["bad"].failure.startswith("bad: cell 3 of ")
    assert outcomes["bad"].failure.endswith("ZeroDivisionError: division by zero")
    assert outcomes["refusing"].failure == 'refusing: there is no piece "X" in this diary'
    left = nbformat.read(toys / "out" / "bad.ipynb", 4)
    assert any("papermill-error-cell" in c.source for c in left.cells)
