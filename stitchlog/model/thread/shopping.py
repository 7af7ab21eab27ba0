"""Thread across pieces: what several of them still need together, and what is free once they have had theirs."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
import pandas as pd

from stitchlog.diary.diary import Diary
from stitchlog.model.thread import basket
from stitchlog.model.thread.needs import expected, needs, provision, shortest_first, whole_skeins
from stitchlog.model.thread.spending import ledger

COLUMNS = ["code", "name", "hex", "on_hand", "needed_skeins", "needed_low", "needed_high", "to_buy", "chance_enough"]
COLUMNS += ["to_be_safe", "pieces", "together"]


@dataclass(frozen=True)
class Needed:
    """What several pieces still need together.

    colours: a row a colour, the one that runs shortest first. Columns: code, name, hex; on_hand (skeins);
    needed_skeins, needed_low, needed_high (skeins that all of them still need together: expected, and where 90 % of the
    simulated paths lie); to_buy (whole skeins); chance_enough (0 to 1, that what is on hand is enough for all);
    to_be_safe (whole skeins that are enough on 95 % of the paths); pieces (that need it, the one that takes most
    first); together (what is on hand is enough for each alone, but not for all).
    pieces: their names. left_out: those of which colours, fabric or total are not known.
    """

    colours: pd.DataFrame
    pieces: tuple[str, ...]
    left_out: tuple[str, ...]


def in_progress(diary: Diary) -> list[str]:
    """The works in progress (WIPs) by name."""
    standing = diary.standing()
    return standing.loc[standing["status"] == "on the go", "piece"].tolist()


def needed(diary: Diary, pieces: Iterable[str] | None = None) -> Needed:
    """What the pieces (None: all WIPs) still need together, colour by colour, as `Needed`."""
    chosen = tuple(in_progress(diary) if pieces is None else [diary.piece(p) for p in pieces])
    return diary.once(("thread needed", chosen), lambda: _needed(diary, chosen))


def free(diary: Diary, besides: str | None = None) -> pd.DataFrame:
    """Skeins of each colour once the WIPs (but not `besides`) have had theirs, by code.

    Columns: on_hand, spoken_for (by the WIPs), free (on hand and left over), free_bought (left over once the whole
    skeins that the WIPs need are bought; never less than free).
    """
    wips = tuple(piece for piece in in_progress(diary) if piece != besides)
    return diary.once(("thread free", wips), lambda: _free(diary, wips))


def _free(diary: Diary, wips: tuple[str, ...]) -> pd.DataFrame:
    book = ledger(diary)
    taken: dict[str, float] = {}
    for piece in wips:
        need = expected(book, piece)
        if need.known:
            for code, skeins in zip(need.codes, need.skeins.tolist(), strict=True):
                taken[code] = taken.get(code, 0.0) + skeins
    hand, spoken_for = basket.on_hand(diary), pd.Series(taken, dtype=float)
    codes = hand.index.union(spoken_for.index)
    out = pd.DataFrame({"on_hand": hand.reindex(codes, fill_value=0.0)})
    out["spoken_for"] = spoken_for.reindex(codes, fill_value=0.0)
    short = (out["spoken_for"] - out["on_hand"]).to_numpy(float)
    out["free"] = np.clip(-short, 0.0, None)
    out["free_bought"] = np.clip(whole_skeins(short) - short, 0.0, None)
    return out


def _needed(diary: Diary, chosen: tuple[str, ...]) -> Needed:
    book = ledger(diary)
    paths: dict[str, np.ndarray] = {}
    each: dict[str, dict[str, float]] = {}
    left_out = []
    for piece in chosen:
        need = needs(book, piece)
        codes, skeins = need.expected.codes, need.expected.skeins
        if not need.expected.known:
            left_out.append(piece)
            continue
        for code, path, usual in zip(codes, need.paths.T, skeins, strict=True):
            if usual > 0:
                paths[code] = paths.get(code, 0.0) + path
                each.setdefault(code, {})[piece] = float(usual)
    codes = sorted(paths)
    out = pd.DataFrame(columns=COLUMNS)
    if codes:
        usual = np.array([sum(each[code].values()) for code in codes])
        out = provision(diary, codes, usual, np.column_stack([paths[code] for code in codes]))
        out["pieces"] = ["; ".join(sorted(each[code], key=lambda p: -each[code][p])) for code in codes]
        most = np.array([max(each[code].values()) for code in codes])
        out["together"] = (most <= out["on_hand"]) & (out["needed_skeins"] > out["on_hand"])
        out = shortest_first(out)[COLUMNS]
    return Needed(out, tuple(p for p in chosen if p not in left_out), tuple(left_out))
