"""The thread on hand across pieces: what runs short together, what to buy, and what a planned piece can use."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
import pandas as pd

from stitchlog import words
from stitchlog.diary.diary import Diary
from stitchlog.reports.materials import basket
from stitchlog.reports.materials.colours import delta_e
from stitchlog.reports.materials.skeins import needs, provision, shortest_first, whole_skeins
from stitchlog.reports.materials.spending import Ledger, ledger

# A colour on hand may stand in for one that is missing where they are no further apart than this (CIEDE2000).
NEAR = 10.0

STASH = ["code", "name", "hex", "on_hand", "to_come_skeins", "to_come_low", "to_come_high", "to_buy", "chance_enough"]
STASH += ["to_be_sure", "pieces", "together"]
TO_BUY = ["code", "name", "hex", "skeins", "to_be_sure", "pieces"]
USABLE = ["code", "name", "hex", "needed", "on_hand", "spoken_for", "free", "enough", "to_buy"]
USABLE += ["instead", "instead_name", "instead_hex"]


def pieces_asked(diary: Diary, piece: str | None = None, as_of: pd.Timestamp | str | None = None) -> list[str]:
    """The piece that is asked about; where none is, all that are on the go at the end of `as_of`."""
    if piece:
        return [diary.piece(piece)]
    standing = diary.standing(as_of)
    return standing.loc[standing["status"] == "on the go", "piece"].tolist()


def stash(diary: Diary, as_of: pd.Timestamp | str | None = None, pieces: Iterable[str] | None = None) -> pd.DataFrame:
    """A row a colour that the pieces (None: all on the go) still want, the one that runs shortest first.

    Columns: code, name, hex; on_hand (skeins); to_come_skeins, to_come_low, to_come_high (skeins that all of them still
    take together: expected, and where 90 % of the simulated courses lie); to_buy (whole skeins); chance_enough (0 to 1,
    that what is on hand will do for all); to_be_sure (whole skeins that will do in 95 % of the courses); pieces (that
    want it, the one that takes most first); together (what is on hand would do for each alone, but not for all).
    Pieces whose cloth or total is not known are left out; `.attrs["left_out"]` names them, `.attrs["pieces"]` the rest.
    """
    chosen = pieces_asked(diary, as_of=as_of) if pieces is None else [diary.piece(p) for p in pieces]
    return _stash(ledger(diary, as_of), chosen)


def to_buy(frame: pd.DataFrame) -> pd.DataFrame:
    """The shopping list of a `stash` frame, by code; a colour that will probably do is on it where it is not sure.

    Columns: code, name, hex, skeins (whole, at least), to_be_sure (whole, will do in 95 % of the courses), pieces.
    """
    out = frame.assign(skeins=frame["to_buy"])
    out = out[(out["skeins"] > 0) | (out["to_be_sure"] > 0)].sort_values("code", kind="stable")
    return out[TO_BUY].astype({"skeins": int, "to_be_sure": int}).reset_index(drop=True)


def usable_for_planned(diary: Diary, piece: str | None, as_of: pd.Timestamp | str | None = None) -> pd.DataFrame:
    """What `piece` can use from the thread on hand once the pieces on the go have had theirs, a row a colour.

    Columns: code, name, hex; needed (skeins; NaN: unknown); on_hand; spoken_for (by the other pieces on the go); free
    (skeins, 0 or more); enough (free covers needed); to_buy (whole skeins for this piece); instead, instead_name,
    instead_hex (where it is not enough: the nearest colour of which enough is free, within 10 by CIEDE2000; '').
    Empty where no piece is named.
    """
    if not piece:
        return pd.DataFrame(columns=USABLE)
    piece = diary.piece(piece)
    book = ledger(diary, as_of)
    need = needs(book, piece)
    others = _stash(book, [other for other in pieces_asked(diary, as_of=as_of) if other != piece])
    hand = basket.on_hand(diary)
    all_codes = hand.index.union(need.codes)
    hand = hand.reindex(all_codes, fill_value=0.0)
    taken = others.set_index("code")["to_come_skeins"].reindex(all_codes, fill_value=0.0).astype(float)
    spare = (hand - taken).clip(lower=0.0)
    out = provision(diary, need.codes, need.skeins).rename(columns={"to_come_skeins": "needed"})
    out["needed"] = out["needed"].where(out["code"] != "")  # of no colour that is known
    out["spoken_for"], out["free"] = taken[out["code"]].to_numpy(), spare[out["code"]].to_numpy()
    out["enough"] = out["needed"] <= out["free"]
    out["to_buy"] = whole_skeins(out["needed"] - out["free"])
    known = basket.about(diary, all_codes.union([""]))
    open_ones = spare.drop(need.codes)
    out["instead"] = [
        "" if row.enough else _nearest(row.hex, known.loc[open_ones.index[open_ones >= row.needed], "hex"])
        for row in out.itertuples()
    ]
    out["instead_name"], out["instead_hex"] = known.loc[out["instead"]].T.to_numpy()
    out = out.loc[out["needed"] != 0, USABLE]
    return out.sort_values(["to_buy", "code"], ascending=[False, True], kind="stable").reset_index(drop=True)


def say_stash(frame: pd.DataFrame) -> str:
    """What runs short across the pieces, and which pieces could not be reckoned, in a few sentences."""
    names, left_out = frame.attrs["pieces"], frame.attrs["left_out"]
    said = []
    if len(frame):
        said.append(_say_short(frame, names))
    elif names:
        said.append(f"Nothing is still to come of {words.listed(names)}, so no thread is wanted.")
    if left_out:
        said.append(f"Not reckoned, as colours, cloth or total are not known: {words.listed(left_out)}.")
    return " ".join(said) or "No piece is on the go, so no thread is wanted."


def say_usable(frame: pd.DataFrame, piece: str | None) -> str:
    """How much of a planned piece the thread on hand covers."""
    if not piece:
        return "No piece is planned that the stash could be held against."
    if frame.empty:
        return f"{piece} takes no more thread."
    if frame["needed"].isna().all():
        return (
            f"{piece} does not say which colours it takes, or on which cloth, so the stash cannot be held against it."
        )
    enough, short = int(frame["enough"].sum()), frame[~frame["enough"]]
    colours = words.count(len(frame), "colour")
    text = f"Of the {colours} that {piece} takes, {words.number(enough)} {'is' if enough == 1 else 'are'} free in full."
    if short.empty:
        return text
    text += f" For the rest, {words.count(short['to_buy'].sum(), 'skein')} would have to be bought"
    near = short[short["instead"] != ""].head(1)
    for row in near.itertuples():
        text += f"; {row.instead} {row.instead_name} comes near {basket.named(near)} and is free"
    return f"{text}."


def _stash(book: Ledger, chosen: list[str]) -> pd.DataFrame:
    total: dict[str, np.ndarray] = {}
    each: dict[str, dict[str, float]] = {}
    left_out = []
    for piece in chosen:
        need = needs(book, piece)
        if np.isnan(need.skeins).any() or need.codes == [""]:
            left_out.append(piece)
            continue
        for code, skeins in zip(need.codes, need.skeins.T, strict=True):
            if skeins.any():
                total[code] = total.get(code, 0.0) + skeins
                each.setdefault(code, {})[piece] = float(skeins.mean())
    codes = sorted(total)
    out = pd.DataFrame(columns=STASH)
    if codes:
        out = provision(book.diary, codes, np.column_stack([total[code] for code in codes]))
        out["pieces"] = ["; ".join(sorted(each[code], key=lambda p: -each[code][p])) for code in codes]
        most = np.array([max(each[code].values()) for code in codes])
        out["together"] = (most <= out["on_hand"]) & (out["to_come_skeins"] > out["on_hand"])
        out = shortest_first(out)[STASH]
    out.attrs = {"left_out": left_out, "pieces": [p for p in chosen if p not in left_out]}
    return out


def _nearest(colour: str, others: pd.Series) -> str:
    """The code of the nearest of other colours (hex by code); '' where none is near."""
    apart = others.map(lambda other: delta_e(colour, other)).astype(float)
    apart = apart[apart < NEAR]
    return "" if apart.empty else str(apart.idxmin())


def _say_short(frame: pd.DataFrame, names: list[str]) -> str:
    who, take = (f"{words.number(len(names))} pieces", "take") if len(names) > 1 else (names[0], "takes")
    colours = words.count(len(frame), "colour")
    short = frame[frame["to_buy"] > 0]
    if short.empty:
        return f"What is on hand will do for the {colours} that {who} still {take}."
    runs = "runs" if len(short) == 1 else "run"
    skeins = words.count(short["to_buy"].sum(), "skein")
    which = f" ({basket.named(short)})" if len(short) <= 3 else ""
    text = f"{who} still {take} {colours}; {words.number(len(short))} {runs} short{which}, with {skeins} to buy."
    together = short[short["together"]]
    if len(together):
        does = "does" if len(together) == 1 else "do"
        text += f" {basket.named(together)} would do for each piece alone and {does} not for all of them together."
    return text
