"""Settings of a diary folder: `stitchlog.toml`, every value of which has a usual one."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, fields
from pathlib import Path
from typing import Any

from stitchlog.errors import StitchlogError

FILE = "stitchlog.toml"

WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
# Other ways in which people write the order of dates.
_ORDERS = {
    **dict.fromkeys(("day-first", "dmy", "d/m/y", "dd/mm/yyyy", "dd.mm.yyyy", "day/month/year"), "day-first"),
    **dict.fromkeys(("month-first", "mdy", "m/d/y", "mm/dd/yyyy", "month/day/year"), "month-first"),
    **dict.fromkeys(("iso", "ymd", "y-m-d", "yyyy-mm-dd", "year-first", "year-month-day"), "iso"),
}


def setting(usual: Any, says: str, least: float | None = None, most: float = math.inf, one_of: Any = None) -> Any:
    """A field of Settings: its usual value, what it says in words, and what it may be.

    least, most: bounds of a number. one_of: the words allowed, or a dictionary from words to what they mean.
    """
    words = {word: word for word in one_of} if isinstance(one_of, tuple) else one_of
    return field(default=usual, metadata={"says": says, "least": least, "most": most, "words": words})


@dataclass(frozen=True)
class NextUp:
    """The table `[next_up]`: how many points each reason to pick up a piece next is worth at most, and what counts."""

    suits: float = setting(10.0, "it has the tags you asked for", 0)
    due: float = setting(3.0, "its due day or current section needs all your usual sessions until then", 0)
    habit: float = setting(2.0, "you have not stitched its length of thread today", 0)
    below_want: float = setting(2.0, "it is far below the share you wanted for it", 0)
    nearly: float = setting(1.5, "one more session would finish it", 0)
    untouched: float = setting(1.0, "you have not stitched on it for `untouched_days`", 0)
    days: int = setting(28, "how many days back the shares are counted", 1)
    sessions: int = setting(5, "a piece with this many sessions to go counts as nearly finished", 1)
    untouched_days: float = setting(60.0, "days without a stitch that earn all the points of `untouched`", 1)


@dataclass(frozen=True)
class Settings:
    """What `stitchlog.toml` may say. Lengths in the unit that the name carries."""

    date_order: str | None = setting(
        None,
        'how dates that are not year-month-day are written: "day-first" (31/10/2026) or "month-first" (10/31/2026); '
        '"iso": year-month-day only; not set: only what a column itself makes clear',
        one_of=_ORDERS,
    )
    week_start: str = setting("monday", "the first day of the week", one_of=WEEKDAYS)
    language: str = setting(
        "en_GB", "how reports write days and numbers: an English locale, as in en_GB, en_US or en_IE"
    )
    strand_length_cm: float = setting(45.0, "one length of thread, as cut", 1)
    skein_length_m: float = setting(8.0, "thread in a skein", 0.1)
    skein_strands: int = setting(6, "strands in the thread of a skein", 1)
    tail_cm: float = setting(4.0, "thread lost at each end of a length", 0)
    waste: float = setting(0.0, "thread lost to knots, trials and fraying, as a share", 0, 0.95)
    method: str = setting(
        "row",
        '"row": half crosses out, crossed coming back; "each": every cross finished before the next',
        one_of=("row", "each"),
    )
    # What to pick up next: a table of its own, `[next_up]`.
    next_up: NextUp = NextUp()
    # The stitcher's own words for the headings of a sheet, a list a meaning: `[headings]`.
    headings: Mapping[str, tuple[str, ...]] = field(default_factory=dict, hash=False)
    # What was answered about each file taken in, by its name: `[import."name.xlsx"]`.
    imports: Mapping[str, Mapping[str, str]] = field(default_factory=dict, hash=False)


def of(folder: Path) -> Settings:
    """The settings of a diary folder; the usual ones where it has no `stitchlog.toml`. Raises StitchlogError."""
    path = folder / FILE
    return parsed(path.read_bytes() if path.is_file() else b"")


def parsed(data: bytes) -> Settings:
    """The settings in the bytes of a `stitchlog.toml`.

    Raises StitchlogError, one line, where they do not parse or say what cannot be.
    """
    import tomllib

    try:
        raw = tomllib.loads(data.decode("utf-8-sig"))
    except (tomllib.TOMLDecodeError, UnicodeDecodeError, RecursionError) as err:
        why = " ".join(str(err).split())
        raise StitchlogError(f"{FILE}: cannot be read as settings: {why}; fix that line or take it out") from None
    inner = raw.pop("next_up", {})
    if not isinstance(inner, dict):
        raise StitchlogError(f"{FILE}: next_up is a table; write [next_up] and its weights below it")
    headings, imports = _words(raw.pop("headings", {})), _answers(raw.pop("import", {}))
    return Settings(
        **_checked(Settings, raw, ""),
        next_up=NextUp(**_checked(NextUp, inner, "[next_up] ")),
        headings=headings,
        imports=imports,
    )


def explained() -> str:
    """A file of settings that says what each one is, all of them commented out."""
    lines = [
        "# Settings of this diary. To change one, take the # off its line. A line with a # keeps its usual value.",
        "",
    ]
    lines += _lines(Settings)
    lines += ["# What to pick up next: the most points a piece can get for each reason.", "[next_up]", ""]
    lines += _lines(NextUp)
    lines += [
        "# Your own words for the headings of a spreadsheet that you import, a list for each column.",
        "[headings]",
    ]
    return "\n".join([*lines, '# stitches = ["kreuzchen"]', ""])


def _lines(kind: type) -> list[str]:
    import textwrap

    lines: list[str] = []
    for known in fields(kind):
        if known.metadata:
            usual = "day-first" if known.default is None else known.default
            text = f'"{usual}"' if isinstance(usual, str) else f"{usual:g}"
            lines += textwrap.wrap(known.metadata["says"], 100, initial_indent="# ", subsequent_indent="# ")
            lines += [f"# {known.name} = {text}", ""]
    return lines


def _words(raw: Any) -> dict[str, tuple[str, ...]]:
    lists = isinstance(raw, dict) and all(
        isinstance(w, list) and all(isinstance(x, str) for x in w) for w in raw.values()
    )
    if not lists:
        raise StitchlogError(f'{FILE}: [headings] wants a list of words a meaning, as in stitches = ["kreuzchen"]')
    return {name: tuple(words) for name, words in raw.items()}


def _answers(raw: Any) -> dict[str, dict[str, str]]:
    texts = isinstance(raw, dict) and all(
        isinstance(told, dict) and all(isinstance(x, str) for x in told.values()) for told in raw.values()
    )
    if not texts:
        raise StitchlogError(f'{FILE}: [import."file"] holds texts, as in dates = "day-first"; take the others out')
    return {file: dict(told) for file, told in raw.items()}


def _checked(kind: type, raw: dict[str, Any], where: str) -> dict[str, Any]:
    known = {f.name: f for f in fields(kind) if f.metadata}
    for name in raw:
        if name not in known:
            raise StitchlogError(f"{FILE}: {where}{name} is not a setting; the settings are {', '.join(known)}")
    return {name: _value(f"{where}{name}", value, known[name]) for name, value in raw.items()}


def _value(name: str, value: Any, known: Any) -> Any:
    about = known.metadata
    said = repr(value) if not isinstance(value, str) else f'"{value}"'
    if about["least"] is None:
        if not isinstance(value, str):
            raise StitchlogError(f"{FILE}: {name} is {said}; write it in double quotes, as text")
        if about["words"] is None:
            return value
        word = value.strip().casefold()
        if word not in about["words"]:
            allowed = " or ".join(f'"{w}"' for w in dict.fromkeys(about["words"].values()))
            raise StitchlogError(f"{FILE}: {name} is {said}; write {allowed}")
        return about["words"][word]
    whole = known.type == "int"
    fits = isinstance(value, (int, float)) and not isinstance(value, bool) and about["least"] <= value <= about["most"]
    if not fits or (isinstance(value, float) and not math.isfinite(value)) or (whole and value != int(value)):
        kind = "a whole number" if whole else "a number"
        span = (
            f"{about['least']:g} or more" if about["most"] == math.inf else f"{about['least']:g} to {about['most']:g}"
        )
        raise StitchlogError(f"{FILE}: {name} is {said}; write {kind}, {span}")
    return int(value) if whole else float(value)
