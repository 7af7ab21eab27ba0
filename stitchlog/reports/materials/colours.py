"""Whether the colours of a piece show on its fabric, and which are easy to mix up."""

from __future__ import annotations

import itertools
from collections.abc import Iterable

import pandas as pd

from stitchlog import words
from stitchlog.diary.diary import Diary
from stitchlog.diary.frames import each_row
from stitchlog.model.colour import SHOWS, contrast, delta_e, shows
from stitchlog.model.thread import basket

# Two colours of a piece nearer than this are easy to mix up by lamplight: our own choice, no source.
MIX_UP = 8.0

VISIBILITY = ["code", "hex", "fabric_hex", "delta_e", "contrast", "name", "says", "stitches", "piece"]
SIMILAR = ["code", "name", "hex", "other_code", "other_name", "other_hex", "delta_e", "piece"]


def visibility(diary: Diary, pieces: str | Iterable[str]) -> pd.DataFrame:
    """A row a colour of the piece, or of each of several pieces, the one that shows least on its fabric first.

    Columns: code, hex, fabric_hex ('' where not written down), delta_e (CIEDE2000 between thread and fabric), contrast
    (WCAG, 1 to 21), name, says (in words), stitches (of the colour: the chart's, else counted so far; NaN where
    unknown), piece.
    Screen colours stand for thread and fabric here; the eye in daylight has the last word.
    """
    fabric = diary.pieces.set_index("piece")["fabric_colour"].fillna("")
    names = [diary.piece(piece) for piece in ([pieces] if isinstance(pieces, str) else pieces)]
    frames = [basket.colours_of(diary, name).assign(piece=name, fabric_hex=fabric[name]) for name in names]
    if not frames:
        return pd.DataFrame(columns=VISIBILITY)
    out = pd.concat(frames, ignore_index=True)
    pairs = list(zip(out["hex"], out["fabric_hex"], strict=True))
    out["delta_e"], out["contrast"] = [delta_e(*pair) for pair in pairs], [contrast(*pair) for pair in pairs]
    out["says"] = [shows(d, c) for d, c in zip(out["delta_e"], out["contrast"], strict=True)]
    out = out.sort_values(["delta_e", "code", "piece"], kind="stable", na_position="last")
    return out[VISIBILITY].reset_index(drop=True)


def similar(diary: Diary, pieces: Iterable[str], limit: int = 10) -> pd.DataFrame:
    """The `limit` nearest pairs of colours that meet in any of the pieces, the nearest first.

    Columns: code, name, hex, other_code, other_name, other_hex, delta_e (CIEDE2000), piece (all in which they meet).
    """
    rows = []
    for piece in pieces:
        name = diary.piece(piece)
        known = basket.colours_of(diary, name)
        known = known.loc[known["hex"] != "", ["code", "name", "hex"]]
        for one, other in itertools.combinations(known.to_numpy().tolist(), 2):
            rows.append([*one, *other, delta_e(one[2], other[2]), name])
    out = pd.DataFrame(rows, columns=SIMILAR).astype({"delta_e": float})
    where = out.groupby(["code", "other_code"])["piece"].transform("; ".join)
    out = out.assign(piece=where).drop_duplicates(["code", "other_code"])
    return out.sort_values("delta_e", kind="stable").head(limit).reset_index(drop=True)


def say_visibility(frame: pd.DataFrame) -> str:
    """What the worst colours do on their fabric, in a sentence or two."""
    if frame.empty:
        return "No colours are named yet, so how they show is not known."
    known = frame.dropna(subset=["delta_e"])
    if known.empty:
        no_fabric = (frame["fabric_hex"] == "").all()
        missing = "no fabric has a colour in pieces.csv" if no_fabric else "no colour has a hex in threads.csv"
        return f"How the colours show is not known: {missing}."
    lost = len(frame) - len(known)
    return _say_worst(known) + (
        f" {words.count(lost, 'colour')} could not be judged: the hex of thread or fabric is missing." if lost else ""
    )


def say_similar(frame: pd.DataFrame) -> str:
    """The pairs that are easy to mix up, in a sentence; empty where no two colours meet."""
    if frame.empty:
        return ""
    near = frame[frame["delta_e"] < MIX_UP]
    if near.empty:
        return "No two colours that meet in a piece are close enough to mix up by lamplight."
    pairs = [
        f"{row.code} {row.name}".strip() + " and " + f"{row.other_code} {row.other_name}".strip()
        for row in each_row(near.head(3))
    ]
    more = [f"and {words.count(len(near) - 3, 'more pair')}"] if len(near) > 3 else []
    named = "; ".join([*pairs, *more])
    return f"Easy to mix up by lamplight: {named}. Labelled cards help, and so does choosing by daylight."


def _say_worst(known: pd.DataFrame) -> str:
    hardly = known[known["delta_e"] < SHOWS[0][0]]
    faint = known[known["delta_e"].between(SHOWS[0][0], SHOWS[1][0], inclusive="left")]
    several = len(known["piece"].unique()) > 1
    fabric = "Each on its own fabric" if several else f"On the fabric of {known['piece'].iloc[0]}"
    if len(hardly):
        text = f"{fabric}, {basket.named(hardly, 4, several)} will hardly show"
        return text + (f", and {words.number(len(faint))} more will be faint." if len(faint) else "; the rest shows.")
    if len(faint):
        return f"{fabric}, {basket.named(faint, 4, several)} will be faint; the rest shows."
    return f"{fabric}, every colour shows; the nearest to it is {basket.named(known.head(1), 1, several)}."
