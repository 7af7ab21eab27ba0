"""What thread the diary has spent: every session's stitches by colour, and the lengths that they took."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd

from stitchlog.diary.diary import Diary
from stitchlog.diary.settings import Settings
from stitchlog.errors import StitchlogError
from stitchlog.model import thread_use
from stitchlog.model.fabric import usual_strands

COLUMNS = ["piece", "date", "code", "worked", "kept", "starts", "lengths", "bare_kept", "counted"]


@dataclass(frozen=True)
class Thread:
    """How a piece spends thread; with a column in place of each number, how the piece of each row does.

    cm: of one strand in one cross (NaN where the fabric is not known). strands: in the needle. per_needleful: whole
    crosses from one needleful. settings: the diary's. A *length* is cut from the skein with all its strands.
    """

    cm: Any
    strands: Any
    per_needleful: Any
    settings: Settings

    def lengths(self, worked: Any, starts: Any) -> Any:
        """Lengths off the skein for so many crosses begun so many times, with tails and waste."""
        s = self.settings
        one_strand = worked * self.cm + starts * 2 * s.tail_cm
        return one_strand * (1 + s.waste) * self.strands / (s.skein_strands * s.strand_length_cm)

    def bare_lengths(self, worked: Any) -> Any:
        """Lengths with no tail and no waste: the least that the crosses can take."""
        return worked * self.cm * self.strands / (self.settings.skein_strands * self.settings.strand_length_cm)

    @property
    def lengths_per_skein(self) -> int:
        return thread_use.lengths_per_skein(self.settings.skein_length_m, self.settings.strand_length_cm)

    @property
    def length_m(self) -> float:
        return self.settings.strand_length_cm / 100


@dataclass(frozen=True, eq=False)
class Ledger:
    """What a diary says about thread: rows of `spent`, and where every piece stands, by piece."""

    diary: Diary
    spent: pd.DataFrame
    standing: pd.DataFrame

    def of(self, piece: str) -> pd.DataFrame:
        """The rows of `spent` of one piece."""
        places: Any = self.diary.once("thread rows", lambda: self.spent.groupby("piece").indices)
        return self.spent.take(places.get(piece, np.empty(0, dtype=int)))

    def chart(self, piece: str) -> pd.Series:
        """Stitches of each colour in one piece's chart, by code; empty where it is not written down."""
        charts = self.diary.once("charts of colours", self._charts)
        return charts.get(piece, pd.Series(dtype=float))

    def _charts(self) -> dict[str, pd.Series]:
        by = self.diary.chart_colours.groupby(["piece", "code"])["stitches"].sum()
        return {str(piece): rows.droplevel("piece") for piece, rows in by.groupby("piece")}


def ledger(diary: Diary) -> Ledger:
    """The diary's ledger of thread, worked out once."""
    return diary.once("thread ledger", lambda: Ledger(diary, spent(diary), diary.standing().set_index("piece")))


def thread_of(diary: Diary, piece: str) -> Thread:
    """How `piece` spends thread. Raises StitchlogError where the settings leave no length to stitch with."""
    rows: pd.DataFrame = diary.once("pieces by name", lambda: diary.pieces.set_index("piece"))
    row: Any = rows.loc[piece]
    return thread_on(diary.settings, float(row["count"]), float(row["over"]), float(row["strands"]))


def thread_on(s: Settings, count: float, over: float = math.nan, strands: float = math.nan) -> Thread:
    """How thread is spent on fabric of `count`; over one and with the usual strands where they are NaN.

    Raises StitchlogError where the settings leave no length to stitch with.
    """
    _check(s)
    if not count > 0:
        return Thread(math.nan, math.nan, math.nan, s)
    over = over if over > 0 else 1.0
    strands = strands if strands > 0 else float(usual_strands(count / over)[1])
    whole = thread_use.stitches_per_length(count, over, s.method, s.strand_length_cm, s.tail_cm)
    return Thread(thread_use.cm_per_stitch(count, over, s.method), strands, float(max(whole, 1)), s)


def spent(diary: Diary) -> pd.DataFrame:
    """A row for each colour of each session, of every piece.

    Columns: piece, date, code; worked (stitches, those that were unpicked again included: their thread is spent); kept
    (stitches that stayed); starts (times a needle was threaded: at least once a colour and session, and as often as a
    needleful runs out); lengths (off the skein, tails and waste included; NaN where the fabric is not known), bare_kept
    (the least that the kept stitches could have taken); counted (the session says how many).

    Fractional stitches spend thread in the measure in which they count. Where a session names colours and no counts,
    its stitches are shared out as the chart, or else the counted sessions, have them; where it names none, over all
    colours, with starts at the rate of the piece's other sessions. Pieces without any colour have no rows.
    """
    own = diary.sessions
    sessions = own[["piece", "date", "line"]].assign(
        net=own["stitches"].clip(lower=0.0),
        all=(own["stitches"] + own["unpicked"].fillna(0.0)).clip(lower=0.0),
    )
    given = diary.colours.groupby(["line", "code"])["stitches"].sum(min_count=1).rename("given").reset_index()
    named = given.merge(sessions, on="line")
    split = _splits(diary, named)
    named = _share_out(named, split)
    each = {piece: thread_of(diary, piece) for piece in sessions["piece"].unique()}
    named["starts"] = np.maximum(1.0, np.ceil(named["worked"] / _of_rows(each, named, diary).per_needleful - 1e-9))
    rest = sessions[~sessions["line"].isin(named["line"])].merge(split, on="piece")
    rest = rest.assign(worked=rest["all"] * rest["part"], kept=rest["net"] * rest["part"], counted=False)
    # As often as the piece's sessions begin a needle for a stitch, else once a needleful.
    by = named.groupby("piece")[["starts", "worked"]].sum()
    often = rest["piece"].map((by["starts"] / by["worked"].where(by["worked"] > 0)).to_dict()).astype(float)
    rest["starts"] = rest["worked"] * often.fillna(1 / _of_rows(each, rest, diary).per_needleful)
    out = pd.concat([named, rest], ignore_index=True)
    how = _of_rows(each, out, diary)
    out["lengths"] = how.lengths(out["worked"], out["starts"])
    out["bare_kept"] = how.bare_lengths(out["kept"])
    out = out.astype({"counted": bool}).sort_values(["date", "line", "code"], kind="stable")
    return out[COLUMNS].reset_index(drop=True)


def _check(s: Settings) -> None:
    if s.strand_length_cm <= 2 * s.tail_cm:
        raise StitchlogError(
            f"stitchlog.toml: a length of {s.strand_length_cm:g} cm with a tail of {s.tail_cm:g} cm at each end leaves "
            "nothing to stitch with; fix strand_length_cm or tail_cm"
        )
    if s.skein_length_m * 100 < s.strand_length_cm:
        raise StitchlogError(
            f"stitchlog.toml: a skein of {s.skein_length_m:g} m gives no length of {s.strand_length_cm:g} cm; fix "
            "skein_length_m or strand_length_cm"
        )


def _of_rows(each: dict[str, Thread], rows: pd.DataFrame, diary: Diary) -> Thread:
    """How the piece of each row spends thread."""

    def column(name: str) -> pd.Series:
        return rows["piece"].map({piece: getattr(how, name) for piece, how in each.items()}).astype(float)

    return Thread(column("cm"), column("strands"), column("per_needleful"), diary.settings)


def _splits(diary: Diary, named: pd.DataFrame) -> pd.DataFrame:
    """The share of each colour in each piece: from its chart, else from the counts, else from the mentions.

    named: rows with piece, code and given (stitches, NaN where not counted). Columns: piece, code, part (0 to 1).
    """
    chart: Any = diary.chart_colours.groupby(["piece", "code"], as_index=False)["stitches"].sum()
    by = named[~named["piece"].isin(chart["piece"])].groupby(["piece", "code"])
    seen = by["given"].agg(counts=lambda given: given.sum(min_count=1), mentions="size").astype(float).reset_index()
    counted = seen["counts"].notna()
    a_mention = _by_piece(seen["counts"], seen) / _by_piece(seen["mentions"].where(counted), seen)
    # A colour that is named and never counted takes the usual stitches of a mention.
    seen["stitches"] = seen["counts"].fillna(seen["mentions"] * a_mention.fillna(1.0))
    out = pd.concat([chart, seen], ignore_index=True).astype({"stitches": float})
    out["part"] = out["stitches"] / _by_piece(out["stitches"], out)
    split: pd.DataFrame = out[["piece", "code", "part"]].fillna({"part": 0.0})
    return split


def _share_out(named: pd.DataFrame, split: pd.DataFrame) -> pd.DataFrame:
    """`worked` and `kept` of each named colour; counted ones as written, the others what is left over."""
    named = named.merge(split, on=["piece", "code"], how="left")
    # A colour that its chart does not know weighs as the chart's usual one does.
    weight = named["part"].fillna(named["piece"].map(split.groupby("piece")["part"].mean())).fillna(1.0)
    weight = weight.where(weight > 0, 1e-6)
    counted = named["given"].notna()
    by = named["line"]
    given = named["given"].fillna(0.0)
    left = (named["all"] - given.groupby(by).transform("sum")).clip(lower=0.0)
    open_weight = weight.where(~counted, 0.0).groupby(by).transform("sum")
    worked = given.where(counted, left * weight / open_weight.where(open_weight > 0)).fillna(0.0)
    total = worked.groupby(by).transform("sum")
    kept = (named["net"] * worked / total.where(total > 0)).fillna(0.0)
    return named.assign(worked=worked, kept=kept, counted=counted)


def _by_piece(values: pd.Series, rows: pd.DataFrame) -> pd.Series:
    """The sum of `values` over each row's piece."""
    return values.groupby(rows["piece"]).transform("sum")
