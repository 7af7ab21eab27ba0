"""What thread the diary has spent: every session's stitches by colour, and the lengths that they took."""

from __future__ import annotations

import functools
import math
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd

from stitchlog import needle
from stitchlog.diary import Diary
from stitchlog.errors import StitchlogError
from stitchlog.materials.cloth import usual_strands
from stitchlog.settings import Settings

COLUMNS = ["piece", "date", "code", "worked", "kept", "starts", "lengths", "bare_kept", "counted", "coloured"]


@dataclass(frozen=True)
class Thread:
    """How a piece spends thread.

    cm: of one strand in one cross (NaN where the cloth is not known). strands: in the needle. per_needleful: whole
    crosses from one needleful. settings: the diary's. A *length* is cut from the skein with all its strands.
    """

    cm: float
    strands: float
    per_needleful: float
    settings: Settings

    def lengths(self, worked: float, starts: float) -> float:
        """Lengths off the skein for so many crosses begun so many times, with tails and waste."""
        return float(lengths(self.settings, self.cm, self.strands, worked, starts))

    def bare_lengths(self, worked: Any) -> Any:
        """The same with no tail and no waste: the least that the crosses can take."""
        return bare_lengths(self.settings, self.cm, self.strands, worked)

    @property
    def lengths_per_skein(self) -> int:
        return needle.lengths_per_skein(self.settings.skein_length_m, self.settings.strand_length_cm)

    @property
    def length_m(self) -> float:
        return self.settings.strand_length_cm / 100


def lengths(settings: Settings, cm: Any, strands: Any, worked: Any, starts: Any) -> Any:
    """Lengths off the skein for `worked` crosses of `cm` a strand, begun `starts` times, with tails and waste.

    Any of the last four may be an array or a column.
    """
    one_strand = worked * cm + starts * 2 * settings.tail_cm
    return one_strand * (1 + settings.waste) * strands / (settings.skein_strands * settings.strand_length_cm)


def bare_lengths(settings: Settings, cm: Any, strands: Any, worked: Any) -> Any:
    """The same with no tail and no waste."""
    return worked * cm * strands / (settings.skein_strands * settings.strand_length_cm)


@dataclass(frozen=True, eq=False)
class Ledger:
    """What a diary says about thread by the end of the day `as_of`: rows of `spent`, and where every piece stands."""

    diary: Diary
    spent: pd.DataFrame
    standing: pd.DataFrame


@functools.lru_cache(maxsize=2)  # a page asks for the same one several times
def ledger(diary: Diary, as_of: pd.Timestamp | str | None = None) -> Ledger:
    """The diary's ledger of thread by the end of `as_of` (None: all)."""
    return Ledger(diary, spent(diary, as_of), diary.standing(as_of).set_index("piece"))


def thread_of(diary: Diary, piece: str) -> Thread:
    """How `piece` spends thread. Raises StitchlogError where the settings leave no length to stitch with."""
    row: Any = diary.pieces.set_index("piece").loc[piece]
    s = diary.settings
    _check(s)
    over = 1.0 if pd.isna(row["over"]) else float(row["over"])
    if pd.isna(row["count"]) or not row["count"] > 0:
        return Thread(math.nan, math.nan, math.nan, s)
    count = float(row["count"])
    strands = float(row["strands"]) if row["strands"] > 0 else float(usual_strands(count / over)[1])
    whole = needle.stitches_per_length(count, over, s.method, s.strand_length_cm, s.tail_cm)
    return Thread(needle.cm_per_stitch(count, over, s.method), strands, float(max(whole, 1)), s)


def _check(s: Settings) -> None:
    if s.strand_length_cm <= 2 * s.tail_cm:
        raise StitchlogError(
            f"stitchlog.toml: a length of {s.strand_length_cm:g} cm with a tail of {s.tail_cm:g} cm at each end leaves "
            "nothing to stitch with; mend strand_length_cm or tail_cm"
        )
    if s.skein_length_m * 100 < s.strand_length_cm:
        raise StitchlogError(
            f"stitchlog.toml: a skein of {s.skein_length_m:g} m gives no length of {s.strand_length_cm:g} cm; mend "
            "skein_length_m or strand_length_cm"
        )


def spent(diary: Diary, as_of: pd.Timestamp | str | None = None) -> pd.DataFrame:
    """A row for each colour of each session up to the end of the day `as_of` (None: all), of every piece.

    Columns: piece, date, code; worked (stitches, those that were unpicked again included: their thread is spent); kept
    (stitches that stayed); starts (times a needle was threaded: at least once a colour and session, and as often as a
    needleful runs out); lengths (off the skein, tails and waste included; NaN where the cloth is not known), bare_kept
    (the least that the kept stitches could have taken); counted (the session says how many); coloured (it says which).

    Fractional stitches spend thread in the measure in which they count. Where a session names colours and no counts,
    its stitches are shared out as the chart, or else the counted sessions, have them; where it names none, over all
    colours, with starts at the rate of the piece's other sessions. Pieces without any colour have no rows.
    """
    own = diary.sessions if as_of is None else diary.sessions[diary.sessions["date"] <= pd.Timestamp(as_of)]
    sessions = own[["piece", "date", "line"]].assign(
        net=own["stitches"].clip(lower=0.0),
        worked=(own["stitches"] + own["unpicked"].fillna(0.0)).clip(lower=0.0),
    )
    given = diary.colours.groupby(["line", "code"])["stitches"].sum(min_count=1).rename("given").reset_index()
    named = given.merge(sessions, on="line")
    split = splits(diary, named)
    how = {str(piece): thread_of(diary, str(piece)) for piece in sessions["piece"].unique()}
    named = _share_out(named, split)
    needleful = named["piece"].map({piece: thread.per_needleful for piece, thread in how.items()}).astype(float)
    named["starts"] = np.maximum(1.0, np.ceil(named["share"] / needleful - 1e-9))
    rest = sessions[~sessions["line"].isin(named["line"])].merge(split, on="piece")
    rest = rest.assign(share=rest["worked"] * rest["part"], kept=rest["net"] * rest["part"], counted=False)
    rest["starts"] = rest["share"] * rest["piece"].map(_starts_a_stitch(named, how)).astype(float)
    out = pd.concat([named.assign(coloured=True), rest.assign(coloured=False)], ignore_index=True)
    cm = out["piece"].map({piece: thread.cm for piece, thread in how.items()}).astype(float)
    strands = out["piece"].map({piece: thread.strands for piece, thread in how.items()}).astype(float)
    out = out.assign(
        worked=out["share"],
        lengths=lengths(diary.settings, cm, strands, out["share"], out["starts"]),
        bare_kept=bare_lengths(diary.settings, cm, strands, out["kept"]),
    )
    out = out.astype({"counted": bool, "coloured": bool}).sort_values(["date", "line", "code"], kind="stable")
    return out[COLUMNS].reset_index(drop=True)


def splits(diary: Diary, named: pd.DataFrame) -> pd.DataFrame:
    """The share of each colour in each piece: from its chart, else from the counts, else from the mentions.

    named: rows with piece, code and given (stitches, NaN where not counted). Columns: piece, code, part (0 to 1).
    """
    chart = diary.chart_colours.groupby(["piece", "code"], as_index=False)["stitches"].sum()
    by = named[~named["piece"].isin(chart["piece"])].groupby(["piece", "code"])
    seen = pd.DataFrame({"counts": by["given"].sum(min_count=1), "mentions": by.size().astype(float)}).reset_index()
    counted = seen["counts"].notna()
    a_mention = _by_piece(seen["counts"], seen) / _by_piece(seen["mentions"].where(counted), seen)
    # A colour that is named and never counted takes the usual stitches of a mention.
    stitches = seen["counts"].fillna(seen["mentions"] * a_mention.fillna(1.0))
    seen = seen[["piece", "code"]].assign(stitches=stitches)
    out = pd.concat([chart[["piece", "code", "stitches"]], seen], ignore_index=True).astype({"stitches": float})
    out["part"] = out["stitches"] / _by_piece(out["stitches"], out)
    return out[["piece", "code", "part"]].fillna({"part": 0.0})


def _share_out(named: pd.DataFrame, split: pd.DataFrame) -> pd.DataFrame:
    """`share` (worked) and `kept` of each named colour; counted ones as written, the others what is left over."""
    named = named.merge(split, on=["piece", "code"], how="left")
    # A colour that its chart does not know weighs as the chart's usual one does.
    weight = named["part"].fillna(named["piece"].map(split.groupby("piece")["part"].mean())).fillna(1.0)
    weight = weight.where(weight > 0, 1e-6)
    counted = named["given"].notna()
    by = named["line"]
    given = named["given"].fillna(0.0)
    left = (named["worked"] - given.groupby(by).transform("sum")).clip(lower=0.0)
    open_weight = weight.where(~counted, 0.0).groupby(by).transform("sum")
    share = given.where(counted, left * weight / open_weight.where(open_weight > 0)).fillna(0.0)
    total = share.groupby(by).transform("sum")
    kept = (named["net"] * share / total.where(total > 0)).fillna(0.0)
    return named.assign(share=share, kept=kept, counted=counted)


def _starts_a_stitch(named: pd.DataFrame, how: dict[str, Thread]) -> dict[str, float]:
    """Times a needle is threaded for one stitch of each piece, as its sessions say, else once a needleful."""
    by = named.groupby("piece")[["starts", "share"]].sum()
    seen = (by["starts"] / by["share"].where(by["share"] > 0)).dropna().to_dict()
    return {piece: seen.get(piece, 1 / thread.per_needleful) for piece, thread in how.items()}


def _by_piece(values: pd.Series, rows: pd.DataFrame) -> pd.Series:
    """The sum of `values` over each row's piece."""
    return values.groupby(rows["piece"]).transform("sum")
