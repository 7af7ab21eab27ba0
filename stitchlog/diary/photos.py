"""Pictures in a diary folder, with the piece and the day that their folder and name give."""

from __future__ import annotations

import datetime as dt
import os
import re
import warnings
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

from stitchlog.diary import escaping, names
from stitchlog.diary.reading import dates
from stitchlog.diary.reading.problems import Wrong

if TYPE_CHECKING:
    from PIL.Image import Image

T = TypeVar("T")

FOLDER = "photos"
NAME, EXIF, NOTHING = "name", "EXIF", ""

# As cameras and phones write it in a name: 20260103 or 2026-01-03, and as people do where their order is known.
_YEAR_FIRST = re.compile(r"(?<!\d)((?:19|20)\d\d)([-_. ]?)(\d\d)\2(\d\d)(?!\d)")
_YEAR_LAST = re.compile(r"(?<!\d)(\d{1,2}([-_.])\d{1,2}\2(?:19|20)\d\d)(?!\d)")
_NO_LETTER = re.compile(r"[\W_]+")
# EXIF 3.0 (CIPA DC-008): when the picture was taken, when it was scanned, when the file was changed.
_EXIF_IFD, _TAKEN, _DIGITISED, _CHANGED = 0x8769, 0x9003, 0x9004, 0x0132


@dataclass(frozen=True)
class Photo:
    """A picture in the folder: its path from there, its piece, its day (None: not known) and what says the day."""

    path: str
    piece: str
    date: dt.date | None
    dated_by: str


def found(folder: Path, pieces: Iterable[str], order: str | None = None) -> list[Photo]:
    """Every picture under `photos/PIECE/` or named after a piece, in the order of their paths.

    A name is that of a piece where it begins with it; of several the longest counts. Capitals, accents, blanks and
    marks do not matter. order: `date_order` of the settings, for days in names that are not year first. A picture that
    cannot be opened has no EXIF and is there all the same.
    """
    by_key = {_key(piece): piece for piece in reversed(list(pieces))}
    longest = sorted((key for key in by_key if key), key=len, reverse=True)
    out = []
    for path in _pictures(folder):
        inside = path.relative_to(folder)
        piece = next((by_key[_key(part)] for part in inside.parts[1:-1] if _key(part) in by_key), None)
        if piece is None:
            stem = _key(inside.stem)
            key = next((key for key in longest if stem == key or stem.startswith(f"{key} ")), None)
            piece = by_key[key] if key else None
        if piece is not None and escaping.inside(folder, inside.as_posix()):
            day, by = _dated(path, order)
            out.append(Photo(inside.as_posix(), piece, day, by))
    return out


def named_day(name: str, order: str | None = None) -> dt.date | None:
    """The day that a file's name says.

    >>> named_day("IMG_20260103_181500.jpg"), named_day("otter 2026-01-03"), named_day("IMG_4711.jpg")
    (datetime.date(2026, 1, 3), datetime.date(2026, 1, 3), None)
    """
    for match in _YEAR_FIRST.finditer(name):
        try:
            return dt.date(int(match[1]), int(match[3]), int(match[4]))
        except ValueError:
            continue
    for match in _YEAR_LAST.finditer(name):
        try:
            return dates.read(match[1].replace("_", "."), dates.order_of([match[1].replace("_", ".")], order))
        except Wrong:
            continue
    return None


def opened(folder: str | Path, path: str, largest: int, work: Callable[[Image], T]) -> T | None:
    """What `work` makes of the picture `path` of the folder, opened safely.

    largest: pixels a side that are needed; formats that can are read no larger. None where the path leaves the folder,
    where the folder has no such picture, or where it cannot be opened.
    """
    from PIL import Image

    file = escaping.inside(folder, path)
    if file is None:
        return None
    with_heic()
    try:
        with warnings.catch_warnings():
            # A picture so large that opening it could exhaust the memory is not opened.
            warnings.simplefilter("error", Image.DecompressionBombWarning)
            warnings.simplefilter("ignore", UserWarning)
            with Image.open(file) as image:
                image.draft("RGB", (largest, largest))
                return work(image)
    except Exception:  # Pillow raises almost anything on a broken file
        return None


def with_heic() -> None:
    """Let Pillow read the pictures of phones that save HEIC, where the extra `heic` is installed."""
    try:
        import pillow_heif
    except ImportError:
        return
    pillow_heif.register_heif_opener()


def _pictures(folder: Path) -> list[Path]:
    """The picture files of the folder itself and of all below `photos`; links to folders are not followed."""
    listed = [path for path in _files(folder) if escaping.is_picture(path)]
    for place, inner, files in os.walk(folder / FOLDER):
        inner[:] = sorted(name for name in inner if not name.startswith("."))
        listed += [Path(place, name) for name in sorted(files) if escaping.is_picture(Path(name))]
    return [path for path in listed if not path.name.startswith(".")]


def _files(folder: Path) -> list[Path]:
    try:
        return sorted(path for path in folder.iterdir() if path.is_file())
    except OSError:
        return []


def _dated(path: Path, order: str | None) -> tuple[dt.date | None, str]:
    day = named_day(path.stem, order)
    if day is not None:
        return day, NAME
    day = _exif_day(path)
    return day, EXIF if day else NOTHING


def _exif_day(path: Path) -> dt.date | None:
    """The day that the camera wrote into the picture; None where there is none, or where it cannot be opened."""
    from PIL import Image

    with_heic()
    try:
        with Image.open(path) as image:
            exif = image.getexif()
            inner = exif.get_ifd(_EXIF_IFD)
            said = inner.get(_TAKEN) or inner.get(_DIGITISED) or exif.get(_CHANGED)
        return dt.datetime.strptime(str(said).strip("\0 ")[:10], "%Y:%m:%d").date() if said else None
    except Exception:  # Pillow raises almost anything on a broken file
        return None


def _key(name: str) -> str:
    return _NO_LETTER.sub(" ", names.plain(name)).strip()
