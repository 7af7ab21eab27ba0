"""What was said for a month and what came of it: goals of goals.csv, sections of events, days that are due."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pandas as pd

from stitchlog.diary.diary import Diary
from stitchlog.diary.frames import each_record, each_row
from stitchlog.errors import StitchlogError
from stitchlog.model import forecast
from stitchlog.model.commitments.stages import stages
from stitchlog.model.period import ONE_DAY, Period, bounds

COLUMNS = ["goal", "piece", "kind", "amount", "reached", "outcome", "unit", "month"]
_UNITS = {"start": "pieces", "finish": "pieces", "due": "pieces"}
# Kinds that the diary itself can count; `event` and `due` come from events.csv and from due days.
COUNTED = ("stitches", "percent", "sessions", "start", "finish")
# Goals are offered at about these chances: a safe one, and one to stretch for.
_SAFE, _STRETCH = 0.8, 0.5


def month_of(month: Any) -> Period:
    """The month that '2026-10', a day or a period names. Raises StitchlogError where it names none."""
    day = month.start if isinstance(month, Period) else month
    try:
        first = pd.Timestamp(day).tz_localize(None).normalize().as_unit("us").replace(day=1)
    except (ValueError, TypeError, AttributeError):
        raise StitchlogError(f'"{month}" is not a month; write it as in 2026-10') from None
    return bounds(first, first + pd.offsets.MonthEnd(0))


def goals(diary: Diary, month: Any) -> pd.DataFrame:
    """Every goal of a month with what came of it, a row each: those of goals.csv, then sections of events and due days.

    Columns: goal (in the stitcher's words; an event's name, a piece that was due); piece ('' any); kind (stitches,
    percent, sessions, start, finish, event, due; '' where nothing can be counted); amount and reached (in the kind's
    unit: stitches, percent done, sessions, pieces; an event's parts, or the unit of its only part; NaN where nothing
    can be counted); unit ('stitches', 'percent', 'sessions', 'pieces', 'lengths', 'parts', ''); outcome ('met',
    'partly', 'not', 'dropped'; 'open' while the month is running, and where nobody wrote what came of a goal that
    cannot be counted); month (its first day). `percent` is how much of the piece is done at the end of the month. What
    an event asks of a piece, or its due day, is left out where goals.csv has a goal for that piece. The month is over
    at its last day; without a day chosen by `Diary.at`, once the diary has a session in it.
    """
    span = month_of(month)
    over = not diary.as_of < (span.end if diary.day is not None else span.start)
    then = diary if diary.day is not None and diary.day <= span.end else diary.at(span.end)
    written = diary.goals[diary.goals["month"] == f"{span.start:%Y-%m}"]
    rows = [_of_goal(then, row, span) for row in each_record(written)]
    spoken_for = set(written["piece"]) - {""}
    rows += [row for row in (*_of_events(then, span), *_of_due(then, span)) if row["piece"] not in spoken_for]
    for row in rows:
        row["outcome"] = _outcome(row, over)
        row.setdefault("unit", _UNITS.get(row["kind"], row["kind"]))
    out = pd.DataFrame(rows, columns=[*COLUMNS[:-1], "moved"]).astype({"amount": float, "reached": float})
    return out.assign(month=span.start)[COLUMNS].astype({"month": "datetime64[us]"})


def _outcome(row: dict[str, Any], over: bool) -> str:
    if row["outcome"] == "dropped" or math.isnan(row["amount"]):
        return row["outcome"] or "open"
    if row["reached"] >= row["amount"]:
        return "met"
    if not over:
        return "open"
    return "partly" if row["moved"] else "not"


def _of_goal(then: Diary, row: dict[str, Any], span: Period) -> dict[str, Any]:
    kind, piece = row["kind"], row["piece"]
    amount, reached, moved = np.nan, np.nan, False
    if kind in COUNTED and not (kind == "percent" and not piece):
        amount = row["amount"] if row["amount"] > 0 or kind not in ("start", "finish") else 1.0
        reached, moved = _reached(then, kind, piece, span)
    goal = row["goal"] or in_words(kind, piece, amount)
    return {"goal": goal, "piece": piece, "kind": kind, "amount": amount, "reached": reached} | {
        "moved": moved,
        "outcome": row["outcome"],
    }


def in_words(kind: str, piece: str, amount: float) -> str:
    """A goal without words of its own, in ours: '300 stitches on Otter Creek', 'finish Otter Creek'."""
    on = f" on {piece}" if piece else ""
    if kind in ("start", "finish"):
        return f"{kind} {piece or ('a piece' if amount == 1 else f'{amount:g} pieces')}"
    if kind == "percent":
        return f"{piece} to {amount:g}%"
    return f"{amount:,.0f} {kind}{on}"


def _reached(then: Diary, kind: str, piece: str, span: Period) -> tuple[float, bool]:
    """What the month came to in the unit of the kind, and whether anything was done towards it."""
    rows = then.sessions[then.sessions["date"].between(span.start, span.end)]
    rows = rows[rows["piece"] == piece] if piece else rows
    stitches = float(rows["stitches"].sum())
    if kind == "stitches":
        return stitches, stitches > 0
    if kind == "sessions":
        return float(len(rows)), len(rows) > 0
    now, old = then.standing(), then.standing(span.eve)
    if piece:
        now, old = now[now["piece"] == piece], old[old["piece"] == piece]
    if kind == "percent":
        share = float(now["share"].sum(min_count=1)) * 100
        return round(share, 6), stitches > 0
    column = "began" if kind == "start" else "finished"
    came = now[column].notna() if piece else now[column].between(span.start, span.end) & old[column].isna()
    return float(came.sum()), bool(came.any()) or (bool(piece) and kind == "finish" and stitches > 0)


def _of_events(then: Diary, span: Period) -> list[dict[str, Any]]:
    """A row an event with a part that ends in the month: how many of them were met, or what its only part has."""
    parts = stages(then)
    parts = parts[(parts["kind"] != "due") & parts["ends"].between(span.start, span.end)]
    found = []
    for event, mine in parts.groupby("event", sort=False):
        done = [_part(row) for row in each_record(mine)]
        amount, reached = done[0] if len(done) == 1 else (len(done), sum(r >= a for a, r in done))
        piece = mine["piece"].iloc[0] if len(set(mine["piece"])) == 1 else ""
        moved = any(r > 0 for _, r in done)
        # A section without a target asks for nothing that could be missed.
        asks = pd.notna(amount)
        found.append(
            {"goal": event, "piece": piece, "kind": "event", "amount": amount, "reached": reached}
            | {"unit": mine["unit"].iloc[0] if len(mine) == 1 else "parts"}
            | {"moved": moved, "outcome": "" if asks or not moved else "met"}
        )
    return found


def _part(row: dict[str, Any]) -> tuple[float, float]:
    """What a part asks and has; one that nothing is owed for (made up, its piece finished) has all it asks."""
    if row["kind"] == "finish":
        return 1.0, float(row["status"] in ("met", "piece finished"))
    has = row["target"] if row["status"] in ("met", "made up", "piece finished") else row["worked"]
    return row["target"], max(has, row["worked"]) if pd.notna(has) else row["worked"]


def _of_due(then: Diary, span: Period) -> list[dict[str, Any]]:
    due = then.pieces.loc[then.pieces["due"].between(span.start, span.end), "piece"]
    now, old = then.standing(), then.standing(span.eve)
    out = now.assign(before=old.set_index("piece").reindex(now["piece"])["done"].to_numpy())
    out = out[out["piece"].isin(due)]
    return [
        {"goal": row["piece"], "piece": row["piece"], "kind": "due", "amount": 1.0}
        | {"reached": float(pd.notna(row["finished"])), "moved": row["done"] > row["before"], "outcome": ""}
        for row in each_record(out)
    ]


def chance(diary: Diary, kind: str, piece: str, amount: float, start: Any, end: Any) -> float:
    """The chance, 0 to 1, that a goal for the days from `start` to `end` is met as things go (NaN: it cannot be told).

    kind, piece, amount: as in `goals`. What the days up to the diary's own have brought counts.
    """
    if (kind == "percent" and not piece) or kind not in COUNTED or math.isnan(amount):
        return np.nan
    span = bounds(start, end)
    reached, _ = _reached(diary, kind, piece, span)
    if reached >= amount:
        return 1.0
    if kind == "start" or (kind == "finish" and not piece):
        return np.nan
    if kind == "finish":
        return finish_chance(diary, piece, span.end)
    if kind == "percent":
        now = diary.standing()
        total = float(now.loc[now["piece"] == piece, "total"].iloc[0])
        return _worked_chance(diary, piece, (amount - reached) / 100 * total, Period(diary.as_of + ONE_DAY, span.end))
    return _worked_chance(diary, piece, amount - reached, span, kind == "sessions")


def finish_chance(diary: Diary, piece: str, by: Any) -> float:
    """The chance, 0 to 1, that a piece is finished by the end of a day (NaN: there is too little to go by)."""
    try:
        return forecast.finish(diary, piece).chance(by)
    except StitchlogError:
        return np.nan


def event_chance(diary: Diary, parts: pd.DataFrame) -> float:
    """The chance, 0 to 1, that all these parts of one event are met as things go (NaN: it cannot be told).

    parts: rows of `stages`. Parts are taken as they come, each from the days of its own.
    """
    if (parts["kind"] == "finish").all():
        return min((finish_chance(diary, row.piece, row.ends) for row in each_row(parts)), default=np.nan)
    met: np.ndarray | None = None
    for row in each_record(parts):
        need = row["per_day_needed"] * row["days_left"] * row["per_unit"]
        coming = _coming(diary, row["piece"], bounds(row["starts"], row["ends"]))
        if row["kind"] == "start" or math.isnan(need) or not len(coming):
            return np.nan
        done = coming >= need
        met = done if met is None else met & done
    return np.nan if met is None else float(met.mean())


def _worked_chance(diary: Diary, piece: str, need: float, span: Period, sessions: bool = False) -> float:
    """The chance that days from `span.start` to `span.end` bring so many stitches (or sessions) as things go."""
    coming = _coming(diary, piece, span, sessions)
    return float((coming >= need).mean()) if len(coming) and not math.isnan(need) else np.nan


def _coming(diary: Diary, piece: str, span: Period, sessions: bool = False) -> np.ndarray:
    """Stitches (or sessions) that those days of `span` bring that are to come, shape (paths,); none without a past."""

    def work() -> np.ndarray:
        ahead = (span.end - diary.as_of).days if len(diary.sessions) else 0
        if ahead <= 0:
            return np.array([])
        future = forecast.future(diary)
        if piece and piece not in future.pieces:
            return np.array([])
        days = (future.on(piece, ahead) if piece else future.daily(ahead))[:, max(0, _days_off(diary, span) - 1) :]
        return np.asarray((days > 0).sum(axis=1) if sessions else days.sum(axis=1))

    return diary.once(("coming", piece, span, sessions), work)


def _days_off(diary: Diary, span: Period) -> int:
    """How many days after the diary's own the period begins (below 1: it has begun)."""
    return (span.start - diary.as_of).days


def offers(diary: Diary, month: Any = None, most: int = 6) -> pd.DataFrame:
    """Goals that a month could have, a row each, likeliest first within their kind: what to say, and how likely it is.

    month: None for the one after the diary's day. Columns: goal (in words), piece, kind, amount, chance (as things go);
    a round number of stitches that is safe and one to stretch for, then for the pieces of the last two months a finish
    or the next tenth that is within reach. Goals that are written already are left out. Empty without a session.
    """
    span = month_of(diary.as_of + pd.offsets.MonthBegin(1) if month is None else month)
    if diary.sessions.empty:
        return pd.DataFrame(columns=["goal", "piece", "kind", "amount", "chance"])
    written = diary.goals[diary.goals["month"] == f"{span.start:%Y-%m}"]
    taken = set(zip(written["piece"], written["kind"], strict=True))
    found = []
    if ("", "stitches") not in taken and len(coming := _coming(diary, "", span)):
        for level in (_SAFE, _STRETCH):
            amount = _round(float(np.quantile(coming, 1 - level)))
            if amount > 0:
                found.append(("", "stitches", amount))
    recent = diary.sessions[diary.sessions["date"] > diary.as_of - pd.Timedelta(days=61)]
    by_work = recent.groupby("piece")["stitches"].sum().sort_values(ascending=False, kind="stable").index
    now = diary.standing().set_index("piece")
    for piece in by_work:
        row = now.loc[piece]
        if row["status"] != "on the go" or math.isnan(row["total"]) or piece in set(written["piece"]):
            continue
        found.append((piece, "finish", 1.0))
        found.append((piece, "percent", math.floor(row["share"] * 10 + 1) * 10.0))
    rows, seen = [], set[str]()
    for piece, kind, amount in found:
        likely = chance(diary, kind, piece, amount, span.start, span.end)
        # A finish within reach says more than the tenth before it.
        if likely < 1 / 3 or math.isnan(likely) or (kind == "percent" and (piece in seen or amount >= 100)):
            continue
        seen.add(piece) if piece else None
        rows.append((in_words(kind, piece, amount), piece, kind, amount, likely))
    out = pd.DataFrame(rows, columns=["goal", "piece", "kind", "amount", "chance"])
    return out.drop_duplicates(["piece", "kind", "amount"]).head(most).reset_index(drop=True)


def _round(amount: float) -> float:
    """Down to a number that one would say: two figures at most.

    >>> _round(2871.0), _round(96.0)
    (2800.0, 96.0)
    """
    if amount < 1:
        return 0.0
    unit = 10.0 ** max(0, math.floor(math.log10(amount)) - 1)
    return math.floor(amount / unit) * unit
