"""Writing in a diary folder: one run at a time, whole or not at all, and what to say where it fails."""

from __future__ import annotations

import ctypes
import errno
import hashlib
import json
import os
import shutil
import sys
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path

from stitchlog.errors import StitchlogError

LOCK = ".stitchlog.lock"
# Seconds to wait for another run on the same folder.
PATIENCE = 120.0

# Names the files of a change that is under way; whoever next is alone in the folder completes it.
PENDING = ".stitchlog.pending"
_FRESH = ".stitchlog-{}.new"

_HERE = -100  # AT_FDCWD
_EXCHANGE = 2  # RENAME_EXCHANGE on Linux, RENAME_SWAP on macOS


@contextmanager
def locked(folder: Path) -> Iterator[None]:
    """Alone in the folder: two runs at once wait for each other. The lock goes with the process that holds it.

    A change that was cut off is completed first. Not to be taken again by the run that holds it.
    """
    from filelock import FileLock, Timeout

    try:
        with FileLock(folder / LOCK, timeout=PATIENCE):
            _complete(folder)
            yield
    except Timeout:
        raise StitchlogError(f"{folder}: another stitchlog is at work here; try again when it is done") from None


def replace_together(folder: Path, files: Mapping[str, bytes | None]) -> None:
    """Give files of the folder new contents, by name (None: take the file away), all of them or none.

    The caller holds the lock. Killed at any moment, the files are as they were, or the next run that takes the lock
    completes the change. Links stay links and rights stay as they are. Raises OSError; all files are then as they were.
    """
    fresh = {name: _place(folder, name)[1] for name in files}
    before = {name: _held(folder / name) for name in files}
    pending, part = folder / PENDING, folder / (PENDING + "-new")
    try:
        for name, data in files.items():
            if data is not None:
                _write(fresh[name], data, like=folder / name)
        # From the moment this file is in its place, the change happens.
        steps = {name: [data is not None, _digest(before[name])] for name, data in files.items()}
        _write(part, json.dumps(steps).encode())
        for place in {folder, *(path.parent for path in fresh.values())}:
            to_disk(place)
        part.replace(pending)
        to_disk(folder)
        try:
            _complete(folder)
        except OSError:
            _put_back(folder, before)
            raise
    finally:
        if not pending.exists():
            for path in (part, *fresh.values()):
                path.unlink(missing_ok=True)


def _complete(folder: Path) -> None:
    """Put the files of a change that is under way in their places, where there is one."""
    pending = folder / PENDING
    if not pending.exists():
        # What a change left that was cut off before it began to happen.
        for path in (*folder.glob(_FRESH.format("*")), folder / (PENDING + "-new")):
            path.unlink(missing_ok=True)
        return
    for name, (stays, was) in json.loads(pending.read_bytes()).items():
        place, fresh = _place(folder, name)
        # What somebody has saved since the change was cut off is theirs.
        as_it_was = _digest(place.read_bytes() if place.exists() else None) == was
        if stays and as_it_was and fresh.exists():
            fresh.replace(place)
        elif not stays and as_it_was:
            place.unlink(missing_ok=True)
        fresh.unlink(missing_ok=True)
        to_disk(place.parent)
    pending.unlink()
    to_disk(folder)


def _held(path: Path) -> bytes | None:
    """A file's bytes, None where it is not there. Raises OSError also where it may be read and not written."""
    if not path.exists():
        return None
    with path.open("r+b") as file:
        return file.read()


def _digest(data: bytes | None) -> str | None:
    return None if data is None else hashlib.sha256(data).hexdigest()


def _put_back(folder: Path, before: Mapping[str, bytes | None]) -> None:
    for name, data in before.items():
        place, fresh = _place(folder, name)
        if data is None:
            place.unlink(missing_ok=True)
        elif place.read_bytes() != data:
            _write(fresh, data, like=place)
            fresh.replace(place)
    (folder / PENDING).unlink()


def _place(folder: Path, name: str) -> tuple[Path, Path]:
    """Where a file is, past any link, and where its new contents wait on the same disk."""
    place = (folder / name).resolve()
    return place, place.with_name(_FRESH.format(place.name))


def _write(path: Path, data: bytes, like: Path | None = None) -> None:
    """Write a file to the disk, with the rights of the one that it will replace."""
    with path.open("wb") as out:
        out.write(data)
        out.flush()
        os.fsync(out.fileno())
    if like is not None and like.exists():
        shutil.copymode(like, path)


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
            return bool(library.renamex_np(*paths, ctypes.c_uint(_EXCHANGE)) == 0)
        return bool(library.renameat2(_HERE, paths[0], _HERE, paths[1], ctypes.c_uint(_EXCHANGE)) == 0)
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
        return "it is read-only; change its rights, or copy the folder to a place you may write to"
    return f"{err.strerror or err}; look at the disk and run it again"
