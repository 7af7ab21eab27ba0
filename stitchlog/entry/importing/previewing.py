"""A proposal in words and a table, before anything is written."""

from __future__ import annotations

import textwrap
from collections import defaultdict
from collections.abc import Sequence

from stitchlog import words
from stitchlog.entry.importing.applying import Changed, Difference
from stitchlog.entry.importing.proposal import LeftOut, Proposal, Session, Understood

# Lines of one kind that are shown: of cells that cannot be taken in, and of what is no session anyway.
MOST_SHOWN, FEW_SHOWN = 40, 2
_UNSURE = 0.9

_MEANINGS = {
    "so_far": "the count so far",
    "percent": "percent done",
    "stitches": "stitches of the session",
    "date": "the day",
    "piece": "the piece",
    "passed_over": "skipped",
}


def preview(proposal: Proposal, found: Difference, width: int = 100, whole: bool = False) -> str:
    """What the file holds, how it was understood, what is left out and where, and what is new to the folder.

    whole: every cell that is left out is shown, however many there are.
    """
    width = max(width, 50)
    lines = [*_wrapped(_summary(proposal), width), ""]
    for sheet in proposal.sheets:
        lines += _sheet(sheet, width)
    for name, why in proposal.passed_over:
        lines += _wrapped(f'Sheet "{name}" is skipped: {why}.', width)
    lines += ["", *_table(proposal, width)]
    lines += _left_out(proposal.left_out, width, whole)
    for remark in proposal.remarks:
        lines += ["", *_wrapped(remark, width)]
    for one, other in found.alike:
        lines += [
            "",
            *_wrapped(f'"{one}" is nearly "{other}". They are taken as two pieces; spell them alike if not.', width),
        ]
    lines += _changed(found.changed, width)
    lines += ["", *_wrapped(news(found), width)]
    return "\n".join(lines)


def news(found: Difference) -> str:
    """What is new to the folder, in a sentence or two."""
    parts = []
    if found.sessions:
        parts.append(words.count(len(found.sessions), "session"))
    if found.pieces:
        parts.append(words.count(len(found.pieces), "piece"))
    said = f"New to your diary: {words.listed(parts)}." if parts else "Nothing in it is new."
    if found.known:
        said += f" Your diary already has {words.count(found.known, 'session')} from it."
    if found.missing:
        have = "is" if found.missing == 1 else "are"
        said += f" {words.count(found.missing, 'session')} in your diary from that time {have} not in the file."
    for there, here in found.renamed.items():
        said += f' "{there}" has the same sessions as "{here}" in your diary, so it counts as that piece.'
    if found.filled:
        said += f" New details for {words.listed(p.piece for p in found.filled)}."
    return said


def _summary(proposal: Proposal) -> str:
    sessions = proposal.sessions
    pieces = words.count(len(proposal.names), "piece")
    if not sessions:
        return f"{proposal.file}: {pieces}, no sessions."
    first, last = min(s.date for s in sessions), max(s.date for s in sessions)
    span = words.day(first) if first == last else f"{words.day(first)} to {words.day(last)}"
    return f"{proposal.file}: {pieces}, {words.count(len(sessions), 'session')}, {span}."


def _sheet(sheet: Understood, width: int) -> list[str]:
    unsure = "" if sheet.sure >= _UNSURE else " Some headings were guessed from the values below them; check them."
    lines = _wrapped(f'Sheet "{sheet.sheet}": {sheet.kind}.{unsure}', width)
    shared: dict[str, list[tuple[str, str]]] = defaultdict(list)
    for letter, heading, meaning in sheet.columns:
        shared[meaning].append((letter, heading))
    said = []
    for meaning, columns in shared.items():
        if len(columns) > 1:
            kind = "each a piece" if meaning == "piece" else "each a day" if meaning == "day" else meaning
            said.append(f"{columns[0][0]} to {columns[-1][0]} are {kind}")
        else:
            letter, heading = columns[0]
            named = f'{letter} "{heading}"' if heading else letter
            said.append(f"{named} is {_MEANINGS.get(meaning, meaning.replace('_', ' '))}")
    lines += _wrapped("; ".join(said) + ".", width, "  ")
    if sheet.unread:
        unread = ", ".join(f'{letter} "{heading}"' for letter, heading in sheet.unread)
        lines += _wrapped(f"Not read: {unread}.", width, "  ")
    return lines


def _table(proposal: Proposal, width: int) -> list[str]:
    by_piece: dict[str, list[Session]] = {name: [] for name in proposal.names}
    for session in proposal.sessions:
        by_piece[session.piece].append(session)
    about = {piece.piece: piece.cells for piece in proposal.pieces}
    rows = [("piece", "sessions", "stitches", "first", "last", "total")]
    for name, sessions in by_piece.items():
        days = [s.date for s in sessions]
        cells = about.get(name, {})
        size = f"{cells['width']:g} x {cells['height']:g}" if "width" in cells and "height" in cells else ""
        total = f"{cells['total']:,.10g}" if "total" in cells else size
        first, last = (min(days).isoformat(), max(days).isoformat()) if days else ("", "")
        rows.append((name[:32], f"{len(sessions):,}", _worked(sessions), first, last, total))
    wide = [max(len(row[i]) for row in rows) for i in range(6)]
    lines = []
    for row in rows:
        cells_ = [row[0].ljust(wide[0]), *(row[i].rjust(wide[i]) for i in range(1, 6))]
        lines.append("  ".join(cells_).rstrip()[:width])
    return lines


def _worked(sessions: Sequence[Session]) -> str:
    if not sessions:
        return ""
    if any("so_far" in s.cells for s in sessions):
        return f"{max(float(s.cells.get('so_far', 0)) for s in sessions):,.10g}"
    if any("percent" in s.cells for s in sessions):
        return f"{max(float(s.cells.get('percent', 0)) for s in sessions):g}%"
    return f"{sum(float(s.cells.get('stitches', 0)) - float(s.cells.get('unpicked', 0)) for s in sessions):,.10g}"


def _left_out(left_out: Sequence[LeftOut], width: int, whole: bool) -> list[str]:
    """By reason, with their places: what may be a session first, then what is none by its nature."""
    if not left_out:
        return []
    cells = [item for item in left_out if not item.kind]
    natural = [item for item in left_out if item.kind]
    lines = []
    for title, items, most in (
        ("Cannot be imported", cells, MOST_SHOWN),
        ("No sessions, skipped", natural, FEW_SHOWN),
    ):
        if not items:
            continue
        lines += ["", *_wrapped(f"{title}: {words.count(len(items), 'cell or row', 'cells and rows')}.", width)]
        most = len(items) if whole else most
        by_reason: dict[str, list[LeftOut]] = defaultdict(list)
        for item in items:
            by_reason[item.reason].append(item)
        for reason, found in by_reason.items():
            for item in found[:most]:
                lines += _wrapped(f'{item.place.say()}: "{item.value[:40]}": {reason}', width, "  ")
            if len(found) > most:
                lines += _wrapped(f"and {len(found) - most:,} more: {reason} (--dry-run lists all)", width, "  ")
    return lines


def _changed(changed: Sequence[Changed], width: int) -> list[str]:
    if not changed:
        return []
    lines = ["", "Different there and here; your diary stays as it is:"]
    for item in changed[:MOST_SHOWN]:
        lines += _wrapped(f"{item.where}: {item.what}: {item.there} there, {item.here} here", width, "  ")
    if len(changed) > MOST_SHOWN:
        lines.append(f"  and {len(changed) - MOST_SHOWN:,} more")
    return lines


def _wrapped(text: str, width: int, start: str = "") -> list[str]:
    """Lines of at most `width`; characters that a terminal would obey are shown as what they are not."""
    plain = "".join(c if c.isprintable() else "\N{REPLACEMENT CHARACTER}" for c in " ".join(text.split()))
    return textwrap.wrap(plain, width, initial_indent=start, subsequent_indent=start + "  ") or [""]
