"""The diary as questions see it: checked tables, the stitches of every session worked out, nothing else."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Hashable
from dataclasses import dataclass, field, replace
from functools import cached_property
from pathlib import Path
from typing import Any, TypeVar

import numpy as np
import pandas as pd
import pyarrow as pa

from stitchlog import words
from stitchlog.diary import names, schema
from stitchlog.diary.reading import checks
from stitchlog.diary.reading.reader import Reading
from stitchlog.diary.settings import Settings
from stitchlog.diary.store import up_to_date
from stitchlog.errors import StitchlogError

# A day as callers may give it.
Day = dt.date | pd.Timestamp | str

T = TypeVar("T")

# So many pieces are named where one was not found.
_MOST_LISTED = 20

# Days of a piece that are not known before they come. A due day is: it is a plan.
_COMING = ("started", "finished", "set_aside", "made_up")


@dataclass(frozen=True, eq=False)
class Diary:
    """A diary folder, read. Frames are never changed in place.

    sessions: piece, date (datetime64), stitches (net, full-stitch equivalents), minutes (NaN: not timed), estimated
    (bool), half, quarter, three_quarter, unpicked, so_far, backstitch, knots, beads, colours (as written), photo, note,
    percent, file, line, then unknown columns as text; in the order of date, then file.
    pieces: as `schema.PIECES`, `total` worked out where width, height and coverage give it, and `known` (False where
    only the diary names it). colours: piece, date, code, stitches (NaN: not counted), file, line.
    events, prompts, threads, chart_colours, goals, bought, fabrics: as in `schema`. problems: severity, code, file,
    line, column, value, reason, mend. left_out: a row each, with its first problem and its text.
    """

    folder: Path
    settings: Settings
    sessions: pd.DataFrame
    pieces: pd.DataFrame
    events: pd.DataFrame
    prompts: pd.DataFrame
    threads: pd.DataFrame
    colours: pd.DataFrame
    chart_colours: pd.DataFrame
    problems: pd.DataFrame
    left_out: pd.DataFrame = field(default_factory=pd.DataFrame)
    goals: pd.DataFrame = field(default_factory=lambda: _empty(schema.GOALS))
    bought: pd.DataFrame = field(default_factory=lambda: _empty(schema.BOUGHT))
    fabrics: pd.DataFrame = field(default_factory=lambda: _empty(schema.FABRICS))
    day: pd.Timestamp | None = None
    _kept: dict[Hashable, object] = field(default_factory=dict, repr=False)

    @property
    def as_of(self) -> pd.Timestamp:
        """The day at whose end it is seen: the one chosen with `at`, else its last day (NaT where it is empty)."""
        return self.last_day if self.day is None else self.day

    def at(self, day: Day | None) -> Diary:
        """The diary as it stood at the end of `day`; itself where None.

        It holds no session, colour, purchase, start, finish, setting aside or making up of a later day, and no piece
        that only later sessions name. What is planned (due days, events, prompts, goals) stays.
        """
        if day is None or pd.isna(chosen := pd.Timestamp(day)):
            return self
        chosen = chosen.tz_localize(None).normalize()
        if chosen == self.day:
            return self
        return self.once(("at", chosen), lambda: self._at(chosen))

    def _at(self, day: pd.Timestamp) -> Diary:
        dated = {}
        for name in ("sessions", "colours", "bought"):
            frame = getattr(self, name)
            # A thing without a date has always been there.
            dated[name] = frame[~(frame["date"] > day)].reset_index(drop=True)
        pieces = self.pieces[self.pieces["known"] | self.pieces["piece"].isin(dated["sessions"]["piece"])]
        pieces = pieces.assign(**{c: pieces[c].where(~(pieces[c] > day)) for c in _COMING if c in pieces})
        return replace(self, **dated, pieces=pieces.reset_index(drop=True), day=day, _kept={})

    def once(self, key: Hashable, work: Callable[[], T]) -> T:
        """What `work` returns, worked out the first time that `key` is asked for and kept as long as this diary."""
        if key not in self._kept:
            self._kept[key] = work()
        return self._kept[key]  # type: ignore[return-value]

    @property
    def first_day(self) -> pd.Timestamp:
        """The first day of the diary (NaT where it is empty)."""
        day: pd.Timestamp = self.sessions["date"].min()
        return day

    @property
    def last_day(self) -> pd.Timestamp:
        """The last day of the diary (NaT where it is empty)."""
        day: pd.Timestamp = self.sessions["date"].max()
        return day

    def piece(self, name: str) -> str:
        """The piece as the diary spells it, by its name or by a part of it that no other piece's has.

        Raises StitchlogError, with the pieces that may be meant, or with all of them, where there is none.
        """
        known = self.pieces["piece"].tolist()
        meant = names.meant(name, known)
        if len(meant) == 1:
            return meant[0]
        if meant:
            raise StitchlogError(f'"{name}" may be {words.listed(meant, "or")}; write more of the name')
        more = f" and {len(known) - _MOST_LISTED} more" if len(known) > _MOST_LISTED else ""
        listed = f"the pieces are {', '.join(known[:_MOST_LISTED])}{more}" if known else "it has no pieces yet"
        raise StitchlogError(f'there is no piece "{name}" in this diary{names.hint(name, known)}; {listed}')

    def daily(self, piece: str | None = None) -> pd.Series:
        """Stitches a day, zeros included, from the first to the last day of the piece (of the diary where None)."""
        rows = self.sessions if piece is None else self.sessions[self.sessions["piece"] == self.piece(piece)]
        if rows.empty:
            return pd.Series(dtype=float, index=pd.DatetimeIndex([], name="date"), name="stitches")
        days = rows.groupby("date")["stitches"].sum()
        return days.reindex(pd.date_range(days.index[0], days.index[-1], name="date"), fill_value=0.0)

    def standing(self, as_of: Day | None = None) -> pd.DataFrame:
        """Where every piece stands at the end of the day `as_of` (None: the day the diary is seen at).

        Columns: piece, total, done, remaining (stitches; total and remaining NaN where unknown; remaining never below
        0), share (of total, 0 to 1), first_session, last_session, began (as written, else the first session where the
        diary saw the beginning), finished (as written, where not after `as_of`, else the day on which the count came to
        the total, from which it has not fallen again), set_aside (as written, where not after `as_of` and no later
        session shows that the piece was picked up again), status ('not begun', 'on the go', 'set aside', 'finished').
        """
        day = pd.Timestamp(self.as_of if as_of is None else as_of).to_datetime64().astype("M8[us]")
        index, days, counts = self._worked
        upto = 0 if np.isnat(day) else int(np.searchsorted(days, day, side="right"))
        index, days, counts = index[:upto], days[:upto], counts[:upto]
        total = self.pieces["total"].to_numpy(float)
        before = np.nan_to_num(self.pieces["done_before"].to_numpy(float))
        never = np.full(len(total), np.datetime64("NaT", "us"))
        # Sessions are in the order of their dates, and of several values for one place the last one stays.
        first, last, done, reached = never.copy(), never.copy(), before.copy(), never.copy()
        first[index[::-1]], last[index], done[index] = days[::-1], days, counts
        short = ~((total > 0)[index] & (counts >= total[index]))
        last_short = np.full(len(total), -1)
        last_short[index[short]] = np.flatnonzero(short)
        held = np.flatnonzero(np.arange(upto) > last_short[index])[::-1]
        reached[index[held]] = days[held]
        started, finished, aside = (self.pieces[c].to_numpy("M8[us]") for c in ("started", "finished", "set_aside"))
        began = np.where(np.isnat(started) & (before <= 0), first, started)
        began = np.where(began <= day, began, never)
        finished = np.where(finished <= day, finished, reached)
        aside = np.where((aside <= day) & ~(last > aside), aside, never)
        touched = ~np.isnat(began) | ~np.isnat(first) | (before > 0)
        status = np.where(touched, "on the go", "not begun")
        status = np.where(np.isnat(aside), status, "set aside")
        status = np.where(np.isnat(finished), status, "finished")
        return pd.DataFrame(
            {
                "piece": self.pieces["piece"].array,
                "total": total,
                "done": done,
                "remaining": np.maximum(total - done, 0.0),
                "share": np.clip(done / np.where(total > 0, total, np.nan), 0.0, 1.0),
                "first_session": first,
                "last_session": last,
                "began": began,
                "finished": finished,
                "set_aside": aside,
                "status": pd.array(status, dtype="str"),
            }
        )

    @cached_property
    def _worked(self) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        """Of each session, by date: its piece's place in `pieces`, its day, the piece's count after it."""
        places = pd.Index(self.pieces["piece"]).get_indexer(self.sessions["piece"])
        before = np.nan_to_num(self.pieces["done_before"].to_numpy(float))[places]
        counts = before + self.sessions["stitches"].groupby(places).cumsum().to_numpy(float)
        return places, self.sessions["date"].to_numpy("M8[us]"), counts


def open_diary(folder: str | Path) -> Diary:
    """The diary in `folder`. Raises StitchlogError, one line, where there is none that can be read."""
    return of(up_to_date(Path(folder)))


def _empty(table: schema.Table) -> pd.DataFrame:
    return _frame(pa.table({c.name: checks.nothing(c.kind, 0) for c in table.columns}))


def _frame(table: pa.Table) -> pd.DataFrame:
    plain = [pa.field(f.name, f.type.value_type if pa.types.is_dictionary(f.type) else f.type) for f in table.schema]
    frame: pd.DataFrame = table.cast(pa.schema(plain)).to_pandas()
    return frame


def of(reading: Reading) -> Diary:
    """The diary that a worked-out reading holds."""
    frames: dict[str, Any] = {name: _frame(table) for name, table in reading.tables.items()}
    return Diary(
        folder=reading.folder,
        settings=reading.settings,
        **frames,
        problems=reading.problems.to_pandas(),
        left_out=reading.left_out.to_pandas(),
    )
