"""What a planned piece can use from the thread on hand once the works in progress have had theirs."""

from __future__ import annotations

import pandas as pd

from stitchlog import words
from stitchlog.diary.diary import Diary
from stitchlog.diary.frames import each_row
from stitchlog.model.colour import delta_e
from stitchlog.model.thread import basket
from stitchlog.model.thread.needs import expected, whole_skeins
from stitchlog.model.thread.shopping import Needed, free
from stitchlog.model.thread.spending import ledger

# A colour on hand may stand in for one that is missing where they are no further apart than this (CIEDE2000).
NEAR = 10.0

USABLE = ["code", "name", "hex", "needed", "on_hand", "spoken_for", "free", "enough", "to_buy"]
USABLE += ["instead", "instead_name", "instead_hex"]


def usable_for_planned(diary: Diary, piece: str | None) -> pd.DataFrame:
    """What `piece` can use from the thread on hand once the WIPs have had theirs, a row a colour.

    Columns: code, name, hex; needed (skeins; NaN: unknown); on_hand; spoken_for (by the WIPs); free (skeins); enough
    (free covers needed); to_buy (whole skeins for this piece; what is left over of the skeins that the WIPs
    have to buy is used first); instead, instead_name, instead_hex (where it is not enough: the nearest colour
    of which enough is free, within 10 by CIEDE2000; ''). Empty where no piece is named.
    """
    if not piece:
        return pd.DataFrame(columns=USABLE)
    piece = diary.piece(piece)
    need = expected(ledger(diary), piece)
    hand = free(diary, besides=piece)
    out = basket.about(diary, need.codes).rename_axis("code").reset_index()
    out["needed"] = need.skeins
    out["needed"] = out["needed"].where(out["code"] != "")  # of no colour that is known
    own = hand.reindex(need.codes).fillna(0.0).reset_index(drop=True)
    out = out.assign(on_hand=own["on_hand"], spoken_for=own["spoken_for"], free=own["free"])
    out["enough"] = out["needed"] <= out["free"]
    out["to_buy"] = whole_skeins((out["needed"] - own["free_bought"]).to_numpy(float))
    others = hand["free"].drop(need.codes, errors="ignore")
    known = basket.about(diary, [*others.index, ""])
    out["instead"] = [
        "" if row.enough else _nearest(str(row.hex), known.loc[others.index[others >= row.needed], "hex"])
        for row in each_row(out)
    ]
    out["instead_name"], out["instead_hex"] = known.loc[out["instead"]].T.to_numpy()
    out = out.loc[out["needed"] != 0, USABLE]
    return out.sort_values(["to_buy", "code"], ascending=[False, True], kind="stable").reset_index(drop=True)


def say_usable(frame: pd.DataFrame, piece: str | None, listed: Needed | None = None) -> str:
    """How much of a planned piece the thread on hand covers. listed: what the page's shopping list is for."""
    if not piece:
        return "No piece is planned."
    if frame.empty:
        return f"{piece} needs no more thread."
    if frame["needed"].isna().all():
        return f"{piece} does not say its colours or its fabric, so what it can use is not known."
    enough, short = int(frame["enough"].sum()), frame[~frame["enough"]]
    colours = words.count(len(frame), "colour")
    text = f"Of the {colours} in {piece}, you have enough of {words.number(enough)}, after what your WIPs need."
    if short.empty:
        return text
    skeins = words.count(short["to_buy"].sum(), "skein") if short["to_buy"].sum() else "nothing"
    if listed and piece in listed.pieces:
        text += f" That leaves {skeins} to buy for it; the list above is for {piece} alone."
    else:
        text += f" For the rest, buy {skeins} on top of the list above."
    near = short[short["instead"] != ""].head(1)
    for row in each_row(near):
        text += f" {row.instead} {row.instead_name} is close to {basket.named(near)}, and you have enough of it."
    return text


def _nearest(colour: str, others: pd.Series) -> str:
    """The code of the nearest of other colours (hex by code); '' where none is near."""
    apart = others.map(lambda other: delta_e(colour, other)).astype(float)
    apart = apart[apart < NEAR]
    return "" if apart.empty else str(apart.idxmin())
