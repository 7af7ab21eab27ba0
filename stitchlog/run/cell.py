"""What is written in a notebook: its parameters and their values, and the kernel that it is for."""

from __future__ import annotations

import ast
import json
from collections.abc import Mapping
from typing import Any

TAG = "parameters"


def is_parameters(part: Mapping[str, Any]) -> bool:
    """Whether a notebook's cell is the one that holds its parameters."""
    return part.get("cell_type") == "code" and TAG in part.get("metadata", {}).get("tags", [])


def values(source: str) -> dict[str, str]:
    """Each parameter's name and its value as the cell writes it, in order; none where the cell is no Python.

    >>> values('folder: str = ".."  # the diary\\nstart = None')
    {'folder': '".."', 'start': 'None'}
    """
    return {name: ast.get_source_segment(source, node) or "" for name, node in _assigned(source).items()}


def with_values(source: str, given: Mapping[str, str]) -> str:
    """The cell with other values, everything else as it was; a name that it does not have is passed over.

    >>> with_values('month: str = None  # help', {"month": '"2026-10"'})
    'month: str = "2026-10"  # help'
    """
    lines = source.split("\n")
    nodes = {name: node for name, node in _assigned(source).items() if name in given}
    for name, node in sorted(nodes.items(), key=lambda item: -item[1].lineno):
        first, last = node.lineno - 1, (node.end_lineno or node.lineno) - 1
        # Columns of a syntax tree count bytes.
        before = lines[first].encode()[: node.col_offset].decode()
        after = lines[last].encode()[node.end_col_offset :].decode()
        lines[first : last + 1] = [before + given[name] + after]
    return "\n".join(lines)


def kernel_metadata() -> dict[str, Any]:
    """What JupyterLab writes of the kernel into a notebook, so that opening one does not change it."""
    from ipykernel.ipkernel import IPythonKernel
    from jupyter_client.kernelspec import KernelSpecManager, NoSuchKernel

    try:
        shown = KernelSpecManager().get_kernel_spec("python3").display_name
    except NoSuchKernel:
        shown = "Python 3 (ipykernel)"
    language = json.loads(json.dumps(IPythonKernel.language_info))
    return {
        "kernelspec": {"display_name": shown, "language": "python", "name": "python3"},
        "language_info": language,
    }


def _assigned(source: str) -> dict[str, ast.expr]:
    try:
        body = ast.parse(source).body
    except SyntaxError:
        return {}
    found: dict[str, ast.expr] = {}
    for node in body:
        if isinstance(node, ast.Assign) and len(node.targets) == 1 and isinstance(node.targets[0], ast.Name):
            found[node.targets[0].id] = node.value
        elif isinstance(node, ast.AnnAssign) and isinstance(node.target, ast.Name) and node.value is not None:
            found[node.target.id] = node.value
    return found
