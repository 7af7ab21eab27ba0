"""The store: the diary's checked tables as Parquet beside the CSV files, replaced whole or not at all.

`DIR/store` holds a Parquet file a table, `problems.parquet`, and `left_out` as Parquet and as CSV. All files of one
store carry the same stamp: a digest of the bytes that they were read from. A store whose stamp is not that of the CSV
files as they are now is out of date, so reading again changes nothing and needs no clock.

A new store is written beside the old one, forced to the disk, and put in its place in one step of the file system.
Killed at any moment, what is there is the old store or the new one.
"""

from __future__ import annotations

import hashlib
import json
import os
import shutil
import tempfile
from collections.abc import Callable, Mapping
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import TypeVar

import pyarrow as pa
import pyarrow.parquet as pq

from stitchlog import __version__, counting, safe, settings, standard, swap, tables
from stitchlog.errors import StitchlogError, why
from stitchlog.lock import locked
from stitchlog.reading import Counts, Reading, Written, read_folder
from stitchlog.reading.reader import LEFT_OUT_COLUMNS, load

FOLDER = "store"
LEFT_OUT = "left_out.csv"
TABLES = ("sessions", "pieces", "events", "prompts", "threads", "colours", "chart_colours", "problems", "left_out")

# Raised whenever the store's tables change, so that stores of an older release are written anew.
FORMAT = 4
# Columns of a few names on many rows.
_FEW = {"sessions": ["piece", "file"], "colours": ["piece", "code", "file"]}
_STAMP, _ABOUT = b"stitchlog", b"about"
_PART = ".store-"

Kept = TypeVar("Kept")


@dataclass(frozen=True)
class Summary:
    """What one ingest did. skipped: the store was up to date already."""

    read: int
    stored: int
    left_out: int
    warnings: int
    skipped: bool
    counts: Mapping[str, Counts]

    def say(self) -> str:
        """One plain line."""
        done = "Nothing has changed since the store was written" if self.skipped else "The store is written"
        left = f"{self.left_out:,} left out" if self.left_out else "none left out"
        asked = f"; {self.warnings:,} to look at" if self.warnings else ""
        return f"{done}: {self.read:,} rows read, {self.stored:,} stored, {left}{asked}."


def ingest(folder: str | Path, needed: bool = True) -> Summary:
    """Bring the store of a diary folder up to date.

    needed: whether the store itself is wanted. Raises StitchlogError where there is no diary that can be read, or where
    a store that is needed cannot be written; the old store is then as it was.
    """
    folder = Path(folder)
    try:
        about, reading = _brought_up_to_date(folder, _about)
    except OSError as err:
        if needed:
            raise StitchlogError(
                f"{folder / FOLDER}: cannot be written, and what was stored before is still there: {why(err)}"
            ) from None
        about, reading = None, _in_memory(folder)
    if about is not None:
        counts = {file: Counts(**c) for file, c in about["counts"].items()}
        return _summary(counts, about["warnings"], skipped=True)
    assert reading is not None
    return _summary(reading.counts, _warnings(reading), skipped=False)


def up_to_date(folder: Path) -> Reading:
    """The worked-out tables of a folder: from its store, brought up to date; in memory where it cannot be written."""
    try:
        kept, fresh = _brought_up_to_date(folder, _read)
    except OSError:
        return _in_memory(folder)
    reading = fresh if kept is None else kept
    assert reading is not None
    return reading


def _brought_up_to_date(folder: Path, look: Callable[[Path, str], Kept | None]) -> tuple[Kept | None, Reading | None]:
    """What `look` finds in a store that is up to date; else the reading that was stored anew.

    Raises OSError where the store cannot be written.
    """
    signs = _signs(folder)
    contents = load(folder)
    stamp = _stamp(folder, contents)
    kept = look(folder, stamp)
    if kept is not None:
        return kept, None
    with locked(folder):
        # Another run may have changed the files, or done the work, meanwhile.
        if _signs(folder) != signs:
            contents = load(folder)
            stamp = _stamp(folder, contents)
        kept = look(folder, stamp)
        if kept is not None:
            return kept, None
        return None, _replaced(folder, read_folder(folder, contents), stamp)


def _signs(folder: Path) -> list[tuple[str, int, int]]:
    """By what a change of the files shows from one moment to the next."""
    paths = [folder / name for name in (*(t.file for t in tables.TABLES), settings.FILE)]
    stats = [(path.name, path.stat()) for path in paths if path.exists()]
    return [(name, stat.st_size, stat.st_mtime_ns) for name, stat in stats]


def _in_memory(folder: Path) -> Reading:
    return counting.worked_out(read_folder(folder))


def _stamp(folder: Path, contents: Mapping[str, bytes]) -> str:
    """A digest of everything that the store depends on."""
    digest = hashlib.sha256(f"{__version__} {FORMAT}\n".encode())
    for name, data in sorted(contents.items()):
        digest.update(f"{name} {len(data)}\n".encode())
        digest.update(data)
    return digest.hexdigest()


def _about(folder: Path, stamp: str) -> dict | None:
    """What the store says of itself, where all of it carries the stamp; None where it is out of date or not whole."""
    place = folder / FOLDER
    metadata: dict[bytes, bytes] = {}
    try:
        for name in TABLES:
            metadata = pq.read_metadata(place / f"{name}.parquet").metadata or {}
            if metadata.get(_STAMP) != stamp.encode():
                return None
        return json.loads(metadata[_ABOUT]) if (place / LEFT_OUT).is_file() else None
    except (OSError, pa.ArrowException, ValueError, KeyError):
        return None


def _read(folder: Path, stamp: str) -> Reading | None:
    """The store's tables where they carry the stamp; None where they are out of date, damaged or not there."""
    about = _about(folder, stamp)
    if about is None:
        return None
    found: dict[str, pa.Table] = {}
    try:
        for name in TABLES:
            file = pq.ParquetFile(folder / FOLDER / f"{name}.parquet", read_dictionary=_FEW.get(name))
            if (file.metadata.metadata or {}).get(_STAMP) != stamp.encode():
                return None  # replaced meanwhile
            found[name] = file.read().replace_schema_metadata()
    except (OSError, pa.ArrowException):
        return None
    problems, left_out = found.pop("problems"), found.pop("left_out")
    return Reading(
        folder=folder,
        settings=settings.parsed(load(folder).get(settings.FILE, b"")),
        tables=found,
        problems=problems,
        left_out=left_out,
        counts={file: Counts(**counts) for file, counts in about["counts"].items()},
        written={file: _written(written) for file, written in about["written"].items()},
    )


def _replaced(folder: Path, read: Reading, stamp: str) -> Reading:
    """Work the reading out and put it in the place of the store. Raises OSError; the old store is then as it was."""
    _sweep(folder)
    fresh = Path(tempfile.mkdtemp(prefix=_PART, dir=folder))
    try:
        with ThreadPoolExecutor() as pool:
            jobs: dict[str, Future[None]] = {}

            def write(name: str, table: pa.Table, about: bytes = b"") -> None:
                metadata = {_STAMP: stamp.encode(), **({_ABOUT: about} if about else {})}
                jobs[name] = pool.submit(_write, fresh / f"{name}.parquet", table, metadata)

            reading = counting.worked_out(read, ready=write)
            whole = {**reading.tables, "problems": reading.problems, "left_out": reading.left_out}
            for name in TABLES:
                if name not in jobs:
                    write(name, whole[name], _said(reading) if name == TABLES[-1] else b"")
            for job in jobs.values():
                job.result()
        rows = zip(*(reading.left_out[name].to_pylist() for name in LEFT_OUT_COLUMNS), strict=True)
        (fresh / LEFT_OUT).write_bytes(safe.csv_text(LEFT_OUT_COLUMNS, rows).encode("utf-8"))
        swap.to_disk(fresh / LEFT_OUT)
        os.chmod(fresh, 0o777 & ~_umask())
        swap.to_disk(fresh)
        standard.write(folder, reading)
        swap.into_place(fresh, folder / FOLDER)
    finally:
        shutil.rmtree(fresh, ignore_errors=True)
    swap.to_disk(folder)
    return reading


def _said(reading: Reading) -> bytes:
    """What the store says of itself, in the last of its files."""
    about = {
        "warnings": _warnings(reading),
        "counts": {file: asdict(counts) for file, counts in reading.counts.items()},
        "written": {file: {**asdict(w), "mark": w.mark.hex()} for file, w in reading.written.items()},
    }
    return json.dumps(about, sort_keys=True).encode()


def _write(path: Path, table: pa.Table, metadata: Mapping[bytes, bytes]) -> None:
    few = [f.name for f in table.schema if pa.types.is_dictionary(f.type) or pa.types.is_floating(f.type)]
    text = [f.name for f in table.schema if pa.types.is_dictionary(f.type) or pa.types.is_string(f.type)]
    rising = {f.name: "DELTA_BINARY_PACKED" for f in table.schema if f.name in ("date", "line")}
    with pq.ParquetWriter(
        path,
        table.schema.remove_metadata(),
        use_dictionary=few,
        column_encoding=rising,
        compression="snappy",
        # Smallest and largest values of texts serve nobody and cost as much as all the rest.
        write_statistics=[name for name in table.column_names if name not in text],
        # Other tools then see plain text in columns of a few names.
        store_schema=False,
    ) as out:
        out.write_table(table.replace_schema_metadata())
        out.add_key_value_metadata(metadata)
    swap.to_disk(path)


def _sweep(folder: Path) -> None:
    """Take away what a run that was killed has left behind. Only the holder of the lock comes here."""
    for path in folder.glob(f"{_PART}*"):
        if path.is_dir() and not path.is_symlink():
            shutil.rmtree(path, ignore_errors=True)


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask


def _written(about: Mapping) -> Written:
    lists = {name: tuple(about[name]) for name in ("headings", "columns", "other_days")}
    return Written(**{**about, **lists, "mark": bytes.fromhex(about["mark"])})


def _warnings(reading: Reading) -> int:
    return reading.problems["severity"].to_pylist().count("warning")


def _summary(counts: Mapping[str, Counts], warnings: int, skipped: bool) -> Summary:
    return Summary(
        read=sum(c.read for c in counts.values()),
        stored=sum(c.stored for c in counts.values()),
        left_out=sum(c.left_out for c in counts.values()),
        warnings=warnings,
        skipped=skipped,
        counts=counts,
    )
