"""A notebook's own charts shown as a page shows them. Nothing heavy is imported before there is a chart."""

from __future__ import annotations

from typing import Any


def teach(shell: Any) -> None:
    """Makes a notebook show any chart with no network, however it was made, and as a page shows its own.

    The module named is that of the drawing library's version in use; a test says when that changes.
    """
    formatter = shell.display_formatter.mimebundle_formatter
    formatter.for_type_by_name("altair.vegalite.v6.api", "TopLevelMixin", _bundle)


def _bundle(chart: Any) -> tuple[dict[str, Any], dict[str, Any]]:
    from stitchlog.render import charts

    return charts.bundle(chart)
