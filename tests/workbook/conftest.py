"""The small diary that pages are tested on serves the workbook too."""

from tests.render.conftest import folder, shown

__all__ = ["folder", "shown"]
