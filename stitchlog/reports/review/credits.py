"""Who designed a piece and where its chart, fabric and threads came from, as the stitcher wrote it."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import pandas as pd

from stitchlog import words
from stitchlog.diary.diary import Diary
from stitchlog.diary.frames import each_record
from stitchlog.reports.review.story import cloth

COLUMNS = ["design_by", "chart_from", "fabric_from", "threads_from"]
_NAMED_PIECES = 4
# Words in a sentence.
_LONGEST = 25
_ARTICLES, _PLACED = {"a", "an", "the", "some"}, {"in", "with", "at", "on", "out", "through", "inside"}
_OWN = {"own design", "own", "my own design", "my own", "me", "mine", "myself", "self"}


def credits(diary: Diary, pieces: Iterable[str] | None = None) -> pd.DataFrame:
    """Credits of the pieces named (None: all), in their order, a row each.

    Columns: piece; design_by, chart_from, fabric_from, threads_from (as in pieces.csv, '' where nothing is written);
    fabric (in words: '32 count linen over two, two strands', '' where unknown); missing (nothing of it is written).
    """
    about = {row["piece"]: row for row in each_record(diary.pieces)}
    rows = []
    for name in diary.pieces["piece"] if pieces is None else pieces:
        row = about[name]
        written = {column: " ".join(str(row.get(column) or "").split()) for column in COLUMNS}
        rows.append({"piece": name, **written, "fabric": cloth(row), "missing": not any(written.values())})
    columns = ["piece", *COLUMNS, "fabric", "missing"]
    return pd.DataFrame(rows, columns=columns).astype(dict.fromkeys(columns[:-1], "str") | {"missing": bool})


def spoken_credits(row: dict[str, Any]) -> list[str]:
    """The credits of one piece as they are said aloud, in short sentences (row of `credits`).

    >>> spoken_credits({"design_by": "own design", "chart_from": "", "fabric_from": "the market", "threads_from": ""})
    ["It's my own design.", 'The fabric came from the market.']
    """
    by = row["design_by"].rstrip(". ")
    said = []
    if by:
        link = "from" if by.split()[0].casefold() in _ARTICLES else "by"
        said.append("It's my own design." if by.casefold() in _OWN else f"The design is {link} {by}.")
    places: dict[str, list[str]] = {}
    for what in ("chart", "fabric", "threads"):
        if place := row[f"{what}_from"].rstrip(". "):
            link = "" if place.split()[0].casefold() in _PLACED else "from "
            places.setdefault(f"{link}{place}", []).append(what)
    each = [f"the {words.listed(things)} came {place}" for place, things in places.items()]
    if each:
        short = [each[0], *(text.replace(" came ", " ", 1) for text in each[1:])]
        together = ", and ".join([", ".join(short[:-1]), short[-1]] if len(short) > 2 else short)
        said += [f"T{text[1:]}." for text in ([together] if len(together.split()) <= _LONGEST else each)]
    return said


def say_credits(row: dict[str, Any]) -> str:
    """The credits of one piece in a line (row of `credits`); '' where there are none.

    >>> say_credits({"design_by": "own design", "chart_from": "", "fabric_from": "the market", "threads_from": ""})
    'Design: own design; fabric: the market.'
    """
    headings = {"design_by": "design", "chart_from": "chart", "fabric_from": "fabric", "threads_from": "threads"}
    said = [f"{heading}: {row[column].rstrip('.')}" for column, heading in headings.items() if row[column]]
    text = "; ".join(said)
    return f"{text[0].upper()}{text[1:]}." if text else ""


def say_missing(frame: pd.DataFrame) -> str:
    """Which pieces have no credits yet and where to write them (frame of `credits`); '' where every one has some."""
    names = frame.loc[frame["missing"], "piece"].tolist()
    if not names:
        return ""
    more = len(names) - _NAMED_PIECES
    named = [*names[:_NAMED_PIECES], f"{more} more"] if more > 0 else names
    first = "Viewers ask whose design it is and what it is stitched on."
    return (
        f"{first} pieces.csv does not say yet for {words.listed(named)}: fill in design_by and the columns beside it."
    )
