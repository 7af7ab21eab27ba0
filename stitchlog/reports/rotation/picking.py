"""What to pick up next, and why: every rank can be traced to its parts."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import pandas as pd

from stitchlog import words
from stitchlog.diary.diary import Diary
from stitchlog.diary.tags import tags_of
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
    """A piece and what speaks for it: `marks`, 0 to 1 a part, and the same in `words`. about: its row of pieces.csv."""

    piece: str
    about: pd.Series
    status: str
    days_since: float
    sessions_left: float
    marks: dict[str, float] = field(default_factory=dict)
    words: dict[str, str] = field(default_factory=dict)

    def give(self, part: str, mark: float, text: str) -> None:
        """The largest mark given for a part is the one that stands."""
        if mark > self.marks.get(part, 0.0):
            self.marks[part], self.words[part] = min(mark, 1.0), text


def next_up(diary: Diary, as_of: pd.Timestamp | str | None = None, suits: str | None = None) -> pd.DataFrame:
    """What to pick up next, best first, with the reasons; seen from the end of the day `as_of` (None: the last day).

    Pieces on the go, and pieces not begun that are due or have an event of their own running. suits: tags that the next
    piece should have, with blanks, commas or `;` between (all of them); such pieces come first, others follow.

    Columns: rank (1 first), piece, points (the sum of the parts), reason (in words), then the points of each part, its
    mark from 0 to 1 times its weight in the settings (`[next_up]` in stitchlog.toml): suits (has the tags asked for);
    due (the share of the sessions usual until its day that it needs: piece's `due`, or a running section or finish of
    its own); habit (a length-a-day event of its own runs, and today's length is still to do; half a mark where it is
    only tomorrow's); below_want (how far below its wanted share in the last `days`, against the largest wanted share);
    nearly (finished within `sessions` sessions, the sooner the more); untouched (days since its last session, full at
    `untouched_days`). Then days_since, sessions_left (NaN: total not known) and status.
    .attrs: weights, suits (the tags asked for), unmatched (bool: tags were asked for and no piece has them).
    """
    day = diary.last_day if as_of is None else pd.Timestamp(as_of)
    settings = diary.settings.next_up
    weights = {part: float(getattr(settings, part)) for part in PARTS}
    tags = sorted(tags_of(suits))
    found = _candidates(diary, day)
    for candidate in found:
        _suit(candidate, tags)
        _untouched(candidate, settings.untouched_days)
        _nearly(candidate, settings.sessions)
    _due(diary, found, day)
    _habit(diary, found, day)
    _below_want(diary, found, day, settings.days)
    rows = []
    for c in found:
        points = {part: c.marks.get(part, 0.0) * weight for part, weight in weights.items()}
        about = {"piece": c.piece, "days_since": c.days_since, "sessions_left": c.sessions_left, "status": c.status}
        rows.append(about | points | {"points": sum(points.values()), "reason": _reason(c, points)})
    out = pd.DataFrame(rows, columns=COLUMNS)
    out = out.sort_values(["points", "days_since", "piece"], ascending=[False, False, True], kind="stable")
    out = out.assign(rank=np.arange(1, len(out) + 1)).reset_index(drop=True)
    unmatched = bool(tags) and not (out["suits"] > 0).any()
    out.attrs = {"weights": weights, "suits": tags, "unmatched": unmatched}
    return out


def say_next_up(frame: pd.DataFrame) -> str:
    """The first of `next_up`, in a sentence."""
    if frame.empty:
        return "Nothing is on the go, so there is nothing to choose from: begin what you like."
    asked = words.listed(frame.attrs["suits"])
    start = f'No piece has the tags "{asked}". ' if frame.attrs["unmatched"] else ""
    first = frame.iloc[0]
    return f"{start}{first['piece']} comes first: {first['reason']}."


def say_weights(frame: pd.DataFrame) -> str:
    """The weights that were used, in a sentence, by the names that their parts have on the page."""
    each = [f"{PARTS[part]} {words.number(w, 1).removesuffix('.0')}" for part, w in frame.attrs["weights"].items()]
    return f"Points, at most: {words.listed(each)}. Change them under [next_up] in stitchlog.toml."


def _candidates(diary: Diary, day: pd.Timestamp) -> list[_Candidate]:
    standing = diary.standing(day).set_index("piece")
    about = diary.pieces.set_index("piece")
    promised = about["due"].reindex(standing.index).notna() | standing.index.isin(_open_on(diary, day)["piece"])
    wanted = (standing["status"] == "on the go") | ((standing["status"] == "not begun") & promised)
    seen = diary.sessions[diary.sessions["date"] <= day]
    each = seen.groupby("piece")["stitches"].mean()
    a_session = each.reindex(standing.index).fillna(seen["stitches"].mean())
    left = (standing["remaining"] / a_session).where(a_session > 0)
    days = (day - standing["last_session"]).dt.days.astype(float)
    return [
        _Candidate(piece, about.loc[piece], standing["status"][piece], days[piece], left[piece])
        for piece in standing.index[wanted]
    ]


def _open_on(diary: Diary, day: pd.Timestamp) -> pd.DataFrame:
    return diary.events[(diary.events["starts"] <= day) & (diary.events["ends"] >= day)]


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


def _due(diary: Diary, found: list[_Candidate], day: pd.Timestamp) -> None:
    before = diary.sessions[diary.sessions["date"] <= day]
    recent = before[before["date"] > day - pd.Timedelta(days=USUAL_DAYS)]
    span = min(USUAL_DAYS, (day - before["date"].min()).days + 1) if len(before) else 1
    a_day = max(len(recent) / span, 1 / USUAL_DAYS)
    running = _open_on(diary, day)
    for c in found:
        for by, sessions, what in _promises(c, running, before):
            if not 0 < sessions < np.inf:
                continue
            days = (by - day).days
            needs = f"about {words.count(math.ceil(sessions), 'more session')}"
            if days <= 0:
                c.give("due", 1.0, f"{what} was due on {words.day(by)} and wants {needs}")
                continue
            share = sessions / (days * a_day)
            part = (
                "more than you usually have, so a later day may be kinder,"
                if share > 1
                else f"{words.percent(share)} of those you usually have"
            )
            c.give("due", share, f"{what} due on {words.day(by)} wants {needs}, {part} until then")


def _promises(c: _Candidate, running: pd.DataFrame, before: pd.DataFrame) -> list[tuple[pd.Timestamp, float, str]]:
    """What a piece is promised for: by which day, how many sessions that takes, and its name.

    running: the events open on the day. before: the sessions so far.
    """
    out = []
    if pd.notna(c.about["due"]):
        out.append((c.about["due"], c.sessions_left, "the piece"))
    sessions = before[before["piece"] == c.piece]
    usual = sessions["stitches"].mean()
    event: Any
    for event in running[running["piece"] == c.piece].itertuples():
        if event.kind == "finish":
            out.append((event.ends, c.sessions_left, event.event))
        elif event.kind == "target" and event.target > 0:
            inside = sessions.loc[sessions["date"] >= event.starts]
            halves = (event.half_counts - 0.5) * inside["half"].fillna(0.0).sum()
            owed = event.target - inside["stitches"].sum() - halves
            name = f"{event.event}, {event.part}," if event.part else event.event
            out.append((event.ends, owed / usual if usual > 0 else np.nan, name))
    return out


def _habit(diary: Diary, found: list[_Candidate], day: pd.Timestamp) -> None:
    today, tomorrow = (
        set(running.loc[running["kind"] == "length", "piece"])
        for running in (_open_on(diary, day), _open_on(diary, day + pd.Timedelta(days=1)))
    )
    for c in found:
        if c.piece in today and c.days_since != 0:
            c.give("habit", 1.0, "the day's length of thread is still to do")
        elif c.piece in tomorrow:
            c.give("habit", 0.5, "its length of thread comes round tomorrow")


def _below_want(diary: Diary, found: list[_Candidate], day: pd.Timestamp, days: int) -> None:
    recent = balance(diary, day - pd.Timedelta(days=days - 1), day).set_index("piece")
    most = recent["want"].max()
    for c in found:
        below = recent["below_want"].get(c.piece, np.nan)
        if below > 0 and most > 0:
            want, share = (words.percent(recent[name][c.piece]) for name in ("want", "share"))
            text = f"had {share} of the stitches of the last {words.count(days, 'day')}, {want} wanted"
            c.give("below_want", below / most, text)


def _reason(candidate: _Candidate, points: dict[str, float]) -> str:
    """The parts with points, the weightiest first; what hardly counts is not said."""
    order = sorted((p for p in PARTS if points[p] > 0), key=lambda p: -points[p])
    told = [p for p in order if points[p] >= 0.15 * points[order[0]]][:3]
    if not told:
        return "nothing presses; it is there when you feel like it"
    return "; ".join(candidate.words[p] for p in told)
