"""Settings of a diary folder: `stitchlog.toml`, every value of which has a usual one."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass, fields
from pathlib import Path
from typing import Any

from stitchlog.errors import StitchlogError

FILE = "stitchlog.toml"


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
    return Settings(**raw)
