"""The thread on hand across pieces: what runs short together, what to buy, and what a planned piece can use."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
import pandas as pd

from stitchlog import words
from stitchlog.diary import Diary
from stitchlog.materials import basket
from stitchlog.materials.colours import delta_e
from stitchlog.materials.skeins import SURE, chance_enough, needs, whole_skeins
from stitchlog.materials.spending import Ledger, ledger

# A colour on hand may stand in for one that is missing where they are no further apart than this (CIEDE2000).
NEAR = 10.0
# So many colours are named in a sentence.
FEW = 3

STASH = ["code", "name", "hex", "on_hand", "to_come_skeins", "to_come_low", "to_come_high", "to_buy", "chance_enough"]
STASH += ["to_be_sure", "pieces", "together"]
TO_BUY = ["code", "name", "hex", "skeins", "to_be_sure", "pieces"]
USABLE = [
    "code",
    "name",
    "hex",
    "needed",
    "on_hand",
    "spoken_for",
    "free",
    "enough",
    "to_buy",
    "instead",
    "instead_name",
]
USABLE += ["instead_hex", "instead_delta_e"]


def pieces_asked(diary: Diary, piece: str | None = None, as_of: pd.Timestamp | str | None = None) -> list[str]:
    """The piece that is asked about; where none is, all that are on the go at the end of `as_of`."""
    if piece:
        return [diary.piece(piece)]
    standing = diary.standing(as_of)
    return standing.loc[standing["status"] == "on the go", "piece"].tolist()


def stash(
    diary: Diary,
    as_of: pd.Timestamp | str | None = None,
    pieces: Iterable[str] | None = None,
    paths: int = 500,
    seed: int = 0,
) -> pd.DataFrame:
    """A row a colour that the pieces (None: all on the go) still want, the one that runs shortest first.

    Columns: code, name, hex; on_hand (skeins); to_come_skeins, to_come_low, to_come_high (skeins that all of them still
    take together: expected, and where 90 % of the simulated courses lie); to_buy (whole skeins); chance_enough (0 to 1,
    that what is on hand will do for all); to_be_sure (whole skeins that will do in 95 % of the courses); pieces (that
    want it, the one that takes most first); together (what is on hand would do for each alone, but not for all).
    Pieces whose cloth or total is not known are left out; `.attrs["left_out"]` names them.
    """
    chosen = pieces_asked(diary, as_of=as_of) if pieces is None else [diary.piece(p) for p in pieces]
    return _stash(ledger(diary, as_of), chosen, paths, seed)


def _stash(book: Ledger, chosen: list[str], paths: int, seed: int) -> pd.DataFrame:
    total: dict[str, np.ndarray] = {}
    each: dict[str, dict[str, float]] = {}
    left_out = []
    for piece in chosen:
        need = needs(book, piece, paths, seed)
        if np.isnan(need.skeins).any() or need.codes == [""]:
            left_out.append(piece)
            continue
        for i, code in enumerate(need.codes):
            if need.skeins[:, i].any():
                total[code] = total.get(code, 0.0) + need.skeins[:, i]
                each.setdefault(code, {})[piece] = float(need.skeins[:, i].mean())
    out = _stash_rows(book.diary, total, each)
    out.attrs = {"left_out": left_out, "pieces": [p for p in chosen if p not in left_out]}
    return out


def _stash_rows(diary: Diary, total: dict[str, np.ndarray], each: dict[str, dict[str, float]]) -> pd.DataFrame:
    codes = sorted(total)
    if not codes:
        return pd.DataFrame(columns=STASH)
    skeins = np.column_stack([total[code] for code in codes])
    on_hand = basket.on_hand(diary).reindex(codes).fillna(0.0).to_numpy(float)
    low, high, sure = np.quantile(skeins, (0.05, 0.95, SURE), axis=0)
    mean = skeins.mean(axis=0)
    known = basket.about(diary, codes)
    alone = np.array([all(need <= hand for need in each[c].values()) for c, hand in zip(codes, on_hand, strict=True)])
    out = pd.DataFrame(
        {
            "code": codes,
            "name": known["name"].tolist(),
            "hex": known["hex"].tolist(),
            "on_hand": on_hand,
            "to_come_skeins": mean,
            "to_come_low": low,
            "to_come_high": high,
            "to_buy": whole_skeins(mean - on_hand),
            "chance_enough": chance_enough(skeins, on_hand),
            "to_be_sure": whole_skeins(sure - on_hand),
            "pieces": ["; ".join(sorted(each[c], key=lambda p: -each[c][p])) for c in codes],
            "together": alone & (mean > on_hand),
        }
    )
    out["short"] = out["to_come_skeins"] - out["on_hand"]
    return out.sort_values(["short", "code"], ascending=[False, True], kind="stable")[STASH].reset_index(drop=True)


def to_buy(frame: pd.DataFrame) -> pd.DataFrame:
    """The shopping list of a `stash` frame, by code; a colour that will probably do is on it where it is not sure.

    Columns: code, name, hex, skeins (whole, at least), to_be_sure (whole, will do in 95 % of the courses), pieces.
    """
    out = frame.assign(skeins=frame["to_buy"])
    out = out[(out["skeins"] > 0) | (out["to_be_sure"] > 0)]
    return (
        out.sort_values("code", kind="stable")[TO_BUY].astype({"skeins": int, "to_be_sure": int}).reset_index(drop=True)
    )


def usable_for_planned(diary: Diary, piece: str | None, as_of: pd.Timestamp | str | None = None) -> pd.DataFrame:
    """What `piece` can use from the thread on hand once the pieces on the go have had theirs, a row a colour.

    Columns: code, name, hex; needed (skeins); on_hand; spoken_for (by the other pieces on the go); free (skeins, 0 or
    more); enough (free covers needed); to_buy (whole skeins for this piece); instead, instead_name, instead_hex,
    instead_delta_e (where it is not enough: the nearest colour of which enough is free, within 10 by CIEDE2000; '').
    Empty where no piece is named.
    """
    if not piece:
        return pd.DataFrame(columns=USABLE)
    piece = diary.piece(piece)
    book = ledger(diary, as_of)
    need = needs(book, piece, paths=0)
    going = book.standing.index[book.standing["status"] == "on the go"]
    others = _stash(book, [other for other in going if other != piece], paths=0, seed=0)
    taken = others.set_index("code")["to_come_skeins"]
    on_hand = basket.on_hand(diary)
    free = (on_hand - taken.reindex(on_hand.index).fillna(0.0)).clip(lower=0.0)
    known = basket.about(diary, {*need.codes, *free.index, ""})
    rows = []
    for code, needed in zip(need.codes, need.skeins[0].tolist(), strict=True):
        spare = float(free.get(code, 0.0))
        instead = "" if needed <= spare else _stand_in(code, needed, free, known, need.codes)
        rows.append(
            {
                "code": code,
                "name": known.loc[code, "name"],
                "hex": known.loc[code, "hex"],
                "needed": needed,
                "on_hand": float(on_hand.get(code, 0.0)),
                "spoken_for": float(taken.get(code, 0.0)),
                "free": spare,
                "enough": needed <= spare,
                "to_buy": float(whole_skeins(np.array([needed - spare]))[0]),
                "instead": instead,
                "instead_name": known.loc[instead, "name"],
                "instead_hex": known.loc[instead, "hex"],
            }
        )
    out = pd.DataFrame(rows)
    out["instead_delta_e"] = [delta_e(*pair) for pair in zip(out["hex"], out["instead_hex"], strict=True)]
    out = out.loc[out["needed"] != 0, USABLE]
    return out.sort_values(["to_buy", "code"], ascending=[False, True], kind="stable").reset_index(drop=True)


def _stand_in(code: str, needed: float, free: pd.Series, known: pd.DataFrame, own: list[str]) -> str:
    """The nearest colour of which enough is free and that the piece does not use itself; '' where none is near."""
    best, nearest = "", NEAR
    hexes = known["hex"].to_dict()
    for other in free.index[free >= needed]:
        apart = delta_e(hexes[code], hexes[other])
        if other not in own and apart < nearest:
            best, nearest = str(other), apart
    return best


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


def _say_short(frame: pd.DataFrame, names: list[str]) -> str:
    who, take = (f"{words.number(len(names))} pieces", "take") if len(names) > 1 else (names[0], "takes")
    colours = words.count(len(frame), "colour")
    short = frame[frame["to_buy"] > 0]
    if short.empty:
        return f"What is on hand will do for the {colours} that {who} still {take}."
    runs = "runs" if len(short) == 1 else "run"
    skeins = words.count(short["to_buy"].sum(), "skein")
    which = f" ({_named(short)})" if len(short) <= FEW else ""
    text = f"{who} still {take} {colours}; {words.number(len(short))} {runs} short{which}, with {skeins} to buy."
    together = short[short["together"]]
    if len(together):
        does = "does" if len(together) == 1 else "do"
        text += f" {_named(together)} would do for each piece alone and {does} not for all of them together."
    return text


def _named(rows: pd.DataFrame) -> str:
    names = [f"{row['code']} {row['name']}".strip() for _, row in rows.head(FEW).iterrows()]
    more = [f"{words.number(len(rows) - FEW)} more"] if len(rows) > FEW else []
    return words.listed([*names, *more])


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
    enough = int(frame["enough"].sum())
    short = frame[~frame["enough"]]
    colours = words.count(len(frame), "colour")
    text = f"Of the {colours} that {piece} takes, {words.number(enough)} {'is' if enough == 1 else 'are'} free in full."
    if short.empty:
        return text
    text += f" For the rest, {words.count(short['to_buy'].sum(), 'skein')} would have to be bought"
    near = short[short["instead"] != ""]
    if near.empty:
        return text + "."
    row = near.iloc[0]
    return text + f"; {row['instead']} {row['instead_name']} comes near {row['code']} {row['name']} and is free."
