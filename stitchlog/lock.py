"""One run at a time in a diary folder."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from stitchlog.errors import StitchlogError

FILE = ".stitchlog.lock"
# Seconds to wait for another run on the same folder.
PATIENCE = 120.0


@contextmanager
def locked(folder: Path) -> Iterator[None]:
    """Alone in the folder: two runs at once wait for each other. The lock goes with the process that holds it."""
    from filelock import FileLock, Timeout

    lock = FileLock(folder / FILE, timeout=PATIENCE)
    try:
        lock.acquire()
    except Timeout:
        raise StitchlogError(f"{folder}: another stitchlog is at work here; try again when it is done") from None
    try:
        yield
    finally:
        lock.release()
