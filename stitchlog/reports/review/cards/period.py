"""Cards of the period as a whole: opening, said and done, bought, milestones, what comes next, closing."""

from __future__ import annotations

import pandas as pd
from PIL import Image

from stitchlog import words
from stitchlog.diary.frames import each_record, each_row
from stitchlog.render import pictures, theme
from stitchlog.render.card import Card
from stitchlog.reports import review
from stitchlog.reports.review.cards import parts
from stitchlog.reports.review.cards.parts import SMALL, TITLES, Facts, Row
from stitchlog.reports.review.recap import Recap

_OUTCOMES = ("met", "partly", "open", "not", "dropped")
_COUNTED = {"met": "met", "partly": "partly", "not": "not this time", "dropped": "dropped", "open": "still open"}
_MARKS = {"met": "x", "partly": "o", "open": "o"}
_UNITS = {"stitches": ("stitch", "stitches"), "sessions": ("session", "sessions"), "event": ("part", "parts")}


def opening(recap: Recap) -> Facts:
    """The period and its figures; its pieces in their order."""
    if recap.story.empty:
        return Facts(recap.period.name, rows=(review.say_compared(recap.compared),))
    this: Row = recap.compared.iloc[0].to_dict()
    stitches, _, time = parts.figures_of(this)
    days = f"{this['days']} of {this['length']}", "days"
    rows = tuple(f"{row.order} {row.piece}" for row in each_row(recap.story))
    return Facts(recap.period.name, figures=(stitches, days, time), rows=rows)


def draw_opening(recap: Recap, facts: Facts, size: str) -> Card:
    """The days as crosses, the pieces in their order, the figures."""
    card, y = parts.begin(size, words.count(len(facts.rows), "piece") if len(recap.story) else "A rest")
    y = card.block(card.margin, y, facts.title, card.inner, 260, TITLES, bold=True) + 24
    floor = card.height - card.margin
    if recap.story.empty:
        card.block(card.margin, y, facts.rows[0], card.inner, floor - y, (60, 52, 46, 40))
        return card
    y = parts.draw_days(card, recap.calendar, card.margin, y, card.inner) + 26
    columns = {"wide": 3, "square": 2, "tall": 1}[size]
    box = card.margin, y, card.inner, floor - 190 - y
    parts.draw_list(card, facts.rows, box, columns, recap.story["stitches"].tolist())
    parts.draw_figures(card, facts.figures, card.margin, floor - 150, card.inner)
    return card


def goals(recap: Recap) -> Facts | None:
    """Each goal with what came of it, those that were met first; of many months only the stitcher's own, and counts."""
    if recap.goals.empty:
        return None
    found = recap.goals["outcome"].value_counts()
    below = (f"{words.number(found.get('met', 0))} of {words.count(len(recap.goals), 'goal')} met",)
    rows = list(each_record(recap.goals))
    figures: tuple[tuple[str, str], ...] = ()
    if recap.period.months > 1:
        own = [row for row in rows if row["kind"] not in ("event", "due")]
        rows = own or rows
        figures = tuple((words.number(found[key]), said) for key, said in _COUNTED.items() if key in found)
        below = (words.count(len(recap.goals), "goal"),)
    rows.sort(key=lambda row: _OUTCOMES.index(row["outcome"]))
    return Facts(
        "Said and done",
        below=below,
        figures=figures,
        rows=tuple(row["goal"] for row in rows),
        beside=tuple(result(row) for row in rows),
        marks="".join(_MARKS.get(row["outcome"], "-") for row in rows),
    )


def result(row: Row) -> str:
    """What came of a goal in a few words (row of `goals`).

    >>> result({"outcome": "partly", "kind": "sessions", "reached": 21.0, "amount": 31.0})
    '21 of 31 sessions'
    """
    if row["outcome"] in ("met", "dropped"):
        return str(row["outcome"])
    if row["outcome"] == "open":
        return "still open"
    if row["kind"] == "percent":
        return f"{row['reached']:.0f}% so far"
    if row["outcome"] == "partly" and row["kind"] in _UNITS and row["amount"] > 1:
        one, many = _UNITS[row["kind"]] if row["amount"] < 30 or row["kind"] != "event" else ("", "stitches")
        return f"{words.number(row['reached'])} of {words.count(row['amount'], one, many)}"
    return "partly" if row["outcome"] == "partly" else "not this time"


def bought(recap: Recap) -> Facts | None:
    """What was bought."""
    if recap.bought.empty:
        return None
    rows = tuple(f"{row['name']} ({_kind_and_place(row)})".replace(" ()", "") for row in each_record(recap.bought))
    cost = float(recap.bought["cost"].sum())
    spent = f" · {words.number(cost, 0 if cost.is_integer() else 2)} spent" if cost else ""
    return Facts("Bought", (words.count(len(rows), "thing") + spent,), rows=rows)


def _kind_and_place(row: Row) -> str:
    return ", ".join(t for t in (row["what"], f"from {row['from']}" if row["from"] else "") if t)


def draw_bought(recap: Recap, facts: Facts, size: str) -> Card:
    """The things with their pictures where there are some, else in a list."""
    card, y = parts.begin(size, recap.period.name, *facts.below)
    y = card.block(card.margin, y, facts.title, card.inner, 150, TITLES[1:], bold=True) + 26
    rows = list(each_record(recap.bought))
    images = [pictures.load(recap.folder, row["photo"], 1200) if row["photo"] else None for row in rows]
    down = card.height - card.margin - y
    if not any(images) or len(rows) > 4:
        parts.draw_list(card, facts.rows, (card.margin, y, card.inner, down), 2 if size == "wide" else 1)
        return card
    gap = 32
    if size == "wide":
        across = (card.inner - gap * (len(rows) - 1)) / len(rows)
        for i, (row, image) in enumerate(zip(rows, images, strict=True)):
            left = card.margin + i * (across + gap)
            _draw_thing(card, image, (left, y, across, down - 150))
            _draw_name(card, row, left, y + down - 138, across, 64)
        return card
    each = (down - gap * (len(rows) - 1)) / len(rows)
    across = (card.inner - gap) / 2
    for i, (row, image) in enumerate(zip(rows, images, strict=True)):
        top = y + i * (each + gap)
        _draw_thing(card, image, (card.margin, top, across, each))
        _draw_name(card, row, card.margin + across + gap, top + each / 2 - 80, across, 112)
    return card


def _draw_thing(card: Card, image: Image.Image | None, box: tuple[float, float, float, float]) -> None:
    """The picture of a thing, or a small motif where there is none."""
    if image:
        parts.draw_photo(card, image, box)
        return
    x, y, across, down = box
    card.box(*box, theme.RAMP[0])
    cell = min(across, down) / 8
    card.crosses(x + across / 2 - 2 * cell, y + down / 2 - 2 * cell, cell, 4, parts.MOTIF)


def _draw_name(card: Card, row: Row, x: float, y: float, across: float, down: float) -> None:
    low = card.block(x, y, row["name"], across, down, (46, 40, SMALL, 30), bold=True)
    card.block(x, low, _kind_and_place(row), across, 90, (SMALL, 32, 28), theme.QUIET)


def milestones(recap: Recap) -> Facts | None:
    """What was passed, and the next one within reach."""
    passed = recap.milestones["date"].notna()
    if not passed.any():
        return None
    marks = "".join("x" if p else "o" for p in passed)
    return Facts("Milestones", rows=tuple(review.say_milestones(recap.milestones)), marks=marks)


def next_month(recap: Recap) -> Facts | None:
    """What the next month holds, and how likely each of it is."""
    rows = list(each_record(recap.next_month))
    # A piece that is to be finished is not said a second time for its due day.
    goals = {row["piece"] for row in rows if row["what"] == "goal" and row["kind"] == "finish"}
    rows = [row for row in rows if row["what"] != "due" or row["piece"] not in goals]
    if not rows:
        return None
    return Facts(
        f"Next: {recap.coming.name}",
        rows=tuple(_planned(row) for row in rows),
        beside=tuple("" if pd.isna(row["chance"]) else words.likely(row["chance"]) for row in rows),
        marks="o" * len(rows),
    )


def _planned(row: Row) -> str:
    name = f"{row['name']}, {row['part']}" if row["part"] and row["part"] != row["piece"] else row["name"]
    if row["what"] == "due":
        return f"{row['piece'] or name} by {words.day(row['ends'], year=False)}"
    return f"{name} begins {words.day(row['starts'], year=False)}" if row["what"] == "begins" else name


def draw_list(recap: Recap, facts: Facts, size: str) -> Card:
    """Rows under a title, with what is said beside them where there is anything."""
    card, y = parts.begin(size, recap.period.name, *facts.below)
    y = card.block(card.margin, y, facts.title, card.inner, 260, TITLES[1:], bold=True) + 30
    low = card.height - card.margin
    if facts.figures:
        low -= 180
        parts.draw_figures(card, facts.figures, card.margin, low + 30, card.inner)
    if facts.beside:
        parts.draw_table(card, facts, y, low, size)
    else:
        parts.draw_rows(card, facts, y)
    return card


def closing(recap: Recap) -> Facts:
    """How many are on the go, what changed, and what waits."""
    now = int(recap.flow["on_the_go"].iloc[-1]) if len(recap.flow) else 0
    changed = [review.say_changes(recap.changes[recap.changes["change"] == c]) for c in ("finished", "started")]
    rest = (
        review.say_untouched(recap.untouched, recap.pieces),
        review.say_to_make_up(recap.to_make_up) if recap.made_up else "",
        review.say_waiting(recap.waiting),
    )
    rows = tuple(text for text in (*changed, *rest) if text)
    return Facts(words.count(now, "work in progress", "works in progress"), rows=rows)
