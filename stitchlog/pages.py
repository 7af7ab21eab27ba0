"""What a notebook shows through: sentences, charts and tables that become a page, a CSV and a PNG each."""

from __future__ import annotations

import html
from pathlib import Path
from typing import Any

import altair as alt
import pandas as pd
from IPython.display import publish_display_data

from stitchlog import theme
from stitchlog.diary import Diary

# JupyterLab draws this kind by itself, with no network.
CHART_MIME = "application/vnd.vegalite.v5+json"


class Page:
    """One report while its notebook runs.

    name: the report's. as_of: the day it is seen from (None: the diary's last day). out: the folder that gets `NAME/`
    with tables, pictures and files (None: nothing is written, everything is shown).
    """

    def __init__(self, name: str, diary: Diary, as_of: Any = None, out: str | Path | None = None) -> None:
        self.name = name
        self.diary = diary
        self.as_of: pd.Timestamp = pd.Timestamp(as_of) if as_of else diary.last_day
        self.folder = Path(out) / name if out else None

    def note(self, text: str) -> None:
        """A paragraph of plain words."""
        self._show({"text/html": f'<p class="note">{html.escape(text)}</p>', "text/plain": text}, part="note")

    def caution(self, text: str) -> None:
        """A paragraph that asks for care."""
        self._show({"text/html": f'<p class="caution">{html.escape(text)}</p>', "text/plain": text}, part="caution")

    def chart(self, name: str, sentence: str, chart: alt.TopLevelMixin) -> None:
        """A chart under the sentence that says what it shows. Its text alternative is the chart's own description."""
        spec = chart.to_dict()
        spec["config"] = {**theme.chart_config(), **{k: v for k, v in spec.get("config", {}).items() if k != "view"}}
        spec["$schema"] = "https://vega.github.io/schema/vega-lite/v5.json"
        alternative = spec.setdefault("description", sentence)
        self._show({"text/html": f'<p class="says">{html.escape(sentence)}</p>', "text/plain": sentence}, part="says")
        self._show({CHART_MIME: spec, "text/plain": alternative}, part="chart", name=name, alt=alternative)

    def table(
        self,
        name: str,
        caption: str,
        frame: pd.DataFrame,
        headings: dict[str, str] | None = None,
        limit: int | None = None,
    ) -> None:
        """A table with its caption; the whole frame goes to `NAME.csv`, its first `limit` rows (all where None) to the page."""
        if self.folder:
            self.folder.mkdir(parents=True, exist_ok=True)
            frame.to_csv(self.folder / f"{name}.csv", index=False)
        shown = frame if limit is None else frame.head(limit)
        headings = headings or {c: c.replace("_", " ") for c in frame.columns}
        head = "".join(f'<th scope="col">{html.escape(h)}</th>' for h in headings.values())
        body = "".join(
            "<tr>" + "".join(f"<td>{html.escape(str(v))}</td>" for v in row) + "</tr>"
            for row in shown[list(headings)].itertuples(index=False)
        )
        text = f"<table><caption>{html.escape(caption)}</caption><thead><tr>{head}</tr></thead><tbody>{body}</tbody></table>"
        self._show({"text/html": f'<div class="wide">{text}</div>', "text/plain": caption}, part="table", name=name)

    def picture(self, name: str, png: bytes, alternative: str) -> None:
        """A picture with its text alternative."""
        import base64

        data = base64.b64encode(png).decode("ascii")
        tag = f'<img alt="{html.escape(alternative, quote=True)}" src="data:image/png;base64,{data}">'
        self._show({"text/html": tag, "text/plain": alternative}, part="picture", name=name)

    def html(self, fragment: str, plain: str = "") -> None:
        """A fragment of HTML that the caller has escaped."""
        self._show({"text/html": fragment, "text/plain": plain}, part="html")

    def file(self, path: str, content: str | bytes) -> None:
        """A file beside the report's tables, `path` below `OUT/NAME/`. Nothing is written where there is no `out`."""
        if self.folder is None:
            return
        target = self.folder / path
        target.parent.mkdir(parents=True, exist_ok=True)
        target.write_bytes(content.encode("utf-8") if isinstance(content, str) else content)

    def problems(self) -> None:
        """One line, and a table, on rows that were left out or estimated; nothing where there are none."""
        left_out = len(self.diary.left_out)
        estimated = int(self.diary.sessions["estimated"].sum())
        if left_out:
            self.note(f"{left_out} rows could not be read and are left out of everything on this page.")
            self.table("left_out", "Rows left out, and how to mend them", self.diary.problems)
        if estimated:
            self.note(f"The stitches of {estimated} sessions are estimated from their minutes.")

    def _show(self, data: dict[str, Any], **about: Any) -> None:
        publish_display_data(data, {"stitchlog": about})
