"""The story of a period, piece by piece: how it came to be picked up, on what, with what, and what was noted."""

from __future__ import annotations

import math
from typing import Any

import pandas as pd

from stitchlog import words
from stitchlog.diary import Diary
from stitchlog.names import key_of
from stitchlog.review.period import Period, bounds
from stitchlog.review.pieces import pieces
from stitchlog.tags import meets

# A piece that rested this long (days) is said to be back, rather than carried on with.
REST = 14
SMALL_NUMBERS = ("no", "one", "two", "three", "four", "five", "six")


def story(diary: Diary, start: Any, end: Any) -> pd.DataFrame:
    """The frame of `pieces`, with what belongs in the telling.

    Added columns: arrival (how it came to be picked up: 'started', 'first' in the diary, 'again' after it was set
    aside, 'back' after REST days or more, 'on' otherwise); part_of (list of text: parts of its own events it was worked
    in, and those for a start of any piece that it was started in); prompts (list of text, one an event that it was
    worked in: the prompts of which it has the tags and the stitches); cloth ('32 count linen over two, two strands', ''
    where unknown); new_colours (list of text: colours that the piece had not had before, as they came); notes (list of
    (day, text)); before_photo, before_photo_date (the last picture at or before `start`; where there is none, the first
    of two or more in the period); after_photo, after_photo_date (the last picture in the period). Paths are as written,
    '' where there is none.
    """
    span = bounds(start, end)
    out = pieces(diary, span.start, span.end)
    seen = diary.sessions[(diary.sessions["date"] <= span.end) & diary.sessions["piece"].isin(out["piece"])]
    sessions = dict(iter(seen.groupby("piece")))
    about = {p["piece"]: p for p in diary.pieces.to_dict("records")}
    events = diary.events[(diary.events["starts"] <= span.end) & (diary.events["ends"] >= span.start)].to_dict(
        "records"
    )
    prompts = _of_events(diary.prompts, events)
    colours = _new_colours(diary, span)
    told: list[dict[str, Any]] = []
    for row in out.to_dict("records"):
        mine, piece = sessions[row["piece"]], about[row["piece"]]
        inside = mine[mine["date"] >= span.start]
        told.append(
            {
                "arrival": _arrival(row, piece),
                "part_of": _part_of(piece, row["started"], events, inside),
                "prompts": _prompts(prompts, piece, events, inside),
                "cloth": cloth(piece),
                "new_colours": colours.get(row["piece"], []),
                "notes": [
                    (d, " ".join(t.split())) for d, t in zip(inside["date"], inside["note"], strict=True) if t.strip()
                ],
                **_photos(mine[mine["photo"] != ""], span),
            }
        )
    columns = ["arrival", "part_of", "prompts", "cloth", "new_colours", "notes"]
    columns += ["before_photo", "before_photo_date", "after_photo", "after_photo_date"]
    added = pd.DataFrame(told, columns=columns, index=out.index)
    dates = ["before_photo_date", "after_photo_date"]
    return pd.concat([out, added.astype(dict.fromkeys(dates, "datetime64[us]"))], axis=1)


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


def _of_events(prompts: pd.DataFrame, events: list[dict[str, Any]]) -> list[dict[str, Any]]:
    named = {key_of(event["event"]) for event in events}
    return [p for p in prompts.to_dict("records") if key_of(p["event"]) in named] if named else []


def _part_of(piece: dict[str, Any], started: Any, events: list[dict[str, Any]], sessions: pd.DataFrame) -> list[str]:
    """Its own events' parts that it was worked in, and those that ask for any start, where it was started in them."""
    said: dict[str, None] = {}
    key = key_of(piece["piece"])
    for event in events:
        own = key_of(event["piece"]) == key and sessions["date"].between(event["starts"], event["ends"]).any()
        a_start = event["kind"] == "start" and not event["piece"] and event["starts"] <= started <= event["ends"]
        if own or a_start:
            said[say_part(event, key)] = None
    return list(said)


def say_part(event: dict[str, Any], key: str) -> str:
    """An event's row by its names: 'Winter Fox stitch-along (Section 5)'; a part that repeats the piece is left out."""
    return event["event"] if key_of(event["part"]) in ("", key) else f"{event['event']} ({event['part']})"


def _prompts(
    prompts: list[dict[str, Any]], piece: dict[str, Any], events: list[dict[str, Any]], sessions: pd.DataFrame
) -> list[str]:
    if not prompts:
        return []
    days, stitches = sessions["date"].to_numpy(), sessions["stitches"].to_numpy()
    done: dict[str, float] = {}
    for event in events:
        inside = (days >= event["starts"].to_datetime64()) & (days <= event["ends"].to_datetime64())
        done[key_of(event["event"])] = done.get(key_of(event["event"]), 0.0) + stitches[inside].sum()
    said: dict[str, list[str]] = {}
    for prompt in prompts:
        worked = done.get(key_of(prompt["event"]), 0.0)
        enough = worked > 0 and not worked < prompt["stitches"]
        if enough and meets(prompt["needs"], piece["tags"]):
            said.setdefault(prompt["event"], []).append(f"“{prompt['prompt']}”")
    return [f"{words.listed(found)} of {event}" for event, found in said.items()]


def _new_colours(diary: Diary, span: Period) -> dict[str, list[str]]:
    """By piece: the colours whose first day in it lies in the period, with their names, as they came."""
    names = dict(zip(diary.threads["code"].map(key_of), diary.threads["name"], strict=True))
    first = diary.colours[diary.colours["date"] <= span.end].drop_duplicates(["piece", "code"])
    fresh = first[first["date"] >= span.start]
    out: dict[str, list[str]] = {}
    for piece, code in zip(fresh["piece"], fresh["code"], strict=True):
        out.setdefault(piece, []).append(f"{code} {names.get(key_of(code), '')}".strip())
    return out


def _photos(with_photo: pd.DataFrame, span: Period) -> dict[str, Any]:
    none: tuple[str, Any] = ("", pd.NaT)
    photos = list(zip(with_photo["photo"], with_photo["date"], strict=True))
    inside = [p for p in photos if p[1] >= span.start]
    earlier = [p for p in photos if p[1] < span.start]
    after = inside[-1] if inside else none
    # A picture of the first day counts as the one at the start, unless it is the only one of the period.
    at_start = earlier + [p for p in inside[:-1] if p[1] == span.start]
    before = at_start[-1] if at_start else inside[0] if len(inside) > 1 else none
    return {
        "before_photo": before[0],
        "before_photo_date": before[1],
        "after_photo": after[0],
        "after_photo_date": after[1],
    }
