"""The story of a period, piece by piece: how it came to be picked up, on what, with what, and what was noted."""

from __future__ import annotations

import math
from typing import Any

import pandas as pd

from stitchlog import words
from stitchlog.diary.diary import Diary
from stitchlog.diary.frames import each_record
from stitchlog.diary.names import key_of
from stitchlog.diary.tags import meets
from stitchlog.model import pictures
from stitchlog.model.period import Period, bounds
from stitchlog.reports.review.pieces import pieces

# A piece that rested this long (days) is said to be back, rather than carried on with.
REST = 14
SMALL_NUMBERS = ("no", "one", "two", "three", "four", "five", "six")


def story(diary: Diary, start: Any, end: Any) -> pd.DataFrame:
    """The frame of `pieces`, with what belongs in the telling.

    Added columns: arrival (how it came to be picked up: 'started', 'first' in the diary, 'again' after it was set
    aside, 'back' after REST days or more, 'on' otherwise); events (list of names: those that it was worked for);
    part_of (list of text: parts of its own events it was worked in, and those for a start of any piece that it was
    started in); prompts (list of text, one an event that it was worked in: the prompts of which it has the tags and the
    stitches); cloth ('32 count linen over two, two strands', '' where unknown); new_colours (list of text: colours that
    the piece had not had before, as they came); notes (list of (day, text)); before_photo, before_photo_date,
    after_photo, after_photo_date, unreadable: as in `pictures.before_after`.
    """
    span = bounds(start, end)
    out = pieces(diary, span.start, span.end)
    seen = diary.sessions[(diary.sessions["date"] <= span.end) & diary.sessions["piece"].isin(out["piece"])]
    sessions = dict(iter(seen.groupby("piece")))
    about = {p["piece"]: p for p in each_record(diary.pieces)}
    running = (diary.events["starts"] <= span.end) & (diary.events["ends"] >= span.start)
    events = list(each_record(diary.events[running]))
    colours = _new_colours(diary, span)
    told: list[dict[str, Any]] = []
    for row in each_record(out):
        mine, piece = sessions[row["piece"]], about[row["piece"]]
        inside = mine[mine["date"] >= span.start]
        noted = inside[inside["note"].str.strip() != ""]
        worked_for = _worked_for(piece, row["started"], events, inside)
        prompts = _prompts(diary, piece, events, inside)
        told.append(
            {
                "arrival": _arrival(row, piece),
                "events": list(dict.fromkeys([*(event["event"] for event in worked_for), *prompts])),
                "part_of": list(dict.fromkeys(say_part(event, piece["piece"]) for event in worked_for)),
                "prompts": [f"{words.listed(found)} of {event}" for event, found in prompts.items()],
                "cloth": cloth(piece),
                "new_colours": colours.get(row["piece"], []),
                "notes": [(day, " ".join(t.split())) for day, t in zip(noted["date"], noted["note"], strict=True)],
            }
        )
    shown = pictures.before_after(diary, span.start, span.end)
    names = {"before": "before_photo", "after": "after_photo"}
    shown = shown.rename(columns=names | {f"{when}_date": f"{photo}_date" for when, photo in names.items()})
    columns = ["arrival", "events", "part_of", "prompts", "cloth", "new_colours", "notes"]
    added = pd.DataFrame(told, columns=columns, index=out.index)
    return pd.concat([out, added, shown.set_index("piece").reindex(out["piece"]).set_axis(out.index)], axis=1)


def cloth(piece: Any) -> str:
    """Cloth and thread as stitchers say it, from a row of `Diary.pieces`.

    >>> cloth({"count": 32.0, "over": 2.0, "strands": 2.0, "fabric": "linen"})
    '32 count linen over two, two strands'
    >>> cloth({"count": 14.0, "over": 1.0, "strands": 2.0, "fabric": "aida"})
    '14 count aida, two strands'
    """
    parts = [f"{piece['count']:g} count"] if piece["count"] > 0 else []
    if piece["fabric"]:
        parts.append(piece["fabric"])
    # Aida is worked over its blocks: nobody says 'over one' of it.
    if piece["over"] == 2 or (piece["over"] == 1 and "aida" not in piece["fabric"].casefold() and parts):
        parts.append(f"over {_small(piece['over'])}")
    text = " ".join(parts)
    if piece["strands"] > 0:
        thread = f"{_small(piece['strands'])} {'strand' if piece['strands'] == 1 else 'strands'}"
        text = f"{text}, {thread}" if text else thread
    return text


def _small(value: float) -> str:
    return SMALL_NUMBERS[int(value)] if value == int(value) and value < len(SMALL_NUMBERS) else words.number(value)


def _arrival(row: dict[str, Any], piece: dict[str, Any]) -> str:
    if not pd.isna(row["started"]):
        return "started"
    if math.isnan(row["days_since"]):
        return "first"
    before = row["first_session"] - pd.Timedelta(days=row["days_since"])
    if before <= piece["set_aside"] < row["first_session"]:
        return "again"
    return "back" if row["days_since"] >= REST else "on"


def _worked_for(
    piece: dict[str, Any], started: Any, events: list[dict[str, Any]], sessions: pd.DataFrame
) -> list[dict[str, Any]]:
    """Its own events' parts that it was worked in, and those that ask for any start, where it was started in them."""
    found = []
    for event in events:
        own = event["piece"] == piece["piece"] and sessions["date"].between(event["starts"], event["ends"]).any()
        a_start = event["kind"] == "start" and not event["piece"] and event["starts"] <= started <= event["ends"]
        if own or a_start:
            found.append(event)
    return found


def say_part(event: dict[str, Any], piece: str) -> str:
    """An event's row by its names: 'Winter Fox stitch-along (Section 5)'; a part that repeats the piece is left out."""
    return event["event"] if key_of(event["part"]) in ("", key_of(piece)) else f"{event['event']} ({event['part']})"


def _prompts(
    diary: Diary, piece: dict[str, Any], events: list[dict[str, Any]], sessions: pd.DataFrame
) -> dict[str, list[str]]:
    """Event -> its prompts of which the piece has the tags, and in its days of the period the stitches."""
    done: dict[str, float] = {}
    for event in events:
        inside = sessions["date"].between(event["starts"], event["ends"])
        key = key_of(event["event"])
        done[key] = done.get(key, 0.0) + sessions.loc[inside, "stitches"].sum()
    said: dict[str, list[str]] = {}
    for prompt in each_record(diary.prompts):
        worked = done.get(key_of(prompt["event"]), 0.0)
        enough = worked > 0 and not worked < prompt["stitches"]
        if enough and meets(prompt["needs"], piece["tags"]):
            said.setdefault(prompt["event"], []).append(f"“{prompt['prompt']}”")
    return said


def _new_colours(diary: Diary, span: Period) -> dict[str, list[str]]:
    """By piece: the colours whose first day in it lies in the period, with their names, as they came."""
    names = dict(zip(diary.threads["code"], diary.threads["name"], strict=True))
    first = diary.colours[diary.colours["date"] <= span.end].drop_duplicates(["piece", "code"])
    fresh = first[first["date"] >= span.start]
    fresh = fresh.assign(said=[f"{code} {names.get(code, '')}".strip() for code in fresh["code"]])
    return {str(piece): said for piece, said in fresh.groupby("piece")["said"].agg(list).items()}
