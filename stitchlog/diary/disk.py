"""Writing in a diary folder: one run at a time, whole or not at all, and what to say where it fails."""

from __future__ import annotations

import ctypes
import errno
import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from stitchlog.errors import StitchlogError

LOCK = ".stitchlog.lock"
# Seconds to wait for another run on the same folder.
PATIENCE = 120.0

_HERE = -100  # AT_FDCWD
_EXCHANGE = 2  # RENAME_EXCHANGE on Linux, RENAME_SWAP on macOS


@contextmanager
def locked(folder: Path) -> Iterator[None]:
    """Alone in the folder: two runs at once wait for each other. The lock goes with the process that holds it."""
    from filelock import FileLock, Timeout

    try:
        with FileLock(folder / LOCK, timeout=PATIENCE):
            yield
    except Timeout:
        raise StitchlogError(f"{folder}: another stitchlog is at work here; try again when it is done") from None


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
        raise NotADirectoryError(errno.ENOTDIR, "there is a file of that name", str(place))
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


def why(err: OSError) -> str:
    """Why something could not be written, and what to do about it."""
    if err.errno in (errno.ENOSPC, errno.EDQUOT, errno.EFBIG):
        return "there is no room on the disk; make room and run it again"
    if err.errno in (errno.EACCES, errno.EPERM, errno.EROFS):
        return "it is read-only; mend its rights, or copy the folder to a place you may write to"
    return f"{err.strerror or err}; look at the disk and run it again"
