"""A papermill engine that runs a notebook in this very process.

Starting a kernel costs more than most of the notebooks do. A child process forked from one that has everything imported
runs the cells at once and is thrown away afterwards, so that notebooks cannot see each other. Outputs are those that a
kernel would have sent.
"""

from __future__ import annotations

import contextlib
import io
from typing import Any

from IPython.core.displayhook import DisplayHook
from IPython.core.displaypub import DisplayPublisher
from IPython.core.interactiveshell import InteractiveShell
from jupyter_client.session import json_packer, json_unpacker
from nbformat.v4 import output_from_msg
from papermill.engines import Engine, papermill_engines

from stitchlog.render import showing

NAME = "inline"


class _Outputs:
    """Where everything that a cell shows ends up, in the order it was shown."""

    def __init__(self) -> None:
        self.now: list[Any] = []

    def add(self, kind: str, content: dict[str, Any]) -> None:
        sent = json_unpacker(json_packer(content))  # as it would arrive from a kernel
        self.now.append(output_from_msg({"header": {"msg_type": kind}, "content": sent}))

    def write(self, stream: str, text: str) -> None:
        last = self.now[-1] if self.now else None
        if last is not None and last.output_type == "stream" and last.name == stream:
            last.text += text
        else:
            self.add("stream", {"name": stream, "text": text})


class _Stream(io.TextIOBase):
    def __init__(self, outputs: _Outputs, name: str) -> None:
        self._outputs, self._name = outputs, name

    def writable(self) -> bool:
        return True

    def write(self, text: str) -> int:
        if text:
            self._outputs.write(self._name, text)
        return len(text)


class _Publisher(DisplayPublisher):
    outputs: _Outputs

    def publish(self, data: Any, metadata: Any = None, *_: Any, **__: Any) -> None:
        self.outputs.add("display_data", {"data": data, "metadata": metadata or {}})


class _Result(DisplayHook):
    outputs: _Outputs

    def start_displayhook(self) -> None: ...

    def write_output_prompt(self) -> None: ...

    def write_format_data(self, format_dict: Any, md_dict: Any = None) -> None:
        content = {"data": format_dict, "metadata": md_dict or {}, "execution_count": self.prompt_count}
        self.outputs.add("execute_result", content)

    def finish_displayhook(self) -> None: ...


class InlineEngine(Engine):  # type: ignore[misc]
    """Runs each code cell in a fresh IPython shell of this process and stops at the first that fails."""

    @classmethod
    def execute_managed_notebook(cls, nb_man: Any, kernel_name: str, **_: Any) -> None:
        outputs = _Outputs()
        InteractiveShell.clear_instance()
        shell = InteractiveShell.instance(display_pub_class=_Publisher, displayhook_class=_Result, colors="nocolor")
        shell.display_pub.outputs = outputs  # type: ignore[attr-defined]
        shell.displayhook.outputs = outputs  # type: ignore[attr-defined]
        showing.teach(shell)
        shell.history_manager.enabled = False  # type: ignore[union-attr]
        shell._showtraceback = lambda kind, error, lines: outputs.add(  # type: ignore[method-assign,assignment]
            "error", {"ename": kind.__name__, "evalue": str(error), "traceback": lines}
        )
        for index, cell in enumerate(nb_man.nb.cells):
            if cell.cell_type != "code" or not cell.source.strip():
                nb_man.cell_start(cell, index)
                nb_man.cell_complete(cell, cell_index=index)
                continue
            nb_man.cell_start(cell, index)
            outputs.now = []
            with (
                contextlib.redirect_stdout(_Stream(outputs, "stdout")),
                contextlib.redirect_stderr(_Stream(outputs, "stderr")),
            ):
                result = shell.run_cell(cell.source, store_history=True)
            error = result.error_before_exec or result.error_in_exec
            cell.outputs = outputs.now
            cell.execution_count = result.execution_count
            if error is not None:
                nb_man.cell_exception(cell, cell_index=index, exception=error)
                break
            nb_man.cell_complete(cell, cell_index=index)


papermill_engines.register(NAME, InlineEngine)
