"""Shades you have twice: cuts of fabric, and threads on hand, that people do not tell apart."""

from __future__ import annotations

import numpy as np
import pandas as pd
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components
from scipy.spatial.distance import pdist, squareform

from stitchlog import words
from stitchlog.diary.diary import Diary
from stitchlog.diary.frames import each_row
from stitchlog.model.colour import lab

# Colours nearer than this are not told apart side by side. Mahy, Van Eycken and Oosterlinck (1994), from memory: a
# just noticeable difference is about 2.3 in CIELAB's own measure (CIE 1976, the straight distance).
JUST_NOTICEABLE = 2.3

COLUMNS = ["group", "what", "code", "name", "hex", "apart", "on_hand"]


def twice(diary: Diary) -> pd.DataFrame:
    """Threads on hand, and cuts of fabric, that another of their kind is too near to tell apart, group by group.

    Columns: group (1, 2, ...; the nearest pair first), what ('thread' or 'fabric'), code ('' for fabric), name, hex,
    apart (to the nearest other one in its group: CIELAB, CIE 1976, below 2.3), on_hand (skeins; NaN for fabric).
    Screen colours stand for thread and fabric; daylight has the last word.
    """
    threads = diary.threads[diary.threads["skeins"].fillna(0.0) > 0]
    threads = threads.assign(what="thread", on_hand=threads["skeins"])
    fabrics = diary.fabrics.assign(what="fabric", code="", hex=diary.fabrics["colour"], on_hand=np.nan)
    frames = [_groups(rows[rows["hex"].fillna("") != ""]) for rows in (threads, fabrics)]
    out = pd.concat(frames, ignore_index=True)
    nearest = out.groupby(["what", "group"])["apart"].transform("min")
    out = out.assign(_near=nearest).sort_values(["_near", "what", "group", "apart"], kind="stable")
    out["group"] = pd.factorize(pd.MultiIndex.from_frame(out[["what", "group"]]))[0] + 1
    return out[COLUMNS].reset_index(drop=True)


def say_twice(frame: pd.DataFrame) -> str:
    """How many groups there are, and the nearest of them."""
    if frame.empty:
        return "No two threads or fabrics on hand are too close to tell apart."
    groups = [_say_group(rows) for _, rows in frame.groupby("group", sort=False)]
    more = len(groups) - 2
    rest = f" {words.count(more, 'more group is', 'more groups are')} in the table." if more > 0 else ""
    return f"You have some shades twice. {' '.join(groups[:2])}{rest}"


def _say_group(rows: pd.DataFrame) -> str:
    names = [f"{row.code} {row.name}".strip() for row in each_row(rows)]
    if len(names) > 3:
        names = [*names[:3], f"{words.number(len(names) - 3)} more"]
    return f"{words.listed(names)} look the same."


def _groups(rows: pd.DataFrame) -> pd.DataFrame:
    """Rows that some other row is too near to, with the number of their group and how near that one is."""
    rows = rows[["what", "code", "name", "hex", "on_hand"]].fillna({"name": ""}).reset_index(drop=True)
    if len(rows) < 2:
        return rows.head(0).assign(group=0, apart=0.0)
    apart = squareform(pdist(np.array([lab(code) for code in rows["hex"]])))
    np.fill_diagonal(apart, np.inf)
    _, group = connected_components(coo_array(apart < JUST_NOTICEABLE, dtype=int), directed=False)
    rows = rows.assign(group=group, apart=apart.min(axis=1))
    return rows[rows["apart"] < JUST_NOTICEABLE]
