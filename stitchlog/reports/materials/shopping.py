"""The shopping list of thread: what runs short across the pieces, and what would make it safe."""

from __future__ import annotations

import pandas as pd

from stitchlog import words
from stitchlog.diary.diary import Diary
from stitchlog.model.thread import basket
from stitchlog.model.thread.shopping import Needed, in_progress

TO_BUY = ["code", "name", "hex", "skeins", "to_be_safe", "pieces"]


def pieces_asked(diary: Diary, piece: str | None = None) -> list[str]:
    """The piece that is asked about; where none is, all works in progress."""
    return [diary.piece(piece)] if piece else in_progress(diary)


def to_buy(list_for: Needed) -> pd.DataFrame:
    """The shopping list, by code; a colour that is probably enough is on it where it is not sure.

    Columns: code, name, hex, skeins (whole, at least), to_be_safe (whole, enough on 95 % of the paths), pieces.
    """
    out = short_or_unsure(list_for).assign(skeins=lambda rows: rows["to_buy"])
    return (
        out.sort_values("code", kind="stable")[TO_BUY].astype({"skeins": int, "to_be_safe": int}).reset_index(drop=True)
    )


def short_or_unsure(list_for: Needed) -> pd.DataFrame:
    """The colours that run short, and those that are not sure to be enough: what list, chart and sentence speak of."""
    colours = list_for.colours
    return colours[(colours["to_buy"] > 0) | (colours["to_be_safe"] > 0)]


def say_needed(list_for: Needed) -> str:
    """What runs short across the pieces, and which pieces could not be worked out, in a few sentences."""
    said = []
    if len(list_for.colours):
        said.append(_say_short(list_for))
    elif list_for.pieces:
        said.append(f"{_listed(list_for.pieces)} {'needs' if len(list_for.pieces) == 1 else 'need'} no more thread.")
    if list_for.left_out:
        of = _listed(list_for.left_out)
        said.append(f"{of}: not worked out, as colours, fabric or total are not known.")
    return " ".join(said) or "No piece is in progress, so no thread is needed."


def _say_short(list_for: Needed) -> str:
    names, colours = list_for.pieces, list_for.colours
    who, need = (names[0], "needs") if len(names) == 1 else (words.count(len(names), "piece"), "need")
    short = colours[colours["to_buy"] > 0]
    unsure = len(short_or_unsure(list_for)) - len(short)
    needs = f"{who} still {need} {words.count(len(colours), 'colour')}"
    maybe = f"{words.number(unsure)} more may run short." if len(short) else f"{words.number(unsure)} may run short."
    if short.empty:
        return f"{needs}. What you have is {f'probably enough; {maybe}' if unsure else 'enough.'}"
    runs = "runs" if len(short) == 1 else "run"
    which = f" ({basket.named(short)})" if len(short) <= 3 else ""
    skeins = words.count(short["to_buy"].sum(), "skein")
    text = f"Buy {skeins}: {needs}, and {words.number(len(short))} {runs} short{which}."
    text += f" {maybe}" if unsure else ""
    together = short[short["together"]]
    if len(together):
        is_ = "is" if len(together) == 1 else "are"
        text += f" {basket.named(together)} {is_} enough for any one piece, but not for all of them."
    return text


def _listed(names: tuple[str, ...]) -> str:
    return words.listed(names) if len(names) <= 3 else words.count(len(names), "piece")
