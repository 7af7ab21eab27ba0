"""Whether the colours of a piece show on its cloth, and which are easy to mix up."""

from __future__ import annotations

import functools
import itertools
import math
from collections.abc import Iterable

import pandas as pd
from coloraide import Color

from stitchlog import words
from stitchlog.diary.diary import Diary
from stitchlog.reports.materials import basket

# Colour differences (CIEDE2000) below which a colour on its cloth is said to ..., our own reading of many swatches: no
# source. About 1 is the least that an eye tells apart side by side.
SHOWS = ((5.0, "will hardly show"), (14.0, "will be faint"), (25.0, "will be soft"), (math.inf, "will show well"))
# Below this contrast (WCAG) a colour and its cloth are about equally light, and only the hue tells them apart.
SAME_LIGHT = 1.3
# Two colours of a piece nearer than this are easy to mix up by lamplight: our own choice, no source.
MIX_UP = 8.0

VISIBILITY = ["code", "hex", "fabric_hex", "delta_e", "contrast", "name", "says", "stitches", "piece"]
SIMILAR = ["code", "name", "hex", "other_code", "other_name", "other_hex", "delta_e", "piece"]


def delta_e(one: str, other: str) -> float:
    """The colour difference of two hex colours by CIEDE2000 (ISO/CIE 11664-6), D65; NaN where either is not known.

    >>> round(delta_e("#ffffff", "#000000"), 1)
    100.0
    """
    if not one or not other:
        return math.nan
    return difference(_colour(one), _colour(other))


def difference(one: Color, other: Color) -> float:
    """The colour difference of two colours by CIEDE2000."""
    return float(one.delta_e(other, method="2000"))


def contrast(one: str, other: str) -> float:
    """The contrast of two hex colours as WCAG 2.2 defines it, 1 to 21; NaN where either is not known.

    >>> round(contrast("#000000", "#ffffff"), 1)
    21.0
    """
    if not one or not other:
        return math.nan
    return float(_colour(one).contrast(_colour(other), method="wcag21"))


@functools.lru_cache(maxsize=1024)
def _colour(code: str) -> Color:
    return Color(code)


def visibility(diary: Diary, pieces: str | Iterable[str], as_of: pd.Timestamp | str | None = None) -> pd.DataFrame:
    """A row a colour of the piece, or of each of several pieces, the one that shows least on its cloth first.

    Columns: code, hex, fabric_hex ('' where not written down), delta_e (CIEDE2000 between thread and cloth), contrast
    (WCAG, 1 to 21), name, says (in words), stitches (of the colour: the chart's, else counted so far; NaN where
    unknown), piece.
    Screen colours stand for thread and cloth here; the eye in daylight has the last word.
    """
    cloth = diary.pieces.set_index("piece")["fabric_colour"].fillna("")
    names = [diary.piece(piece) for piece in ([pieces] if isinstance(pieces, str) else pieces)]
    frames = [_colours_of(diary, name, as_of).assign(piece=name, fabric_hex=cloth[name]) for name in names]
    if not frames:
        return pd.DataFrame(columns=VISIBILITY)
    out = pd.concat(frames, ignore_index=True)
    pairs = list(zip(out["hex"], out["fabric_hex"], strict=True))
    out["delta_e"], out["contrast"] = [delta_e(*pair) for pair in pairs], [contrast(*pair) for pair in pairs]
    out["says"] = [_shows(d, c) for d, c in zip(out["delta_e"], out["contrast"], strict=True)]
    out = out.sort_values(["delta_e", "code", "piece"], kind="stable", na_position="last")
    return out[VISIBILITY].reset_index(drop=True)


def similar(
    diary: Diary, pieces: Iterable[str], limit: int = 10, as_of: pd.Timestamp | str | None = None
) -> pd.DataFrame:
    """The `limit` nearest pairs of colours that meet in any of the pieces, the nearest first.

    Columns: code, name, hex, other_code, other_name, other_hex, delta_e (CIEDE2000), piece (all in which they meet).
    """
    rows = []
    for piece in pieces:
        name = diary.piece(piece)
        known = _colours_of(diary, name, as_of)
        known = known.loc[known["hex"] != "", ["code", "name", "hex"]]
        for one, other in itertools.combinations(known.to_numpy().tolist(), 2):
            rows.append([*one, *other, delta_e(one[2], other[2]), name])
    out = pd.DataFrame(rows, columns=SIMILAR).astype({"delta_e": float})
    where = out.groupby(["code", "other_code"])["piece"].transform("; ".join)
    out = out.assign(piece=where).drop_duplicates(["code", "other_code"])
    return out.sort_values("delta_e", kind="stable").head(limit).reset_index(drop=True)


def say_visibility(frame: pd.DataFrame) -> str:
    """What the worst colours do on their cloth, in a sentence or two."""
    if frame.empty:
        return "No colours are named yet, so nothing can be said about how they show."
    known = frame.dropna(subset=["delta_e"])
    if known.empty:
        no_cloth = (frame["fabric_hex"] == "").all()
        missing = "no cloth has a colour in pieces.csv" if no_cloth else "no colour has a hex in threads.csv"
        return f"How the colours show cannot be said: {missing}."
    lost = len(frame) - len(known)
    return _say_worst(known) + (
        f" {words.count(lost, 'colour')} could not be judged: the hex of thread or cloth is missing." if lost else ""
    )


def say_similar(frame: pd.DataFrame) -> str:
    """The pairs that are easy to mix up, in a sentence; empty where no two colours meet."""
    if frame.empty:
        return ""
    near = frame[frame["delta_e"] < MIX_UP]
    if near.empty:
        return "No two colours that meet in a piece are near enough to be mixed up by lamplight."
    pairs = [
        f"{row.code} {row.name}".strip() + " and " + f"{row.other_code} {row.other_name}".strip()
        for row in near.head(3).itertuples(index=False)
    ]
    more = [f"and {words.count(len(near) - 3, 'more pair')}"] if len(near) > 3 else []
    named = "; ".join([*pairs, *more])
    return f"Easy to mix up by lamplight: {named}. Marked cards help, and so does choosing by daylight."


def _say_worst(known: pd.DataFrame) -> str:
    hardly = known[known["delta_e"] < SHOWS[0][0]]
    faint = known[known["delta_e"].between(SHOWS[0][0], SHOWS[1][0], inclusive="left")]
    several = len(known["piece"].unique()) > 1
    cloth = "Each on its own cloth" if several else f"On the cloth of {known['piece'].iloc[0]}"
    if len(hardly):
        text = f"{cloth}, {basket.named(hardly, 4, several)} will hardly show"
        return text + (f", and {words.number(len(faint))} more will be faint." if len(faint) else "; the rest shows.")
    if len(faint):
        return f"{cloth}, {basket.named(faint, 4, several)} will be faint; the rest shows."
    return f"{cloth}, every colour shows; the nearest to it is {basket.named(known.head(1), 1, several)}."


def _colours_of(diary: Diary, piece: str, as_of: pd.Timestamp | str | None) -> pd.DataFrame:
    """code, name, hex and stitches of every colour of a piece, by its chart and its sessions."""
    chart = diary.chart_colours[diary.chart_colours["piece"] == piece].groupby("code")["stitches"].sum()
    used = diary.colours[diary.colours["piece"] == piece]
    if as_of is not None:
        used = used[used["date"] <= pd.Timestamp(as_of)]
    counted = used.groupby("code")["stitches"].sum(min_count=1)
    codes = sorted(set(chart.index) | set(counted.index))
    out = basket.about(diary, codes).rename_axis("code").reset_index()
    out["stitches"] = out["code"].map(chart if len(chart) else counted).astype(float)
    return out


def _shows(delta: float, light: float) -> str:
    if math.isnan(delta):
        return "not known"
    said = next(text for upto, text in SHOWS if delta < upto)
    return f"{said}, by its hue alone" if light < SAME_LIGHT and delta >= SHOWS[1][0] else said
