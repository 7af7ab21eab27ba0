"""What a notebook shows through: sentences, charts and tables that become a page, a CSV and a PNG each."""

from __future__ import annotations

import html
from collections.abc import Iterable, Mapping
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import altair as alt
import pandas as pd
from IPython.display import publish_display_data
from pandas.io.formats.style import Styler

from stitchlog import rounding, words
from stitchlog.diary import clock, escaping, parameters
from stitchlog.diary.diary import Diary, open_diary
from stitchlog.model.next_step import say_next_step
from stitchlog.render import charts, choices, files, tables, theme


class Page:
    """One report while its notebook runs.

    name: the report's. diary: a diary, or its folder. as_of: the day it is seen from (None: today or the diary's last
    day, whichever is earlier). out: the folder that gets `NAME/` with tables, pictures and files (None: nothing is
    written, everything is shown). asked: the notebook's other parameters.

    `page.diary` is the diary of that day, which knows nothing later; `page.asked` holds the parameters as `parameters`
    reads them, days as dates. Days and numbers are written as the language of the diary's settings has them. Raises
    StitchlogError, one sentence, where there is no diary or a parameter cannot be read.
    """

    def __init__(
        self, name: str, diary: Diary | str | Path, as_of: Any = None, out: str | Path | None = None, **asked: Any
    ) -> None:
        whole = diary if isinstance(diary, Diary) else open_diary(diary)
        context = parameters.Context(clock.today(), whole.settings.date_order)
        read = parameters.read({"as_of": as_of, **asked}, context)
        # A session dated next year by a slip does not take the page there.
        early = context.today if whole.last_day > pd.Timestamp(context.today) else None
        self.name = name
        self.diary = whole.at(read["as_of"] or early)
        self.as_of: pd.Timestamp = self.diary.as_of
        if read.get("piece"):
            read["piece"] = self.diary.piece(read["piece"])
        self.asked = SimpleNamespace(**read)
        self.folder = Path(out) / name if out else None
        if self.folder:
            self.folder.mkdir(parents=True, exist_ok=True)
        words.use(whole.settings.language)
        about = {"language": words.language(), "pieces": self.diary.pieces["piece"].tolist()}
        self._show({"text/html": theme.workbook_css(), "text/plain": ""}, part="style", **about)
        if row := choices.row(whole):
            self._show(row, part="choices")
        self._paragraph("quiet", self._whose())
        self.note(say_next_step(self.diary, name))

    def note(self, text: str) -> None:
        """A paragraph of plain words; nothing where there are none."""
        self._paragraph("note", text)

    def caution(self, text: str) -> None:
        """A paragraph that asks for care."""
        self._paragraph("caution", text)

    def chart(self, name: str, sentence: str, chart: alt.TopLevelMixin | None) -> None:
        """A chart under the sentence that says what it shows; where there is nothing to draw (None) the sentence alone.

        Its text alternative is the chart's own description. Its numbers are rounded to six significant digits and its
        data sets are numbered, so that equal charts are equal on every machine.

        Where its marks encode the field `piece`, a click on one follows that piece; where its days are many, it can be
        dragged and zoomed.
        """
        if chart is None:
            self.note(sentence)
            return
        data, about = charts.bundle(chart, sentence, name=name)
        self._paragraph("says", sentence)
        publish_display_data(data, about)

    def charts(self, several: Iterable[tuple[str, str, alt.TopLevelMixin]]) -> None:
        """Several charts, each with its name and sentence, one below the other."""
        for name, sentence, chart in several:
            self.chart(name, sentence, chart)

    def table(
        self,
        name: str,
        caption: str,
        frame: Any,
        headings: dict[str, str] | None = None,
        limit: int | None = None,
    ) -> None:
        """A table with its caption; all of it goes to `NAME.csv`, its first `limit` rows (None: all) to the page;
        with 0 it is in `NAME.csv` alone.

        frame: as `tables.plain` takes it; a styled one keeps its colours and formats. headings: the columns to show,
        in order, and what stands above each (None: all, under their own names). Cells are written as their column's
        name and kind ask for (see `cells`), numbers to six significant digits at most. A table without rows is not
        shown.
        """
        rows = rounding.frame(tables.plain(frame))
        if self.folder:
            escaping.to_csv(rows, self.folder / f"{name}.csv")
        if rows.empty or limit == 0:
            return
        shown = len(rows) if limit is None else min(limit, len(rows))
        more = self._more(name, len(rows), shown)
        if isinstance(frame, Styler):
            text = tables.styled(caption, frame, shown, more)
        else:
            text = tables.to_html(caption, rows, headings, shown, more, self.as_of)
        self._show({"text/html": text, "text/plain": caption}, part="table", name=name)

    def html(self, fragment: str) -> None:
        """A fragment of HTML that the caller has escaped."""
        if fragment:
            self._show({"text/html": fragment, "text/plain": ""}, part="html")

    def file(self, path: str, content: str | bytes) -> None:
        """A file beside the report's tables, `path` below `OUT/NAME/`; where there is no `out` it is shown in place."""
        self.put({path: content})

    def put(self, contents: Mapping[str, str | bytes], instead_of: str = "") -> None:
        """Several files, by their paths below `OUT/NAME/`, instead of an earlier run's whose paths match a pattern.

        Where there is no `out` nothing is written: they are shown in place, and a line says how to have them written.
        """
        if self.folder is None:
            for data in files.shown(contents):
                self._show(data, part="file")
            return
        for old in self.folder.glob(instead_of) if instead_of else ():
            old.unlink()
        for path, content in contents.items():
            target = self.folder / path
            target.parent.mkdir(parents=True, exist_ok=True)
            target.write_bytes(content.encode("utf-8") if isinstance(content, str) else content)

    def written(self, text: str) -> None:
        """A paragraph on the files of this report; nothing where they are only shown."""
        if self.folder:
            self.note(text)

    def problems(self) -> None:
        """What was left out or estimated, in a line each and a table; nothing where there is nothing to say."""
        left_out, estimated = len(self.diary.left_out), int(self.diary.sessions["estimated"].sum())
        if left_out:
            rows = words.count(left_out, "row")
            self.caution(f"{rows} could not be read and {'is' if left_out == 1 else 'are'} left out of this page.")
        if estimated:
            sessions = words.count(estimated, "session")
            self.note(f"The stitches of {sessions} are estimated from minutes, at the piece's own pace.")
        problems = self.diary.problems
        if len(problems):
            row = problems["severity"].map({"error": "left out", "warning": "kept"})
            where = {"row": "row", "file": "file", "line": "line", "column": "column", "value": "what it says"}
            headings = where | {"reason": "what is wrong", "mend": "how to fix it"}
            self.table("problems", "What to fix or to look at", problems.assign(row=row), headings, limit=20)

    def _whose(self) -> str:
        """Whose diary this is and up to when, in a line."""
        name = Path(self.diary.folder).resolve().name
        if pd.isna(self.as_of):
            return f"The diary in {name} holds no session yet."
        return f"From the diary in {name}, up to {words.day(self.as_of)}."

    def _paragraph(self, kind: str, text: str) -> None:
        if text:
            self._show({"text/html": f'<p class="{kind}">{html.escape(text)}</p>', "text/plain": text}, part=kind)

    def _more(self, name: str, rows: int, shown: int) -> str:
        """The line that says what a table leaves out."""
        if shown == rows:
            return ""
        where = f"; all are in {self.name}/{name}.csv" if self.folder else ""
        return f'<p class="more">The first {words.number(shown)} of {words.number(rows)} rows{html.escape(where)}.</p>'

    def _show(self, data: dict[str, Any], **about: Any) -> None:
        publish_display_data(data, {"stitchlog": about})
