"""Twenty-two months at the needle: draws the demo diary's sessions, always the same ones from the same seed.

Only `Random.random()` is used, the one generator whose sequence Python promises to keep from version to version.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass, field
from datetime import date, timedelta
from random import Random

from .story import BY_HAND, FIRST_DAY, LAST_DAY, Piece, day

MOVING_HOUSE = (day("2025-06-01"), day("2025-07-03"))  # a month with nothing at all
BORROWED_FLAT = (day("2026-02-09"), day("2026-03-01"))  # while the roof is seen to; no good lamp there
ONE_BRIGHT_MORNING = day("2026-02-21")
HARVEST = day("2026-06-28"), day("2026-07-09"), day("2026-07-24")  # currants, then beans: whole days without a stitch
HABIT = ("Rowan Border", day("2026-09-01"))
ALWAYS_TIMED_FROM = day("2025-03-01")  # before that she did not look at the clock
PROMPT_WEEKEND = {
    day("2026-09-25"): ("Marsh Heron", "Teapot Weather", "Rowan Border", "Lemon Grove"),
    day("2026-09-26"): ("Harbour at First Light", "Beetle Cabinet", "Winter Fox", "Bramble Hare"),
    day("2026-09-27"): ("Allotment Patchwork", "Otter Creek", "Rowan Border"),
}
# Notes at a turning point; all others are in by_hand/notes.csv, those of no piece for any.
FLAT_NOTE = "One bright morning at the flat's only good window. One thread."
BACK_NOTE = "Home, under my own lamp. I can see the holes again."
HARVEST_NOTES = (
    "Currants all week. Fingers too red for white fabric, so a few rows after a good scrub.",
    "Beans, beans, beans. Sat down with a needle at last.",
    "The freezer is full and so am I. Back to the hoop.",
)
MOVED_NOTE = "Found the hoops in the last box. House: done. Me: done."
PUT_BY = {
    "Bramble Hare": "Fell out of love with the fur. Into the basket for a while.",
    "Fern Alphabet": "Pretty, but my eyes. Putting it by until spring.",
}
PICKED_UP_AGAIN = {"Bramble Hare": "Out of the basket again! It was never the hare's fault."}


@dataclass
class Session:
    """One row of diary.csv before it is written. `colours` maps code to stitches worked (unpicked ones included)."""

    piece: str
    date: date
    full: int = 0
    half: int = 0
    quarter: int = 0
    three_quarter: int = 0
    unpicked: int = 0
    backstitch: int = 0
    knots: int = 0
    beads: int = 0
    minutes: int = 0
    timed: bool = True
    how: str = "count"  # count, so_far or minutes_only
    so_far: float = 0.0
    colours: dict[str, int] = field(default_factory=dict)
    colours_counted: bool = True
    photo: str = ""
    note: str = ""

    @property
    def worked(self) -> float:
        return self.full + 0.5 * self.half + 0.25 * self.quarter + 0.75 * self.three_quarter

    @property
    def net(self) -> float:
        return self.worked - self.unpicked


@dataclass
class Progress:
    """A piece under way: `order` is the code of every stitch in the order in which it is worked."""

    piece: Piece
    order: list[str]
    done: float = 0.0
    last: date | None = None
    finished: date | None = None

    @property
    def remaining(self) -> float:
        return len(self.order) - self.done


class Dice:
    """The few draws that the story needs, all from `Random.random()`."""

    def __init__(self, seed: int) -> None:
        self._random = Random(seed).random

    def chance(self, p: float) -> bool:
        return self._random() < p

    def between(self, low: float, high: float) -> float:
        return low + (high - low) * self._random()

    def bell(self) -> float:
        """About standard normal: twelve uniforms added up."""
        return sum(self._random() for _ in range(12)) - 6.0

    def pick(self, weights: dict[str, float]) -> str:
        mark = self._random() * sum(weights.values())
        for name, weight in weights.items():
            mark -= weight
            if mark < 0:
                return name
        return next(reversed(weights))


def live(
    pieces: tuple[Piece, ...], orders: dict[str, list[str]], seed: int
) -> tuple[list[Session], dict[str, Progress]]:
    """Every session from FIRST_DAY to LAST_DAY, and where each piece stands after them."""
    dice = Dice(seed)
    book = {p.name: Progress(p, orders[p.name], float(p.done_before)) for p in pieces}
    sessions: list[Session] = []
    yesterday = ""
    today = FIRST_DAY
    while today <= LAST_DAY:
        for name, minutes in _evening(dice, book, today, yesterday):
            if (session := _sit_down(dice, book[name], today, minutes)) is not None:
                sessions.append(session)
                yesterday = name
        today += timedelta(days=1)
    _write_notes(dice, sessions, book)
    return sessions, book


def _evening(dice: Dice, book: dict[str, Progress], today: date, yesterday: str) -> list[tuple[str, float]]:
    """What is picked up today, and for how many minutes."""
    if MOVING_HOUSE[0] <= today <= MOVING_HOUSE[1]:
        return []
    if BORROWED_FLAT[0] <= today <= BORROWED_FLAT[1]:
        return [("Otter Creek", 12.0)] if today == ONE_BRIGHT_MORNING else []
    if today in PROMPT_WEEKEND:
        return [(n, dice.between(32, 52)) for n in PROMPT_WEEKEND[today] if n in book and book[n].remaining > 0]
    out: list[tuple[str, float]] = []
    begins = [p for p in book.values() if p.piece.planned_start == today.isoformat()]
    if today >= HABIT[1] and book[HABIT[0]].remaining > 0 and (begins or dice.chance(0.74)):
        out.append((HABIT[0], 30.0))
    weekend = today.weekday() >= 5
    summer = today.month in (6, 7, 8)
    ladder = day("2026-05-04") <= today <= day("2026-05-24")
    likely = 0.93 if ladder else (0.80 if weekend else 0.66) - (0.08 if summer else 0.0)
    begins = [p for p in begins if p.piece.name != HABIT[0]]
    if begins or dice.chance(likely):
        minutes = dice.between(50, 145) if weekend else dice.between(28, 100)
        minutes *= 1.25 if ladder else 1.0
        first = begins[0].piece.name if begins else _choose(dice, book, today, yesterday)
        if minutes > 85 and dice.chance(0.55):
            second = _choose(dice, book, today, first, stay=0.0)
            share = dice.between(0.45, 0.7)
            out.append((first, minutes * share))
            if second != first:
                out.append((second, minutes * (1 - share)))
        else:
            out.append((first, minutes))
    return out


def _choose(dice: Dice, book: dict[str, Progress], today: date, yesterday: str, stay: float = 0.42) -> str:
    pulls = {name: _pull(p, today) for name, p in book.items()}
    pulls = {name: weight for name, weight in pulls.items() if weight > 0}
    if pulls.get(yesterday, 0) > 0 and dice.chance(stay):
        return yesterday
    return dice.pick(pulls)


def _pull(progress: Progress, today: date) -> float:
    piece = progress.piece
    if progress.remaining <= 0 or (piece.planned_start and today.isoformat() < piece.planned_start):
        return 0.0
    weights = [weight for since, weight in piece.pull if since <= today.isoformat()]
    return weights[-1] if weights else 0.0


def _rate(piece: Piece, colours: int, minutes: float, today: date, rested: int) -> float:
    """Stitches an hour: the truth that the pace report may try to find again."""
    per_inch = piece.count / piece.over
    rate = 136.0 * 0.986 ** (per_inch - 14)
    rate *= 0.86 if piece.over == 1 and piece.count >= 25 else 1.0
    rate *= 0.96 ** (colours - 1)
    rate *= 1.0 - 3.0 / max(minutes, 12.0)  # finding the place and the first thread
    rate *= 0.94 if rested > 21 else 1.0
    rate *= 0.90 if piece.fabric_colour < "#3" else 1.0  # dark cloth
    return rate * (1.0 + 0.07 * (today - FIRST_DAY).days / 668)


def _sit_down(dice: Dice, progress: Progress, today: date, minutes: float) -> Session | None:
    piece = progress.piece
    if progress.remaining <= 0:
        return None
    session = Session(piece.name, today)
    rested = (today - progress.last).days if progress.last else 0
    guess = _rate(piece, 4, minutes, today, rested) * minutes / 60
    ahead = progress.order[int(progress.done) : int(progress.done + guess)]
    noise = 1.0 + 0.13 * dice.bell()
    target = _rate(piece, len(set(ahead)) or 1, minutes, today, rested) * minutes / 60 * max(noise, 0.5)
    if piece.name == HABIT[0]:
        target = 60.0 * (2 if dice.chance(0.08) else 1) + round(2 * dice.bell())
        minutes = target / _rate(piece, 1, 30, today, 0) * 60 * max(0.6, 1.0 + 0.12 * dice.bell())
    target = max(6.0, round(target))
    if piece.done_before == 0 and progress.done == 0:
        minutes += 10  # finding the middle of the cloth
    if dice.chance(0.07) and target > 30 and piece.name != HABIT[0]:
        session.unpicked = int(dice.between(3, 22))
    _count(dice, session, piece, min(target, progress.remaining), progress)
    session.minutes = max(5, round(minutes))
    _colours(dice, session, progress)
    progress.done += session.net
    progress.last = today
    if progress.remaining <= 0:
        progress.finished = today
    _trimmings(dice, session, piece, progress, today)
    return session


def _count(dice: Dice, session: Session, piece: Piece, target: float, progress: Progress) -> None:
    """Share `target` net stitches out over full and fractional ones; the last session ends on the total exactly."""
    last = target >= progress.remaining
    if last:
        session.unpicked = 0
    if "fractions" in piece.extras and not last and dice.chance(0.3):
        session.half = int(dice.between(2, 15))
        if dice.chance(0.4):
            session.quarter = int(dice.between(1, 9))
        if dice.chance(0.35):
            session.three_quarter = int(dice.between(1, 9))
    fractions = session.worked
    session.full = max(0, int(target - fractions) + session.unpicked)
    if last:
        rest = round((progress.remaining - session.full) * 4)
        session.quarter, session.half, session.three_quarter = int(rest == 1), int(rest == 2), int(rest == 3)
    elif session.net > progress.remaining - 1:
        session.full -= min(session.full, int(session.net - progress.remaining) + 2)
    if session.net <= 0:
        session.unpicked = 0


def _colours(dice: Dice, session: Session, progress: Progress) -> None:
    """The colours of the next stitches of the chart; what was unpicked counts to the colour used most."""
    start = int(progress.done)
    for code in progress.order[start : int(progress.done + session.net)] or progress.order[start : start + 1]:
        session.colours[code] = session.colours.get(code, 0) + 1
    if not session.colours:
        session.colours[progress.order[-1]] = 1
    most = max(session.colours, key=lambda code: session.colours[code])
    session.colours[most] += max(0, int(session.worked) - sum(session.colours.values()))
    session.colours_counted = dice.chance(0.45)


def _trimmings(dice: Dice, session: Session, piece: Piece, progress: Progress, today: date) -> None:
    if "backstitch" in piece.extras and dice.chance(0.12):
        session.backstitch = int(dice.between(8, 60))
    if "knots" in piece.extras and dice.chance(0.10):
        session.knots = int(dice.between(2, 12))
    if "beads" in piece.extras and dice.chance(0.12):
        session.beads = int(dice.between(3, 20))
    session.timed = dice.chance(0.84 if today >= ALWAYS_TIMED_FROM else 0.35)
    if "so_far" in piece.extras and dice.chance(0.3):
        session.how, session.so_far = "so_far", progress.done
    elif "minutes_only" in piece.extras and dice.chance(0.2):
        session.how, session.timed = "minutes_only", True


def _pinned(sessions: list[Session], book: dict[str, Progress], own: dict[str, list[str]]) -> dict[int, str]:
    """Notes that belong to a turning point, by the number of the session; a finish takes the last of a piece's own."""

    def first(piece: str, after: date) -> int:
        return next(n for n, s in enumerate(sessions) if s.date > after and piece in ("", s.piece))

    def last(piece: str, until: date) -> int:
        return max(n for n, s in enumerate(sessions) if s.date <= until and s.piece == piece)

    pinned = {
        next(n for n, s in enumerate(sessions) if s.date == ONE_BRIGHT_MORNING): FLAT_NOTE,
        first("", BORROWED_FLAT[1]): BACK_NOTE,
        **{first("", since): note for since, note in zip(HARVEST, HARVEST_NOTES, strict=True)},
        first("", MOVING_HOUSE[1]): MOVED_NOTE,
    }
    for name, progress in book.items():
        if name in PUT_BY:
            pinned[last(name, day(progress.piece.set_aside))] = PUT_BY[name]
        if name in PICKED_UP_AGAIN:
            pinned[first(name, day(progress.piece.set_aside))] = PICKED_UP_AGAIN[name]
        if progress.finished:
            pinned[last(name, LAST_DAY)] = own[name][-1]
    return pinned


def _write_notes(dice: Dice, sessions: list[Session], book: dict[str, Progress]) -> None:
    """A note on about every third session, each used once; the turning points of the story always get theirs."""
    own: dict[str, list[str]] = {}
    with (BY_HAND / "notes.csv").open(encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file):
            own.setdefault(row["piece"], []).append(row["note"])
    anywhere = own.pop("")
    pinned = _pinned(sessions, book, own)
    own = {name: [line for line in lines if line not in pinned.values()] for name, lines in own.items()}
    lines_of = {name: len(lines) for name, lines in own.items()}
    sessions_of = {name: sum(s.piece == name for s in sessions) for name in own}
    seen = dict.fromkeys(own, 0)
    for number, session in enumerate(sessions):
        name = session.piece
        lines = own[name]
        if number in pinned:
            session.note = pinned[number]
        elif lines and (lines_of[name] - len(lines)) / lines_of[name] <= seen[name] / sessions_of[name]:
            session.note = lines.pop(0)
        elif anywhere and dice.chance(0.14):
            session.note = anywhere.pop(int(dice.between(0, len(anywhere))))
        seen[name] += 1
