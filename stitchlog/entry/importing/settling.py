"""One count a session, where a sheet tells stitches and counts so far; and what was done before the first of them."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import replace

from stitchlog.diary import names
from stitchlog.entry.importing.proposal import Piece, Session


def settled(found: list[Session], pieces: list[Piece]) -> tuple[list[Session], list[Piece], list[str]]:
    """Sessions and pieces with one count a session: where a row has its stitches and the count so far, the stitches
    count, and what the first count so far has more was stitched before. Remarks tell of what does not agree."""
    by_piece: dict[str, list[int]] = defaultdict(list)
    for i, session in enumerate(found):
        by_piece[session.piece].append(i)
    remarks: list[str] = []
    before: dict[str, float] = {}
    out = list(found)
    for piece, places in by_piece.items():
        both = [i for i in places if "stitches" in found[i].cells and "so_far" in found[i].cells]
        if not both:
            continue
        worked, leads = 0.0, set()
        for i in places:
            told = found[i].cells
            worked += float(told.get("stitches", 0)) - float(told.get("unpicked", 0))
            if "so_far" in told:
                leads.add(round(float(told["so_far"]) - worked, 1))
        if len(leads) == 1 and len(both) == len(places) and (lead := leads.pop()) > 0:
            before[piece] = lead
        elif len(leads) > 1:
            remarks.append(f"{piece}: the stitches and the counts so far do not agree everywhere; the stitches count.")
        for i in both:
            out[i] = replace(found[i], cells={n: v for n, v in found[i].cells.items() if n != "so_far"})
    keys = {names.key_of(p.piece): n for n, p in enumerate(pieces)}
    for piece, lead in before.items():
        told = {"done_before": lead}
        remarks.append(f"{piece}: {lead:,.0f} stitches were done before the first session.")
        n = keys.get(names.key_of(piece))
        if n is None:
            pieces = [*pieces, Piece(found[by_piece[piece][0]].place, piece, told)]
        else:
            pieces = [*pieces[:n], replace(pieces[n], cells={**told, **pieces[n].cells}), *pieces[n + 1 :]]
    totals = {names.key_of(p.piece) for p in pieces if "total" in p.cells or {"width", "height"} <= set(p.cells)}
    bare = sorted({s.piece for s in out if "percent" in s.cells and names.key_of(s.piece) not in totals})
    if bare:
        remarks.append(f"Percentages want the piece's total; add it for {', '.join(bare)}.")
    return out, pieces, remarks
