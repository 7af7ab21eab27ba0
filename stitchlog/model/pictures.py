"""The pictures of each piece, and those that show it before and after a period. Nothing is drawn here."""

from __future__ import annotations

from typing import Any

import pandas as pd

from stitchlog import words
from stitchlog.diary import escaping, photos
from stitchlog.diary.diary import Diary
from stitchlog.diary.frames import each_record
from stitchlog.model.period import bounds

CELL = "cell"
COLUMNS = ["piece", "path", "date", "dated_by"]
# Pixels a side that a picture is opened at to see whether it can be.
_GLANCE = 64


def of(diary: Diary, piece: str | None = None) -> pd.DataFrame:
    """Every picture of the diary's pieces, or of one: piece, path (in the folder), date, dated_by; oldest first.

    A picture is named in a session's `photo` cell, lies under `photos/PIECE/`, or is named after its piece. date
    (datetime64, NaT where nothing says it) is the session's day, else what the picture's own name says, else what its
    EXIF does; dated_by: 'cell', 'name', 'EXIF' or ''. Undated ones stand last. A picture of a later day than the
    diary is seen at is not there. Whether a picture can be opened is not looked at.
    """
    found: pd.DataFrame = diary.once("pictures", lambda: _found(diary))
    return found if piece is None else found[found["piece"] == diary.piece(piece)].reset_index(drop=True)


def before_after(diary: Diary, start: Any, end: Any) -> pd.DataFrame:
    """A row a piece worked on between two days, with its picture before and after them.

    Columns: piece; before, before_date: the last picture before the piece's first session of the period, and where
    there is none the first of two or more in it; after, after_date: the last from that session to `end`; unreadable
    (list of text): paths of pictures that would have been these and cannot be opened, so that the next best stands in.
    Paths are as in `of`, '' where there is none. In the order of the first session.
    """
    span = bounds(start, end)
    sessions = diary.sessions[diary.sessions["date"].between(span.start, span.end)]
    firsts = sessions.groupby("piece", sort=False)["date"].min()
    pictures = of(diary).dropna(subset="date")
    rows = []
    for piece, first in firsts.items():
        mine = pictures[pictures["piece"] == piece]
        inside = mine[(mine["date"] >= first) & (mine["date"] <= span.end)]
        unreadable: list[str] = []
        after = _opening(diary, inside[::-1], unreadable)
        before = _opening(diary, mine[mine["date"] < first][::-1], unreadable)
        if before is None and after is not None:
            before = _opening(diary, inside[inside["path"] != after["path"]], unreadable)
        row: dict[str, Any] = {"piece": piece}
        for name, picture in (("before", before), ("after", after)):
            row[name] = picture["path"] if picture else ""
            row[f"{name}_date"] = picture["date"] if picture else pd.NaT
        rows.append({**row, "unreadable": unreadable})
    columns = ["piece", "before", "before_date", "after", "after_date", "unreadable"]
    days = dict.fromkeys(("before_date", "after_date"), "datetime64[us]")
    return pd.DataFrame(rows, columns=columns).astype({"piece": "str", "before": "str", "after": "str", **days})


def to_photograph(diary: Diary, start: Any, end: Any) -> list[str]:
    """The pieces worked on between two days that have no picture of those days that can be opened, as worked on."""
    shown = before_after(diary, start, end)
    return shown.loc[shown["after"] == "", "piece"].tolist()


def undated(diary: Diary) -> pd.DataFrame:
    """The pictures whose day nothing says, as in `of`; no period shows them."""
    found = of(diary)
    return found[found["date"].isna()].reset_index(drop=True)


def opens(diary: Diary, path: str) -> bool:
    """Whether the picture at a path in the diary's folder is there and can be opened."""
    return diary.once(("picture opens", path), lambda: _opens(diary, path))


def say_to_photograph(pieces: list[str]) -> str:
    """The pieces still to photograph, in a sentence; nothing where there are none."""
    return f"Still to photograph: {words.listed(pieces)}." if pieces else ""


def say_unreadable(shown: pd.DataFrame) -> str:
    """The pictures that cannot be opened, by name, from a frame of `before_after`; nothing where all can."""
    paths = list(dict.fromkeys(path for several in shown["unreadable"] for path in several))
    if not paths:
        return ""
    heic = any(path.lower().endswith((".heic", ".heif")) for path in paths)
    how = " To read HEIC pictures, install stitchlog with its extra heic." if heic else ""
    other = "another picture stands in where there is one"
    return f"{words.listed(paths)} cannot be opened; {other}.{how}"


def say_undated(pictures: pd.DataFrame) -> str:
    """How many pictures have no day, with an example and what to do; nothing where all have one."""
    if pictures.empty:
        return ""
    count = words.count(len(pictures), "picture")
    said = f"{count} without a date {'is' if len(pictures) == 1 else 'are'} not shown"
    return f"{said}, such as {pictures['path'].iloc[0]}. Put the day in the name, as in 2026-01-03."


def _found(diary: Diary) -> pd.DataFrame:
    named = diary.sessions.loc[diary.sessions["photo"].str.strip() != "", ["piece", "photo", "date"]]
    cells = named.rename(columns={"photo": "path"}).assign(dated_by=CELL)
    known = {inside for path in cells["path"] if (inside := escaping.inside(diary.folder, path))}
    lying = [
        photo
        for photo in photos.found(diary.folder, diary.pieces["piece"], diary.settings.date_order)
        if (diary.folder / photo.path).resolve() not in known
    ]
    others = pd.DataFrame([vars(photo) for photo in lying], columns=COLUMNS)
    others["date"] = pd.to_datetime(others["date"]).astype("datetime64[us]")
    both = pd.concat([cells[COLUMNS], others]) if len(others) else cells[COLUMNS]
    if diary.day is not None:
        both = both[~(both["date"] > diary.day)]
    return both.sort_values("date", kind="stable", na_position="last").reset_index(drop=True)


def _opening(diary: Diary, pictures: pd.DataFrame, unreadable: list[str]) -> dict[str, Any] | None:
    """The first of the pictures that can be opened; the others before it are told in `unreadable`."""
    for picture in each_record(pictures):
        if opens(diary, picture["path"]):
            return {str(name): value for name, value in picture.items()}
        if picture["path"] not in unreadable:
            unreadable.append(picture["path"])
    return None


def _opens(diary: Diary, path: str) -> bool:
    def read(image: Any) -> bool:
        image.load()
        return True

    return photos.opened(diary.folder, path, _GLANCE, read) is not None
