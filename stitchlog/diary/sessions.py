"""The stitches of every session worked out: fractions, counts to date, estimates.

What a session counts, in full stitches:

- with `stitches`, or with fractions or `unpicked` and no `so_far`: stitches + 0.5 half + 0.25 quarter + 0.75
  three_quarter - unpicked;
- with `so_far` and no `stitches`: what the piece's count rose by since the row before;
- with `percent` and neither of these: the piece's total times it is its count to date;
- with `minutes` and no other count: the minutes at the piece's own pace, else at the stitcher's over all pieces, and
  `estimated` says so. Pace is all stitches over all minutes of the sessions that have both. Estimates between two
  counts to date never add up to more than what the later count leaves for them.

Where a row has both `stitches` and `so_far`, `stitches` counts, and a warning tells where the two disagree.
"""

from __future__ import annotations

from functools import cached_property

import numpy as np
import pyarrow as pa
import pyarrow.compute as pc

from stitchlog.diary import escaping, schema
from stitchlog.diary.reading.checks import distinct
from stitchlog.diary.reading.problems import Problems, brief

# Sustained paces outside these, in stitches an hour, are asked about (common practice, no source), never refused.
USUAL_PACE = (10.0, 600.0)
# A first count to date above this, with nothing known of before, is asked about.
LARGE_FIRST_COUNT = 1000.0
# Questions of one kind about values that may be right; a list that is cut says so.
MOST_ASKED = 100

_WORTH = {"stitches": 1.0, **schema.FRACTIONS, "unpicked": -1.0}
_NOT_STITCHES = ("backstitch", "knots", "beads")


class Sessions:
    """The sessions of a diary, in order of date, on their way to what each one counts.

    whose: of each session its piece's place in `pieces`. Arrays have a value a session: own, its own count (0 where it
    has none); counted, whether it has one; by_count, whether it goes by `so_far`; estimated, whether by its minutes.
    """

    def __init__(self, diary: pa.Table, whose: np.ndarray, pieces: pa.Table, found: Problems) -> None:
        self.diary = diary
        self.whose = whose
        self.pieces = pieces
        self.found = found
        self.size = diary.num_rows
        self.before = pc.fill_null(pieces["done_before"], 0.0).to_numpy()
        self.minutes, self.so_far = self._column("minutes"), self._column("so_far")
        self.timed = self.minutes > 0
        self.own = np.zeros(self.size)
        some = np.zeros(self.size, dtype=bool)
        for name, worth in _WORTH.items():
            if self._holds(name):
                part = self._column(name)
                there = ~np.isnan(part)
                self.own += worth * np.where(there, part, 0.0)
                some |= there
        self.by_count = ~np.isnan(self.so_far) & np.isnan(self._column("stitches"))
        self._count_percentages(some)
        self.own[self.by_count] = 0.0
        self.counted = some & ~self.by_count
        self.estimated = ~self.counted & ~self.by_count
        for name in _NOT_STITCHES:
            if self._holds(name):
                self.estimated &= np.isnan(self._column(name))

    def _count_percentages(self, some: np.ndarray) -> None:
        """Takes percentages of a known total as counts to date, where a session has no count of its own (some)."""
        if not self._holds("percent"):
            return
        percent = self._column("percent")
        wanted = ~np.isnan(percent) & np.isnan(self.so_far) & ~some
        counts = percent / 100 * self.pieces["total"].to_numpy()[self.whose]
        self._tell("no-total", np.flatnonzero(wanted & np.isnan(counts)), "percent", percent, "the total is not known")
        wanted &= ~np.isnan(counts)
        self.so_far = np.where(wanted, counts, self.so_far)
        self.by_count = self.by_count | wanted

    def _holds(self, name: str) -> bool:
        return bool(self.diary[name].null_count < self.size)

    def _column(self, name: str) -> np.ndarray:
        return self.diary[name].to_numpy() if self._holds(name) else np.full(self.size, np.nan)

    @cached_property
    def _order(self) -> np.ndarray:
        """The sessions of each piece one after the other."""
        return np.argsort(self.whose, kind="stable")

    def table(self) -> pa.Table:
        """The sessions as `Diary.sessions`; what may be a slip is told on the way."""
        net = self._by_piece() if self.by_count.any() or self.estimated.any() else self.own
        zero = np.flatnonzero((self.minutes == 0) & ~self.estimated)
        self._tell("zero-minutes", zero, "minutes", self.minutes, "0 minutes are taken as not timed")
        self._warn_of_pace(net)
        self._warn_of_photos()
        self._warn_of_counts(net)
        return self._assembled(net)

    def _by_piece(self) -> np.ndarray:
        """What each session counts, counts to date and estimates among them.

        The sessions of each piece are cut into runs that each end with a count to date, or with the piece.
        """
        order = self._order
        whose, by_count, estimated, own = (a[order] for a in (self.whose, self.by_count, self.estimated, self.own))
        minutes, so_far = self.minutes[order], self.so_far[order]
        new_piece = np.diff(whose, prepend=-1) != 0
        opens = new_piece | np.append(False, by_count[:-1])
        run, first = np.cumsum(opens) - 1, np.flatnonzero(opens)
        last = np.append(first[1:], self.size) - 1

        def sums(values: np.ndarray) -> np.ndarray:
            return np.add.reduceat(values, first)

        ended = np.where(by_count[last], so_far[last], np.nan)
        began = np.where(new_piece[first], self.before[whose[first]], np.roll(ended, 1))
        # What the count to date leaves for a run's last session and its estimates; NaN where a run has no such count.
        room = ended - began - sums(own)
        rise = np.where(by_count, room[run], 0.0)
        # A rise that an estimate lies in tells nothing of the pace.
        unmixed = (sums(estimated.astype(float)) == 0)[run]
        fair = self.timed[order] & (self.counted[order] | (by_count & unmixed))
        pace = _pace(own + rise, minutes, fair, whose, len(self.before))
        guess = np.where(estimated, np.nan_to_num(minutes) * pace[whose], 0.0)
        wanted = sums(guess)
        with np.errstate(divide="ignore", invalid="ignore"):
            share = np.where((wanted > 0) & (room < wanted), np.maximum(room, 0.0) / wanted, 1.0)
        guess *= share[run]
        rows = order[estimated & (pace[whose] == 0) & (minutes > 0)]
        self._tell("no-pace", rows, "minutes", self.minutes, "only minutes are known, and no pace of yours yet")
        out = np.empty(self.size)
        out[order] = np.where(by_count, (room - sums(guess))[run], own + guess)
        return out

    def _tell(self, code: str, rows: np.ndarray, column: str, values: np.ndarray, reasons: list[str] | str) -> None:
        lines = self.diary["line"].to_numpy()[rows]
        self.found.many(code, schema.DIARY.file, lines, column, [f"{values[i]:g}" for i in rows], reasons)

    def _ask(self, code: str, rows: np.ndarray, column: str, values: np.ndarray, reasons: list[str]) -> None:
        """Questions about values that may be right: the first ones, and how many more there are."""
        if len(rows) > MOST_ASKED:
            reasons = [*reasons[:-1], f"{reasons[-1]}; so it is with {len(rows) - MOST_ASKED:,} more"]
        self._tell(code, rows[:MOST_ASKED], column, values, reasons)

    def _warn_of_pace(self, net: np.ndarray) -> None:
        """Sessions far from any usual pace, and days of more than 24 hours."""
        if not self.size or not self._holds("minutes"):
            return
        minutes = self.minutes
        fast = (net > minutes * (USUAL_PACE[1] / 60)) & (minutes >= 10)
        slow = (net < minutes * (USUAL_PACE[0] / 60)) & (minutes >= 60) & (net > 0)
        rows = np.flatnonzero((fast | slow) & self.timed & self.counted)
        reasons = [f"that is {net[i] / minutes[i] * 60:,.3g} stitches an hour" for i in rows[:MOST_ASKED]]
        self._ask("odd-pace", rows, "stitches", net, reasons)
        # Rows stand in order of date.
        days = self.diary["date"].to_numpy().astype("datetime64[D]").astype(np.int64)
        new = np.flatnonzero(np.diff(days, prepend=days[0] - 1))
        sums = np.add.reduceat(np.where(self.timed, minutes, 0.0), new)
        over = np.flatnonzero(sums > 24 * 60)
        reasons = [f"the sessions of that day come to {sums[i]:,.0f} minutes" for i in over[:MOST_ASKED]]
        self._ask("long-day", new[over], "minutes", minutes, reasons)

    def _warn_of_photos(self) -> None:
        """Pictures whose path leads out of the folder."""
        held, different = distinct(self.diary["photo"])
        out = [i for i, photo in enumerate(different.to_pylist()) if escaping.leaves(photo)]
        rows = np.flatnonzero(np.isin(held, out)) if out else np.empty(0, dtype=np.int64)
        told = self.diary.select(["line", "photo"]).take(rows)
        photos = told["photo"].to_pylist()
        reasons = [f'"{brief(photo)}" is not in the diary folder' for photo in photos]
        self.found.many("photo-outside", schema.DIARY.file, told["line"].to_pylist(), "photo", photos, reasons)

    def _warn_of_counts(self, net: np.ndarray) -> None:
        """Counts to date that fell, disagree or begin high, and pieces that come to more than they have."""
        done = self.before + np.bincount(self.whose, net, len(self.before))
        totals = self.pieces["total"].to_numpy()
        beyond = done > totals + 0.5
        if not self.size or not (beyond.any() or self._holds("so_far")):
            return
        after = self._counts_after(net)
        so_far = self.so_far
        rows = np.flatnonzero((after > totals[self.whose] + 0.5) & beyond[self.whose])
        _, first = np.unique(self.whose[rows], return_index=True)
        rows = rows[first]
        reasons = [
            f"the piece has {totals[piece]:,.0f} stitches in all; the diary comes to {done[piece]:,.0f}"
            for piece in self.whose[rows]
        ]
        self._tell("beyond-total", rows, "stitches", net, reasons)
        rows = np.flatnonzero(self.by_count & (net < -1e-6))
        reasons = [f"the count was {after[i] - net[i]:,.10g} before" for i in rows]
        self._tell("count-fell", rows, "so_far", so_far, reasons)
        rows = np.flatnonzero(~self.by_count & (np.abs(after - so_far) > 0.5))
        reasons = [f"with this session's stitches the count is {after[i]:,.10g}" for i in rows]
        self._tell("counts-disagree", rows, "so_far", so_far, reasons)
        piece, first = np.unique(self.whose, return_index=True)
        unknown = self.pieces["done_before"].is_null().to_numpy()[piece]
        rows = first[unknown & self.by_count[first] & (net[first] > LARGE_FIRST_COUNT)]
        reasons = [f"all {so_far[i]:,.10g} stitches so far are taken as worked in this first session" for i in rows]
        self._tell("first-count", rows, "so_far", so_far, reasons)

    def _counts_after(self, net: np.ndarray) -> np.ndarray:
        """The piece's count after each session."""
        order = self._order
        whose, sums = self.whose[order], np.cumsum(net[order])
        starts = np.flatnonzero(np.diff(whose, prepend=-1))
        earlier = (sums - net[order])[starts] - self.before[whose[starts]]
        out = np.empty(self.size)
        out[order] = sums - np.repeat(earlier, np.diff(np.append(starts, self.size)))
        return out

    def _assembled(self, net: np.ndarray) -> pa.Table:
        few = pa.array(self.whose.astype(np.int32))
        worked = {
            "piece": pa.DictionaryArray.from_arrays(few, self.pieces["piece"].combine_chunks()),
            "date": self.diary["date"],
            "stitches": pa.array(net),
            "minutes": pa.array(np.where(self.timed, self.minutes, np.nan), from_pandas=True),
            "estimated": pa.array(self.estimated),
        }
        out = {**worked, **{name: self.diary[name] for name in schema.DIARY.names if name not in worked}}
        out["file"] = pa.DictionaryArray.from_arrays(pa.array(np.zeros(self.size, np.int32)), [schema.DIARY.file])
        out["line"] = self.diary["line"]
        unknown = {name: self.diary[name] for name in self.diary.column_names if name not in out}
        return pa.table({**out, **unknown})


def _pace(stitches: np.ndarray, minutes: np.ndarray, fair: np.ndarray, whose: np.ndarray, pieces: int) -> np.ndarray:
    """Stitches a minute of each piece; the stitcher's over all pieces where it has none, 0 where there is none."""
    worked = np.bincount(whose[fair], stitches[fair], pieces)
    time = np.bincount(whose[fair], minutes[fair], pieces)
    overall = worked.sum() / time.sum() if time.sum() > 0 else 0.0
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.maximum(np.where((time > 0) & (worked > 0), worked / time, overall), 0.0)
