"""One folder for another in one step of the file system."""

from __future__ import annotations

import ctypes
import os
import sys
from pathlib import Path

_HERE = -100  # AT_FDCWD
_EXCHANGE = 2  # RENAME_EXCHANGE on Linux, RENAME_SWAP on macOS


def into_place(fresh: Path, place: Path) -> None:
    """Put the folder `fresh` where `place` is; what was there is then where `fresh` was, for the caller to take away.

    One step where the system can exchange two names (Linux, macOS). Elsewhere two renames with an instant between
    them in which `place` is not there; nothing is lost, since the next run writes it again from the CSV files.
    Raises OSError; `place` is then as it was.
    """
    place = place.resolve()
    if not os.path.lexists(place):
        os.rename(fresh, place)
        return
    if not place.is_dir():
        raise NotADirectoryError(20, "there is a file of that name", str(place))
    if _exchanged(fresh, place):
        return
    aside = fresh.with_name(fresh.name + "-old")
    os.rename(place, aside)
    try:
        os.rename(fresh, place)
    except OSError:
        os.rename(aside, place)
        raise
    os.rename(aside, fresh)


def _exchanged(one: Path, other: Path) -> bool:
    """Whether the system has exchanged the two names."""
    paths = (os.fsencode(one), os.fsencode(other))
    try:
        library = ctypes.CDLL(None, use_errno=True)
        if sys.platform == "darwin":
            return library.renamex_np(*paths, ctypes.c_uint(_EXCHANGE)) == 0
        return library.renameat2(_HERE, paths[0], _HERE, paths[1], ctypes.c_uint(_EXCHANGE)) == 0
    except (OSError, AttributeError, TypeError):
        return False


def to_disk(path: Path) -> None:
    """Wait until a file, or the names in a folder, are on the disk. Folders cannot be waited for on Windows."""
    if path.is_dir() and os.name == "nt":
        return
    handle = os.open(path, os.O_RDONLY if path.is_dir() else os.O_RDWR)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
