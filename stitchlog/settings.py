"""Settings of a diary folder: `stitchlog.toml`, every value of which has a usual one."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass, fields
from pathlib import Path
from typing import Any

from stitchlog.errors import StitchlogError

FILE = "stitchlog.toml"


@dataclass(frozen=True)
class NextUp:
    """The table `[next_up]`: how many points each reason to pick up a piece next is worth at most, and what counts."""

    suits: float = 10.0  # has the tags that are asked for
    due: float = 3.0  # its due day or running section needs all of the usual sessions until then
    habit: float = 2.0  # its length of thread for the day is still to do
    want: float = 2.0  # is as far below its wanted share as can be
    nearly: float = 1.5  # finished in one more session
    untouched: float = 1.0  # not touched for `untouched_days`
    days: int = 28  # how far back wanted shares are held against given ones
    sessions: int = 5  # within how many sessions a piece counts as nearly finished
    untouched_days: float = 60.0


@dataclass(frozen=True)
class Settings:
    """What `stitchlog.toml` may say. Lengths in the unit that the name carries."""

    # How dates in the CSV files are written: "iso", "day-first" or "month-first". None: only what the column proves.
    date_order: str | None = None
    # First day of the week: "monday" or "sunday" (any day's English name).
    week_start: str = "monday"
    # Language of dates and numbers in reports, as a CLDR locale name.
    language: str = "en_GB"
    # Thread.
    strand_length_cm: float = 45.0
    skein_length_m: float = 8.0
    skein_strands: int = 6
    tail_cm: float = 4.0
    waste: float = 0.0
    # How crosses are worked: "row" (half crosses out, crossed coming back) or "each" (every cross before the next).
    method: str = "row"
    # What to pick up next: a table of its own, `[next_up]`.
    next_up: NextUp = NextUp()


def load(folder: Path) -> Settings:
    """The folder's settings. Raises StitchlogError, one line, where the file does not parse or names what is not known."""
    path = Path(folder) / FILE
    if not path.exists():
        return Settings()
    try:
        raw: dict[str, Any] = tomllib.loads(path.read_text("utf-8-sig"))
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as err:
        raise StitchlogError(f"{FILE}: cannot be read as settings: {err}; mend that line or take it out") from None
    known = {f.name: f for f in fields(Settings)}
    for name in raw:
        if name not in known:
            raise StitchlogError(f"{FILE}: {name} is not a setting; the settings are {', '.join(known)}")
    if "next_up" in raw:
        raw["next_up"] = _next_up(raw["next_up"])
    return Settings(**raw)


def _next_up(raw: Any) -> NextUp:
    if not isinstance(raw, dict):
        raise StitchlogError(f"{FILE}: next_up is a table; write [next_up] and its weights below it")
    known = {f.name for f in fields(NextUp)}
    for name, value in raw.items():
        if name not in known:
            raise StitchlogError(f"{FILE}: [next_up] {name} is not a setting; they are {', '.join(sorted(known))}")
        least = 1 if name in ("days", "sessions", "untouched_days") else 0
        if isinstance(value, bool) or not isinstance(value, (int, float)) or not value >= least:
            raise StitchlogError(f"{FILE}: [next_up] {name} is {value!r}; write a number, {least} or more")
        if name in ("days", "sessions") and value != int(value):
            raise StitchlogError(f"{FILE}: [next_up] {name} is {value!r}; write a whole number")
    return NextUp(**raw)
