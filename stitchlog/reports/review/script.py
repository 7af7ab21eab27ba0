"""The script of a review: what to say about the period, each piece and the month to come, in the first person."""

from __future__ import annotations

import zlib
from collections.abc import Sequence
from typing import Any

import pandas as pd

from stitchlog import words
from stitchlog.diary.frames import each_record
from stitchlog.model.period import Period
from stitchlog.reports.review import wording
from stitchlog.reports.review.buying import say_bought, say_to_make_up, say_waiting
from stitchlog.reports.review.coming import say_next_month
from stitchlog.reports.review.credits import spoken_credits
from stitchlog.reports.review.milestones import say_milestone
from stitchlog.reports.review.recap import Recap
from stitchlog.reports.review.said import say_each_goal, say_goals

ORDERS = ("worked", "finishes-first", "biggest-change", "file")
# Lines a piece has at most.
LINES = 4
# Two notes are told where they have so few words together.
_TWO_NOTES = 20

_HELLOS = (
    "Hello, and welcome. This is {period}.",
    "Hello again. Let me show you {period}.",
    "Hello, and thank you for dropping in. Here is {period}.",
)
_WELCOME, _UNTIL = "Hello, and welcome.", "Thank you for sitting with me, and until next time."
_BRIDGES = (
    "Next is {piece}.",
    "On to {piece}.",
    "Then there's {piece}.",
    "Now {piece}.",
    "After that, {piece}.",
)
_GOODBYES = (
    "That was {period}. Thank you for sitting with me, and until next time.",
    "And that's {period}. Thank you for the company; see you next time.",
    "That's all from {period}. Thank you for watching, and happy stitching.",
)
# What happened to a piece, by how it was picked up. {put}: stitches, {so}: where that leaves it.
_OPENINGS = {
    "started": (
        "It's a new start: I began on {day} and put {put} in{so}.",
        "I started this one on {day}. It has had {put} since{so}.",
        "This one is new. The first stitch went in on {day}, and it got {put}{so}.",
    ),
    "first": (
        "It's new to the diary, from {day}. I put {put} in{so}.",
        "I wrote this one down for the first time on {day}. It got {put}{so}.",
    ),
    "again": (
        "I had set this aside, and took it out again on {day} after {rest}. It got {put}{so}.",
        "After {rest} in the drawer this came out again on {day}. I put {put} in{so}.",
    ),
    "back": (
        "I picked this up again on {day} after {rest} and put {put} in{so}.",
        "After {rest} away from it I came back on {day}. It got {put}{so}.",
        "This had {rest} off. From {day} I put {put} in{so}.",
    ),
    "on": (
        "I kept going with this one, from {day}. {Put} went in {over}{so}.",
        "This got {put} {over}{so}.",
        "I put {put} in {over}{so}.",
        "{Over} I added {put}{so}.",
    ),
    "fewer": (
        "More came out than went in here: {put}{so}.",
        "I took more out than I put in this time, {put} in all{so}.",
    ),
    "finished": (
        "It's finished. The last stitch went in on {done}, after {put} {lately}.",
        "This one is done. I finished it on {done}, with {put} {lately}.",
        "This one is a finish. It got {put} {lately}, and the last one went in on {done}.",
    ),
}
_TAILS = (
    ", so it's at {share}",
    ", which brings it to {share}",
    ", and that makes {share}",
    ", and it's now at {share}",
)
_STILL = (", and it's still at {share}", ", which leaves it at {share}")
_COUNTED = (", so it has {count} now", ", which makes {count}")
_NOTES = ("On {day} I wrote: “{note}”", "My note from {day}: “{note}”", "I noted on {day}: “{note}”")
_BEST = ("My best day on it was {day}, with {count}.", "{Day} was the best day, with {count}.")
_OUT = ("{count} had to come out again.", "I took {count} out again.")
_TIMES = ("It took {time}.", "That was {time} at it.", "{Time} went into it.")
_FABRICS = ("It's on {fabric}.", "The fabric is {fabric}.", "I'm stitching it on {fabric}.", "This one is on {fabric}.")
_NEXT = {
    "section": ("Next for it is {what}.", "It goes on with {what}.", "Coming up: {what}."),
    "due": ("It's due on {what}.", "I'd like it done by {what}.", "The day for it is {what}."),
    "finish": (
        "At this rate it could be finished {what}.",
        "If I go on like this, it could be done {what}.",
        "The forecast says it could be done {what}.",
    ),
}
_EVENTS = ("It's for {event}.", "This is for {event}.", "It counts for {event}.")


class Script:
    """Says things in one of several ways, chosen by the period and never the last one again."""

    def __init__(self, recap: Recap) -> None:
        self.recap = recap
        span = recap.period
        # Days are said by their number where all of them lie in one month.
        self._whole_days = span.length == 0 or (span.start.year, span.start.month) != (span.end.year, span.end.month)
        self._last: dict[Sequence[str], int] = {}

    def pick(self, ways: Sequence[str], key: str) -> str:
        """One of the ways, the same for the same key, but not the one that was picked last."""
        at = zlib.crc32(f"{self.recap.period.start}{key}".encode()) % len(ways)
        if len(ways) > 1 and self._last.get(ways) == at:
            at = (at + 1) % len(ways)
        self._last[ways] = at
        return ways[at]

    def day(self, value: Any) -> str:
        return wording.day(value, self._whole_days)

    def opening(self) -> list[str]:
        """A first sentence, what the period came to, what was said for it and what came of it, and its milestones."""
        recap = self.recap
        hello = self.pick(_HELLOS, "hello").format(period=recap.period.name) if recap.period.length else _WELCOME
        said = [hello, *say_period(recap.compared)]
        said += [goals for goals in [say_goals(recap.goals)] if goals]
        said += say_each_goal(recap.goals)
        passed = recap.milestones[recap.milestones["date"].notna() & (recap.milestones["piece"] == "")]
        return said + [say_milestone(row) for row in each_record(passed)]

    def piece(self, row: dict[str, Any], place: int, of: int) -> list[str]:
        """At most LINES lines about a piece (row of `story`), the `place`-th (from 0) of so many."""
        piece = row["piece"]
        first = [self._bridge(piece, place, of), self._happened(row)]
        detail = self._details(row)
        credits = self.recap.credits.set_index("piece").loc[piece].to_dict()
        lines = [
            " ".join(first),
            " ".join(detail[:2]),
            self._note(row),
            " ".join(self._about(row, credits)),
        ]
        return [line for line in lines if line][:LINES]

    def closing(self) -> list[str]:
        """Starts, finishes and what waited, what was bought, what is next, and a goodbye."""
        recap = self.recap
        said = [say_balance(recap), *self._untouched(), say_year(recap)]
        said += [say_bought(recap.bought), say_waiting(recap.waiting) if len(recap.bought) else ""]
        said += [say_to_make_up(recap.to_make_up) if recap.made_up else ""]
        ahead = recap.milestones[recap.milestones["date"].isna()]
        said += [say_milestone(row) for row in each_record(ahead)]
        said += say_next_month(recap.next_month, recap.coming.start) if recap.coming.length else []
        goodbye = self.pick(_GOODBYES, "goodbye").format(period=recap.period.name) if recap.period.length else _UNTIL
        said.append(goodbye)
        return [s for s in said if s]

    def _bridge(self, piece: str, place: int, of: int) -> str:
        if place == 0:
            return f"First up, {piece}." if of > 1 else f"Here is {piece}."
        if place == of - 1:
            return f"And last, {piece}."
        return self.pick(_BRIDGES, piece).format(piece=piece)

    def _happened(self, row: dict[str, Any]) -> str:
        kind = row["arrival"]
        if pd.notna(row["finished"]):
            kind = "finished"
        elif round(row["stitches"]) < 0:
            kind = "fewer"
        put = wording.stitches(row["stitches"])
        tail = ""
        if kind != "finished":
            before, after = (wording.percent_of(row[f"{when}_share"]) for when in ("before", "after"))
            ways = _COUNTED if not after else _STILL if before == after else _TAILS
            count = wording.stitches(max(row["after"], 0.0))
            tail = self.pick(ways, row["piece"]).format(share=after, count=count)
        over = f"{'in' if row['days'] == 1 else 'over'} {wording.few(row['days'], 'day')}"
        return self.pick(_OPENINGS[kind], row["piece"]).format(
            day=self.day(row["started"] if kind == "started" else row["first_session"]),
            done=self.day(row["finished"]) if pd.notna(row["finished"]) else "",
            rest=wording.rest(row["days_since"]) if row["days_since"] > 0 else "",
            put=put,
            Put=_capital(put),
            over=over,
            Over=_capital(over),
            lately="this month" if self.recap.period.months == 1 else "this time",
            so=tail,
        )

    def _details(self, row: dict[str, Any]) -> list[str]:
        """What else is worth a sentence, the rarest first."""
        piece, said = row["piece"], []
        mine = self.recap.milestones
        mine = mine[(mine["piece"] == piece) & mine["date"].notna()]
        said += [_pronoun(say_milestone(mark), piece) for mark in each_record(mine)][:1]
        if pd.notna(row["started"]) and pd.notna(row["finished"]):
            said.append(f"I only started it on {self.day(row['started'])}.")
        if row["unpicked"] > 0:
            said.append(_capital(self.pick(_OUT, piece).format(count=wording.stitches(row["unpicked"]))))
        if row["prompts"]:
            said.append(f"It was right for {wording.some(row['prompts'], 2)}.")
        if row["part_of"]:
            said.append(self.pick(_EVENTS, piece).format(event=_unbracketed(row["part_of"][0])))
        if row["days"] > 3 and pd.notna(row["best_day"]):
            day, count = self.day(row["best_day"]), wording.stitches(row["best_stitches"])
            said.append(self.pick(_BEST, piece).format(day=day, Day=_capital(day), count=count))
        if row["minutes"] > 0 and row["timed"] == row["sessions"]:
            time = wording.time(row["minutes"])
            said.append(self.pick(_TIMES, piece).format(time=time, Time=_capital(time)))
        return [s for s in said if len(s.split()) <= 25]

    def _about(self, row: dict[str, Any], credits: dict[str, Any]) -> list[str]:
        """What it is on and from, and what is next for it."""
        fabric = self.pick(_FABRICS, row["piece"]).format(fabric=credits["fabric"]) if credits["fabric"] else ""
        ways = _NEXT.get(row["next_kind"], ("",))
        following = self.pick(ways, row["piece"]).format(what=_unbracketed(row["next_what"]))
        return [said for said in (fabric, *spoken_credits(credits), following) if said]

    def _note(self, row: dict[str, Any]) -> str:
        if not row["notes"]:
            return ""
        (when, text), *others = row["notes"][::-1]
        said = self.pick(_NOTES, row["piece"]).format(day=self.day(when), note=wording.short(text))
        if others and len(f"{text} {others[0][1]}".split()) <= _TWO_NOTES:
            said = f"{said} And on {self.day(others[0][0])}: “{others[0][1]}”"
        return said

    def _untouched(self) -> list[str]:
        planned = self.recap.untouched.loc[self.recap.untouched["planned"] != "", "piece"].tolist()
        return (
            [f"I didn't get to {wording.some(planned)}. {'It' if len(planned) == 1 else 'They'} will keep."]
            if planned
            else []
        )


def say_period(compared: pd.DataFrame) -> list[str]:
    """What the period came to, and how that is against the one before it, as it is said (frame of `compared`)."""
    this, before = compared.iloc[0], compared.iloc[1]
    span = Period(this["start"], this["end"])
    if span.length == 0:
        return ["The diary has no session yet, so there is everything to come."]
    if not this["begun"]:
        return ["It hasn't begun yet, so there is nothing to show."]
    if this["sessions"] == 0:
        return ["I didn't stitch this time. The pieces are where they were, and that's all right."]
    pieces, days = wording.few(this["pieces"], "piece"), f"{this['days']} of {words.count(span.length, 'day')}"
    said = [f"I put {wording.stitches(this['stitches'])} into {pieces}, on {days}."]
    if this["timed"] == this["sessions"]:
        said.append(f"That took {wording.time(this['minutes'])}.")
    if before["covered"] == "whole" and before["sessions"]:
        gap = round(this["stitches"]) - round(before["stitches"])
        how = f"{_difference(abs(gap))} {'more' if gap > 0 else 'fewer'} than" if gap else "just as many as"
        name = before["period"]
        said.append(f"That's {how} in {name.removesuffix(f' {span.end.year}') if span.months == 1 else name}.")
    return said


def say_balance(recap: Recap) -> str:
    """Starts against finishes and the works in progress, as it is said."""
    if recap.flow.empty:
        return ""
    starts, done = ((recap.changes["change"] == change).sum() for change in ("started", "finished"))
    now = recap.flow["on_the_go"].iloc[-1]
    left = f"{wording.few(now, 'work', 'works')} in progress"
    if not starts and not done:
        return f"Nothing was started or finished, and I have {left}."
    moved = f"{wording.few(starts, 'start')} and {wording.few(done, 'finish', 'finishes')}"
    return f"{_capital(moved)}, and that leaves {left}."


def say_year(recap: Recap) -> str:
    """The year up to the end of the period, as it is said; '' where it is not told."""
    if recap.year is None or recap.year == recap.period or not recap.months["sessions"].any():
        return ""
    put, days = wording.stitches(recap.months["stitches"].sum()), recap.months["days"].sum()
    done = wording.few(len(recap.finishes), "finish", "finishes")
    return f"Over the year that makes {put} on {words.count(days, 'day')}, and {done}."


def ordered(story: pd.DataFrame, order: str) -> pd.DataFrame:
    """The frame of `story` in the order to tell it in: one of ORDERS."""
    if order == "finishes-first":
        return story.sort_values("finished", key=pd.isna, kind="stable")
    if order == "biggest-change":
        change = (story["after_share"] - story["before_share"]).fillna(-1.0)
        return story.iloc[(-change).argsort(kind="stable")]
    return story.sort_values("place", kind="stable") if order == "file" else story


def _capital(text: str) -> str:
    return f"{text[0].upper()}{text[1:]}"


def _pronoun(text: str, piece: str) -> str:
    return f"It{text[len(piece) :]}".replace("It is ", "It's ") if text.startswith(f"{piece} ") else text


def _unbracketed(text: str) -> str:
    """'Winter Fox stitch-along (Section 5)' as it is said: with a comma."""
    return text.replace(" (", ", ").replace(")", "")


def _difference(stitches: float) -> str:
    """To the stitch below a hundred, 'about' to the ten above."""
    return words.number(stitches) if stitches < 100 else f"about {words.number(round(stitches / 10) * 10)}"
