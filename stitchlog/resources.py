"""Where the notebooks and the demo diary are: beside the package in a checkout, inside it once installed."""

from __future__ import annotations

from pathlib import Path

from stitchlog.errors import StitchlogError

_PACKAGE = Path(__file__).parent


def folder(name: str) -> Path:
    """The folder `notebooks` or `data_demo`. Raises StitchlogError where the installation lacks it."""
    for place in (_PACKAGE / "_bundled" / name, _PACKAGE.parent / name):
        if place.is_dir():
            return place
    raise StitchlogError(f"the folder {name} is missing from this installation; install stitchlog again")


def notebook(name: str) -> Path:
    """The notebook of one report."""
    return folder("notebooks") / f"{name}.ipynb"
