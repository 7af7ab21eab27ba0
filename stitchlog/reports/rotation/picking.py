"""What to pick up next, and why: every rank can be traced to its parts."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import pandas as pd

from stitchlog import words
from stitchlog.diary.diary import Diary
from stitchlog.diary.frames import each_row
from stitchlog.diary.tags import tags_of
from stitchlog.model.commitments.stages import standing
from stitchlog.reports.rotation.shares import balance

# The parts of a rank, each with what stands above its column and on its bar.
PARTS = {
    "suits": "suits",
    "due": "due",
    "habit": "habit",
    "below_want": "below want",
    "nearly": "nearly done",
    "untouched": "waiting",
}
COLUMNS = ["rank", "piece", "points", "reason", *PARTS, "days_since", "sessions_left", "status"]
NEXT_UP_HEADINGS = {"piece": "piece", "reason": "why", "points": "points", **PARTS, "sessions_left": "sessions left"}
# Sessions a day are taken from this many days before.
USUAL_DAYS = 90


@dataclass
class _Candidate:
    """A piece and what speaks for it: `marks`, 0 to 1 a part, and the same in `words`.

    about: its row of pieces.csv. a_session: stitches that a session usually brings.
    """

    piece: str
    about: pd.Series
    status: str
    days_since: float
    sessions_left: float
    a_session: float
    marks: dict[str, float] = field(default_factory=dict)
    words: dict[str, str] = field(default_factory=dict)

    def give(self, part: str, mark: float, text: str) -> None:
        """The largest mark given for a part is the one that stands."""
        if mark > self.marks.get(part, 0.0):
            self.marks[part], self.words[part] = min(mark, 1.0), text


@dataclass(frozen=True)
class NextUp:
    """What to pick up next, and why.

    pieces: works in progress, and pieces not begun that are due or have an event of their own running; best first.
    Columns: rank (1 first), piece, points (the sum of the parts), reason (in words), then the points of each part, its
    mark from 0 to 1 times its weight in the settings (`[next_up]` in stitchlog.toml): suits (has the tags asked for);
    due (the share of the sessions usual until its day that it needs: piece's `due`, or a running section or finish of
    its own); habit (a length-a-day event of its own runs, and today's length is still to do; half a mark where it is
    only tomorrow's); below_want (how far below its wanted share in the last `days`, against the largest wanted share);
    nearly (finished within `sessions` sessions, the sooner the more); untouched (days since its last session, full at
    `untouched_days`). Then days_since, sessions_left (NaN: total not known) and status.
    weights: of each part. suits: the tags asked for. unmatched: tags were asked for and no piece has them.
    """

    pieces: pd.DataFrame
    weights: dict[str, float]
    suits: list[str]
    unmatched: bool


def next_up(diary: Diary, suits: str | None = None) -> NextUp:
    """What to pick up next, with the reasons.

    suits: tags that the next piece should have, with blanks, commas or `;` between (all of them); such pieces come
    first, others follow.
    """
    settings = diary.settings.next_up
    weights = {part: float(getattr(settings, part)) for part in PARTS}
    tags = sorted(tags_of(suits))
    found = _candidates(diary)
    for candidate in found:
        _suit(candidate, tags)
        _untouched(candidate, settings.untouched_days)
        _nearly(candidate, settings.sessions)
    _due(diary, found)
    _habit(diary, found)
    _below_want(diary, found, settings.days)
    rows = []
    for c in found:
        points = {part: c.marks.get(part, 0.0) * weight for part, weight in weights.items()}
        about = {"piece": c.piece, "days_since": c.days_since, "sessions_left": c.sessions_left, "status": c.status}
        rows.append(about | points | {"points": sum(points.values()), "reason": _reason(c, points)})
    out = pd.DataFrame(rows, columns=COLUMNS)
    out = out.sort_values(["points", "days_since", "piece"], ascending=[False, False, True], kind="stable")
    out = out.assign(rank=np.arange(1, len(out) + 1)).reset_index(drop=True)
    return NextUp(out, weights, tags, bool(tags) and not (out["suits"] > 0).any())


def say_next_up(found: NextUp) -> str:
    """The first of `next_up`, in a sentence."""
    if found.pieces.empty:
        return "You have no works in progress to choose from: start whatever you like."
    start = f'No piece has the tags "{words.listed(found.suits)}". ' if found.unmatched else ""
    first = found.pieces.iloc[0]
    return f"{start}{first['piece']} comes first: {first['reason']}."


def say_weights(found: NextUp) -> str:
    """The weights that were used, in a sentence, by the names that their parts have on the page."""
    each = [f"{PARTS[part]} {words.number(w, 1).removesuffix('.0')}" for part, w in found.weights.items()]
    return f"Points, at most: {words.listed(each)}. Change them under [next_up] in stitchlog.toml."


def _candidates(diary: Diary) -> list[_Candidate]:
    stands = diary.standing().set_index("piece")
    about = diary.pieces.set_index("piece")
    promised = about["due"].reindex(stands.index).notna() | stands.index.isin(_running(diary)["piece"])
    wanted = (stands["status"] == "on the go") | ((stands["status"] == "not begun") & promised)
    each = diary.sessions.groupby("piece")["stitches"].mean()
    a_session = each.reindex(stands.index).fillna(diary.sessions["stitches"].mean())
    left = (stands["remaining"] / a_session).where(a_session > 0)
    days = (diary.as_of - stands["last_session"]).dt.days.astype(float)
    return [
        _Candidate(piece, about.loc[piece], stands["status"][piece], days[piece], left[piece], a_session[piece])
        for piece in stands.index[wanted]
    ]


def _running(diary: Diary) -> pd.DataFrame:
    """The commitments whose window is open on the diary's day, as `standing` has them; due days not among them."""
    rows = standing(diary)
    return rows[(rows["kind"] != "due") & (rows["starts"] <= diary.as_of) & (rows["ends"] >= diary.as_of)]


def _suit(candidate: _Candidate, tags: list[str]) -> None:
    if tags and tags_of(candidate.about["tags"]).issuperset(tags):
        candidate.give("suits", 1.0, f"suits {words.listed(tags)}")


def _untouched(candidate: _Candidate, full: float) -> None:
    if candidate.days_since > 0:
        text = f"not touched for {words.span(candidate.days_since)}"
        candidate.give("untouched", candidate.days_since / full, text)


def _nearly(candidate: _Candidate, most: int) -> None:
    if 0 < candidate.sessions_left <= most:
        left = math.ceil(candidate.sessions_left)
        candidate.give("nearly", (most + 1 - left) / most, f"finished in about {words.count(left, 'session')}")


def _due(diary: Diary, found: list[_Candidate]) -> None:
    day = diary.as_of
    recent = diary.sessions[diary.sessions["date"] > day - pd.Timedelta(days=USUAL_DAYS)]
    span = min(USUAL_DAYS, (day - diary.first_day).days + 1) if len(diary.sessions) else 1
    a_day = max(len(recent) / span, 1 / USUAL_DAYS)
    running = _running(diary)
    for c in found:
        for by, sessions, what in _promises(c, running):
            if not 0 < sessions < np.inf:
                continue
            days = (by - day).days
            needs = f"needs about {words.count(math.ceil(sessions), 'more session')}"
            if days <= 0:
                c.give("due", 1.0, f"{what} was due on {words.day(by)} and {needs}")
                continue
            share = sessions / (days * a_day)
            part = (
                "more than you usually have, so a later day may be kinder"
                if share > 1
                else f"{words.percent(share)} of those you usually have by then"
            )
            c.give("due", share, f"{what}, due on {words.day(by)}, {needs}: {part}")


def _promises(c: _Candidate, running: pd.DataFrame) -> list[tuple[pd.Timestamp, float, str]]:
    """What a piece is committed to: by which day, how many sessions that takes, and its name."""
    out = []
    if pd.notna(c.about["due"]):
        out.append((c.about["due"], c.sessions_left, "the piece"))
    event: Any
    for event in each_row(running[(running["piece"] == c.piece) & running["kind"].isin(["target", "finish"])]):
        sessions = event.wanted / c.a_session if c.a_session > 0 else np.nan
        out.append((event.ends, sessions, f"{event.event}, {event.part}" if event.part else event.event))
    return out


def _habit(diary: Diary, found: list[_Candidate]) -> None:
    lengths = diary.events[diary.events["kind"] == "length"]
    today, tomorrow = (
        set(lengths.loc[(lengths["starts"] <= day) & (lengths["ends"] >= day), "piece"])
        for day in (diary.as_of, diary.as_of + pd.Timedelta(days=1))
    )
    for c in found:
        if c.piece in today and c.days_since != 0:
            c.give("habit", 1.0, "you have not stitched today's length of thread")
        elif c.piece in tomorrow:
            c.give("habit", 0.5, "its next length of thread is tomorrow's")


def _below_want(diary: Diary, found: list[_Candidate], days: int) -> None:
    recent = balance(diary, diary.as_of - pd.Timedelta(days=days - 1)).pieces.set_index("piece")
    most = recent["want"].max()
    for c in found:
        below = recent["below_want"].get(c.piece, np.nan)
        if below > 0 and most > 0:
            want, share = (words.percent(recent[name][c.piece]) for name in ("want", "share"))
            text = (
                f"you wanted {want} of your stitches on it, and it had {share} in the last {words.count(days, 'day')}"
            )
            c.give("below_want", below / most, text)


def _reason(candidate: _Candidate, points: dict[str, float]) -> str:
    """The parts with points, the weightiest first; what hardly counts is not said."""
    order = sorted((p for p in PARTS if points[p] > 0), key=lambda p: -points[p])
    told = [p for p in order if points[p] >= 0.15 * points[order[0]]][:3]
    if not told:
        return "nothing is pressing; pick it up when you feel like it"
    return "; ".join(candidate.words[p] for p in told)
