"""A diary folder to begin with: empty tables with their headings, and settings that explain themselves."""

from __future__ import annotations

from pathlib import Path

from stitchlog.diary import schema, settings
from stitchlog.errors import StitchlogError


def begin(folder: str | Path) -> list[Path]:
    """Make `folder` a diary folder. Returns the files written.

    Raises StitchlogError where a file of a diary is there already; then nothing is written.
    """
    folder = Path(folder)
    wanted = {folder / t.file: ",".join(t.names) + "\r\n" for t in schema.TABLES}
    wanted[folder / settings.FILE] = settings.explained()
    for path in wanted:
        if path.exists() or path.is_symlink():
            raise StitchlogError(f"{path}: is there already, and is left as it is; name a folder with no diary in it")
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for path, text in wanted.items():
            # "x" refuses a file that somebody else has made meanwhile.
            with path.open("x", encoding="utf-8", newline="") as out:
                out.write(text)
    except OSError as err:
        raise StitchlogError(f"{folder}: no diary can be begun here: {err.strerror}; name another folder") from None
    return list(wanted)
