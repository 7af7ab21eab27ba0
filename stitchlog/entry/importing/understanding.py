"""From sheets to a proposal: which sessions and pieces a file holds, what it leaves open, what is left out and why."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import replace

from stitchlog.diary import names
from stitchlog.entry.importing import days, finding, layout, pieces, sessions, settling
from stitchlog.entry.importing.layout import Layout
from stitchlog.entry.importing.proposal import Proposal, Question, Session, Understood
from stitchlog.entry.importing.workbook import Sheet, column_letter
from stitchlog.errors import StitchlogError

DATES, COUNTS, PIECE = "dates", "counts", "piece"

_KINDS = {
    layout.LONG: "a row a session",
    layout.WIDE: "a row a day, a column a piece",
    layout.BY_DAY: "a row a piece, a column a day",
    layout.ONE_PIECE: "one piece's own sheet",
    layout.PIECES: "a list of pieces",
}
# Sheets with so many of the smaller one's sessions in common, and no fewer than these, tell the same sessions twice.
_SAME_SHARE, _SAME_LEAST = 0.8, 4


def understand(
    file: str,
    sheets: Iterable[Sheet],
    answers: Mapping[str, str] | None = None,
    own: Mapping[str, Iterable[str]] | None = None,
    today: dt.date | None = None,
    usual_order: str | None = None,
) -> Proposal:
    """The proposal for a file. answers: to the questions `DATES` and `COUNTS`. own: the folder's own heading words.

    usual_order: how the folder's settings say that days are written, for sheets that do not prove it.
    """
    given = dict(answers or {})
    found: list[Layout] = []
    passed: list[tuple[str, str]] = []
    for sheet in sheets:
        laid = finding.layouts_of(sheet, own)
        found += laid
        if not laid:
            passed.append((sheet.name, "there is no table of sessions or of pieces in it"))
    if not found:
        wanted = "a column of days with a column of stitches, or a column a piece"
        raise StitchlogError(f"{file}: no sheet of it looks like a diary of sessions; it wants {wanted}")
    questions: list[Question] = []
    bare = [n for n, laid in enumerate(found) if laid.kind == layout.ONE_PIECE and not laid.piece]
    if bare and PIECE not in given:
        words = f'Which piece is sheet "{found[bare[0]].sheet.name}" about'
        questions.append(Question(PIECE, words, {}, '--piece "NAME"'))
    for n in bare if PIECE in given else ():
        found[n] = replace(found[n], piece=given[PIECE])
    order = _order(found, given.get(DATES) or usual_order, questions)
    read = [
        sessions.read(laid, order[laid.sheet.name], given.get(COUNTS), today)
        for laid in found
        if laid.kind != layout.PIECES
    ]
    if COUNTS not in given and (asked := [r.question for r in read if r.question]):
        questions.append(asked[0])
    listed = [pieces.read(laid, order[laid.sheet.name]) for laid in found]
    by_sheet: dict[str, list[Session]] = {}
    for r in read:
        by_sheet.setdefault(r.sheet, []).extend(r.sessions)
    kept, doubled = _once(list(by_sheet.items()))
    passed += doubled
    gone = {sheet for sheet, _ in doubled}
    left_out = [item for r in read if r.sheet not in gone for item in r.left_out]
    left_out += [item for told in listed if told.sheet not in gone for item in told.left_out]
    spelt: dict[str, str] = {}
    all_pieces = pieces.joined([piece for told in listed for piece in told.pieces])
    for name in [p.piece for p in all_pieces] + [s.piece for s in kept]:
        spelt.setdefault(names.key_of(name), names.tidy(name))
    kept = [replace(s, piece=spelt[names.key_of(s.piece)]) for s in kept]
    kept.sort(key=lambda s: s.date)
    kept, all_pieces, remarks = settling.settled(kept, all_pieces)
    return Proposal(
        file=file,
        sheets=tuple(_said(laid) for laid in found if laid.sheet.name not in gone),
        passed_over=tuple(passed),
        sessions=tuple(kept),
        pieces=tuple(all_pieces),
        left_out=tuple(dict.fromkeys(left_out)),
        questions=tuple(questions),
        remarks=(*(m for r in read if r.sheet not in gone for m in r.remarks), *remarks),
        answers=given,
    )


def _order(found: list[Layout], said: str | None, questions: list[Question]) -> dict[str, str | None]:
    """How each sheet writes its days: as it proves, else as the other sheets of the file do, else as was answered."""
    values = {laid.sheet.name: sessions.day_cells(laid) + pieces.day_cells(laid) for laid in found}
    proved = {sheet: days.order_of(v) for sheet, v in values.items()}
    together = {order for order in proved.values() if order}
    one = together.pop() if len(together) == 1 else None
    out = {sheet: said or one if order is None else order for sheet, order in proved.items()}
    for sheet, order in out.items():
        if order is None and not any(q.about == DATES for q in questions) and (unclear := days.unclear(values[sheet])):
            text, both = unclear
            says = {o: f"{day.day} {day:%B %Y}" for o, day in both.items()}
            words = f'"{text}" on sheet "{sheet}" may be {" or ".join(says.values())}. Which is it'
            questions.append(Question(DATES, words, says, "--dates day-first or --dates month-first"))
    return out


def _once(read: list[tuple[str, list[Session]]]) -> tuple[list[Session], list[tuple[str, str]]]:
    """The sessions of all sheets, without sheets that tell again what another one tells."""
    gone: dict[str, str] = {}
    keys = {sheet: Counter((names.key_of(s.piece), s.date) for s in found) for sheet, found in read}
    order = sorted(read, key=lambda item: -sum(len(s.cells) for s in item[1]))
    for n, (sheet, found) in enumerate(order):
        for other, _ in order[:n]:
            common = sum((keys[sheet] & keys[other]).values())
            if other not in gone and common >= max(_SAME_LEAST, _SAME_SHARE * len(found)):
                gone[sheet] = f'it tells the same sessions as sheet "{other}"'
                break
    return [s for sheet, found in read if sheet not in gone for s in found], list(gone.items())


def _said(laid: Layout) -> Understood:
    meant = {"piece column": "piece", "day column": "day"}
    told = [c for c in laid.columns if c.meaning not in ("passed_over", "")]
    columns = tuple((column_letter(c.at), c.heading, meant.get(c.meaning, c.meaning)) for c in told)
    known = {c.at for c in told}
    head = laid.sheet.rows[laid.head] if laid.head >= 0 else []
    unread = tuple(
        (column_letter(i), str(v).strip()) for i, v in enumerate(head) if i not in known and isinstance(v, str) and v
    )
    kind = f"the columns of {laid.piece}" if laid.piece and laid.piece != laid.sheet.name else _KINDS[laid.kind]
    return Understood(laid.sheet.name, kind, columns, unread, laid.sure)
