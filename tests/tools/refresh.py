"""Writes again what is kept in the project but made by it.

python -m tests.tools.refresh              all of these:
python -m tests.tools.refresh columns      the tables of columns in README.md
python -m tests.tools.refresh notebooks    the demo outputs in notebooks/ (names after it: these alone)
python -m tests.tools.refresh picture      reports/example: the picture in README.md (wants Chromium)
"""

from __future__ import annotations

import configparser
import re
import subprocess
import sys
import tempfile
from pathlib import Path

from stitchlog.diary import schema

ROOT = Path(__file__).parents[2]
README = ROOT / "README.md"
_WIDGET = "application/vnd.jupyter.widget-view+json"


def column_tables() -> str:
    """The README's tables of columns, from the definitions that the reader uses."""
    parts = []
    for table in schema.TABLES:
        parts += [f"`{table.file}`, {table.meaning}:", "", "| column | holds | meaning |", "|---|---|---|"]
        for column in table.columns:
            name = f"`{column.name}`" + (" (required)" if column.required else "")
            also = f" (also read as `{'`, `'.join(column.aliases)}`)" if column.aliases else ""
            parts.append(f"| {name} | {column.holds} | {column.meaning}{also} |")
        parts.append("")
    return "\n".join(parts)


def columns() -> None:
    text = README.read_text("utf-8")
    pattern = re.compile(r"(<!-- columns -->\n).*?(<!-- end of columns -->)", re.DOTALL)
    README.write_text(pattern.sub(lambda m: m[1] + "\n" + column_tables() + "\n" + m[2], text), "utf-8")


def notebooks(names: list[str] | None = None) -> None:
    """Runs each notebook as it stands and keeps its outputs, stripped of what changes from run to run."""
    import nbformat
    from nbclient import NotebookClient

    for path in sorted((ROOT / "notebooks").glob("*.ipynb")):
        if names and path.stem not in names:
            continue
        book = nbformat.read(path, 4)
        NotebookClient(
            book,
            kernel_name="python3",
            resources={"metadata": {"path": str(path.parent)}},
            extra_arguments=["--IPKernelApp.log_level=ERROR"],
        ).execute()
        book.metadata = {
            "kernelspec": {"display_name": "Python 3", "language": "python", "name": "python3"},
            "language_info": {"name": "python"},
        }
        pictures = _pictures()
        for number, cell in enumerate(book.cells):
            cell.id = f"{path.stem}-{number}"
            cell.metadata.pop("execution", None)
            for output in cell.get("outputs", []):
                data = output.get("data", {})
                # Charts are kept as what they are drawn from, photos as a blank picture: a diff can be read.
                for kind in ("image/png", "image/jpeg"):
                    if data.pop(kind, None):
                        output.metadata.pop(kind, None)
                if "text/html" in data:
                    data["text/html"] = re.sub(pictures["regex"], pictures["replace"], data["text/html"])
            # A form lives only while its kernel does, and names it.
            if any(_WIDGET in output.get("data", {}) for output in cell.get("outputs", [])):
                cell.outputs = []
                cell.metadata.tags = ["nbval-ignore-output"]
        nbformat.write(book, path)
        print(f"wrote {path.relative_to(ROOT)}")


def _pictures() -> dict[str, str]:
    """What nbval reads as one and the same picture, and what is kept in its place."""
    config = configparser.ConfigParser()
    config.read(ROOT / "tests" / "notebooks.cfg", "utf-8")
    return dict(config["pictures"])


def picture() -> None:
    """The top of the demo diary's review as a browser shows it."""
    from playwright.sync_api import sync_playwright

    from tests.browser.conftest import FLAGS, READY, chromium

    target = ROOT / "reports" / "example" / "review.png"
    target.parent.mkdir(exist_ok=True)
    with tempfile.TemporaryDirectory() as out, sync_playwright() as driver:
        subprocess.run([sys.executable, "-m", "stitchlog.cli", "demo", "--out", out], check=True)
        browser = driver.chromium.launch(executable_path=chromium(), args=FLAGS)
        page = browser.new_page(viewport={"width": 900, "height": 1000}, offline=True)
        page.goto((Path(out) / "review.html").as_uri())
        page.wait_for_function(READY)
        page.screenshot(path=target, full_page=True, clip={"x": 0, "y": 0, "width": 900, "height": 1500})
        browser.close()
    print(f"wrote {target.relative_to(ROOT)}")


def main() -> None:
    kinds = {"columns": columns, "notebooks": notebooks, "picture": picture}
    what, *names = sys.argv[1:] or ["everything"]
    if what == "notebooks":
        notebooks(names)
    else:
        for kind in kinds if what == "everything" else [what]:
            kinds[kind]()


if __name__ == "__main__":
    main()
