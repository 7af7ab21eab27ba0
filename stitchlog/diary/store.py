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
from collections.abc import Mapping
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path

import pyarrow as pa
import pyarrow.parquet as pq

from stitchlog import __version__
from stitchlog.diary import counting, descriptor, disk, escaping, settings
from stitchlog.diary.reading.problems import WARNING
from stitchlog.diary.reading.reader import Counts, Reading, load, read_folder
from stitchlog.errors import StitchlogError

FOLDER = "store"
LEFT_OUT = "left_out.csv"
TABLES = (
    *("sessions", "pieces", "events", "prompts", "threads", "colours", "chart_colours", "goals", "bought", "fabrics"),
    *("problems", "left_out"),
)

# Raised whenever the store's tables change, so that stores of an older release are written anew.
FORMAT = 6
# Columns of a few names on many rows.
_FEW = {"sessions": ["piece", "file"], "colours": ["piece", "code", "file"]}
_STAMP, _COUNTS = b"stitchlog", b"rows"
_PART = ".store-"


@dataclass(frozen=True)
class Summary:
    """What one ingest did, in rows of all files. skipped: the store was up to date already."""

    read: int
    left_out: int
    warnings: int
    skipped: bool

    @property
    def stored(self) -> int:
        return self.read - self.left_out

    def say(self) -> str:
        """One plain line."""
        done = "Nothing has changed since the store was written" if self.skipped else "The store is written"
        left = f"{self.left_out:,} left out" if self.left_out else "none left out"
        asked = f"; {self.warnings:,} to look at" if self.warnings else ""
        rows = "1 row" if self.read == 1 else f"{self.read:,} rows"
        return f"{done}: {rows} read, {self.stored:,} stored, {left}{asked}."


def ingest(folder: str | Path) -> Summary:
    """Bring the store of a diary folder up to date.

    Raises StitchlogError where there is no diary that can be read, or where the store cannot be written; the old store
    is then as it was.
    """
    folder = Path(folder)
    try:
        reading, skipped = _brought_up_to_date(folder)
    except OSError as err:
        said = f"{folder / FOLDER}: cannot be written, and what was stored before is still there"
        raise StitchlogError(f"{said}: {disk.why(err)}") from None
    warnings = reading.problems["severity"].to_pylist().count(WARNING)
    return Summary(reading.read_rows, reading.left_out_rows, warnings, skipped)


def up_to_date(folder: Path) -> Reading:
    """The worked-out tables of a folder: from its store, brought up to date; in memory where it cannot be written."""
    try:
        return _brought_up_to_date(folder)[0]
    except OSError:
        return counting.worked_out(read_folder(folder))


def _brought_up_to_date(folder: Path) -> tuple[Reading, bool]:
    """What the store holds, written anew where it was out of date, and whether it was not.

    Raises OSError where the store cannot be written.
    """
    kept = _read(folder, load(folder))
    if kept is not None:
        return kept, True
    with disk.locked(folder):
        # Another run may have changed the files, or done the work, meanwhile.
        contents = load(folder)
        kept = _read(folder, contents)
        if kept is not None:
            return kept, True
        return _replaced(folder, contents), False


def _stamp(contents: Mapping[str, bytes]) -> str:
    """A digest of everything that the store depends on."""
    digest = hashlib.sha256(f"{__version__} {FORMAT}\n".encode())
    for name, data in sorted(contents.items()):
        digest.update(f"{name} {len(data)}\n".encode())
        digest.update(data)
    return digest.hexdigest()


def _read(folder: Path, contents: Mapping[str, bytes]) -> Reading | None:
    """The store's tables where all carry the stamp of `contents`; None where they are out of date or not whole."""
    place = folder / FOLDER
    if not (place / LEFT_OUT).is_file():
        return None
    stamp = _stamp(contents).encode()
    found: dict[str, pa.Table] = {}
    metadata: dict[bytes, bytes] = {}
    try:
        for name in TABLES:
            file = pq.ParquetFile(place / f"{name}.parquet", read_dictionary=_FEW.get(name))
            metadata = file.metadata.metadata or {}
            if metadata.get(_STAMP) != stamp:
                return None
            found[name] = file.read().replace_schema_metadata()
        counts = {file: Counts(*rows) for file, rows in json.loads(metadata[_COUNTS]).items()}
    except (OSError, pa.ArrowException, ValueError, KeyError):
        return None
    return Reading(
        folder=folder,
        settings=settings.parsed(contents.get(settings.FILE, b"")),
        problems=found.pop("problems"),
        left_out=found.pop("left_out"),
        tables=found,
        counts=counts,
    )


def _replaced(folder: Path, contents: Mapping[str, bytes]) -> Reading:
    """Read the files and put what they hold in the place of the store.

    Raises OSError; the old store is then as it was.
    """
    with ThreadPoolExecutor(1) as beside:
        stamp = beside.submit(_stamp, contents)
        read = read_folder(folder, contents)
    rows = {file: (counts.read, counts.stored) for file, counts in read.counts.items()}
    metadata = {_STAMP: stamp.result().encode(), _COUNTS: json.dumps(rows).encode()}
    # What a run that was killed has left behind. Only the holder of the lock comes here.
    for path in folder.glob(f"{_PART}*"):
        if path.is_dir() and not path.is_symlink():
            shutil.rmtree(path, ignore_errors=True)
    fresh = folder / f"{_PART}{os.getpid()}"
    fresh.mkdir()
    try:
        with ThreadPoolExecutor() as pool:
            jobs: dict[str, Future[None]] = {}

            def write(name: str, table: pa.Table) -> None:
                jobs[name] = pool.submit(_write, fresh / f"{name}.parquet", table, metadata)

            reading = counting.worked_out(read, ready=write)
            for name, table in {**reading.tables, "problems": reading.problems, "left_out": reading.left_out}.items():
                if name not in jobs:
                    write(name, table)
            for job in jobs.values():
                job.result()
        (fresh / LEFT_OUT).write_bytes(escaping.csv_text(reading.left_out).encode("utf-8"))
        disk.to_disk(fresh / LEFT_OUT)
        disk.to_disk(fresh)
        descriptor.write(folder, reading)
        disk.into_place(fresh, folder / FOLDER)
    finally:
        shutil.rmtree(fresh, ignore_errors=True)
    disk.to_disk(folder)
    return reading


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
        # Smallest and largest values of texts are of no use, and cost as much as all the rest.
        write_statistics=[name for name in table.column_names if name not in text],
        # Other tools then see plain text in columns of a few names.
        store_schema=False,
    ) as out:
        out.write_table(table.replace_schema_metadata())
        out.add_key_value_metadata(metadata)
    disk.to_disk(path)
