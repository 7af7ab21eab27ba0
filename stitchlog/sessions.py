"""The stitches of every session worked out: fractions, counts to date, estimates.

What a session counts, in full stitches:

- with `stitches`, or with fractions or `unpicked` and no `so_far`: stitches + 0.5 half + 0.25 quarter + 0.75
  three_quarter - unpicked;
- with `so_far` and no `stitches`: what the piece's count rose by since the row before;
- with `minutes` and no other count: the minutes at the piece's own pace, else at the stitcher's over all pieces, and
  `estimated` says so. Pace is all stitches over all minutes of the sessions that have both. Estimates between two
  counts to date never add up to more than what the later count leaves for them.

Where a row has both `stitches` and `so_far`, `stitches` counts, and a warning tells where the two disagree.
"""

from __future__ import annotations

import numpy as np
import pyarrow as pa
import pyarrow.compute as pc

from stitchlog import arrays, safe, tables
from stitchlog.reading.checks import distinct
from stitchlog.reading.problems import Problems, brief

# Sustained paces outside these, in stitches an hour, are asked about (common practice, no source), never refused.
USUAL_PACE = (10.0, 600.0)
# A first count to date above this, with nothing known of before, is asked about.
LARGE_FIRST_COUNT = 1000.0
# Questions of one kind about values that may be right; a list that is cut says so.
MOST_ASKED = 100

_MEASURES = ("stitches", "half", "quarter", "three_quarter", "unpicked", "so_far", "minutes")


class Sessions:
    """The sessions of a diary, in order, on their way to what each one counts."""

    def __init__(self, diary: pa.Table, whose: np.ndarray, pieces: pa.Table, found: Problems) -> None:
        self.diary = diary
        self.whose = whose
        self.pieces = pieces
        self.found = found
        self.size = diary.num_rows
        self.has = {name: diary[name].null_count < self.size for name in _MEASURES}
        self.minutes = self._column("minutes")

    def _column(self, name: str) -> np.ndarray:
        return self.diary[name].to_numpy() if self.has[name] else np.full(self.size, np.nan)

    def table(self) -> pa.Table:
        own, counted, by_count = self._own()
        timed = self.minutes > 0
        untimed_zero = self.minutes == 0
        alone = ~counted & ~by_count & self._nothing_else()
        net = own
        before = pc.fill_null(self.pieces["done_before"], 0.0).to_numpy()
        if by_count.any() or alone.any():
            net = self._by_piece(own, counted, by_count, alone, timed, before)
        self._warn(net, counted, by_count, timed, untimed_zero & ~alone, before)
        return self._assembled(net, alone)

    def _own(self) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        """Each session's own count (0 where it has none), whether it has one, and whether it goes by `so_far`."""
        full = self._column("stitches")
        counted = ~np.isnan(full)
        own = np.where(counted, full, 0.0)
        other = np.zeros(self.size, dtype=bool)
        for name, worth in (*tables.FRACTIONS.items(), ("unpicked", -1.0)):
            if self.has[name]:
                part = self._column(name)
                there = ~np.isnan(part)
                own = own + worth * np.where(there, part, 0.0)
                other |= there
        if not self.has["so_far"]:
            return own, counted | other, np.zeros(self.size, dtype=bool)
        by_count = ~np.isnan(self._column("so_far")) & ~counted
        return np.where(by_count, 0.0, own), counted | (other & ~by_count), by_count

    def _nothing_else(self) -> np.ndarray:
        """Sessions that count no backstitch, knots or beads either."""
        out = np.ones(self.size, dtype=bool)
        for name in ("backstitch", "knots", "beads"):
            if self.diary[name].null_count < self.size:
                out &= np.isnan(self.diary[name].to_numpy())
        return out

    def _by_piece(
        self,
        own: np.ndarray,
        counted: np.ndarray,
        by_count: np.ndarray,
        alone: np.ndarray,
        timed: np.ndarray,
        before: np.ndarray,
    ) -> np.ndarray:
        """Counts to date and estimates, the sessions of each piece one after the other."""
        order = np.argsort(self.whose, kind="stable")
        whose = self.whose[order]
        runs = _Runs(whose, by_count[order], before)
        so_far, minutes = self._column("so_far")[order], self.minutes[order]
        net = own[order]
        estimated = alone[order]
        rises = runs.rises(net, so_far)
        # A rise that an estimate lies in tells nothing of the pace.
        unmixed = runs.sums(estimated.astype(float)) == 0
        fair = timed[order] & (counted[order] | (by_count[order] & unmixed[runs.run]))
        stitches = np.where(by_count[order], np.nan_to_num(rises), net)
        pace = _pace(stitches, minutes, fair, whose, len(before))
        guess = np.where(estimated, np.nan_to_num(minutes) * pace[whose], 0.0)
        guess = runs.at_most(guess, rises)
        net = net + guess
        net = np.where(by_count[order], np.nan_to_num(runs.rises(net, so_far)), net)
        self._no_pace(order[estimated & (pace[whose] == 0) & (np.nan_to_num(minutes) > 0)])
        out = np.empty(self.size)
        out[order] = net
        return out

    def _no_pace(self, rows: np.ndarray) -> None:
        reason = "only minutes are known, and no pace of yours yet"
        self._tell("no-pace", rows, "minutes", self.minutes, [reason] * len(rows))

    def _tell(self, code: str, rows: np.ndarray, column: str, values: np.ndarray, reasons: list[str]) -> None:
        lines = self.diary["line"].to_numpy()[rows]
        self.found.many(code, tables.DIARY.file, lines, column, [f"{values[i]:g}" for i in rows], reasons)

    def _ask(self, code: str, rows: np.ndarray, column: str, values: np.ndarray, reasons: list[str]) -> None:
        """Questions about values that may be right: the first ones, and how many more there are."""
        if len(rows) > MOST_ASKED:
            reasons = [*reasons[:-1], f"{reasons[-1]}; so it is with {len(rows) - MOST_ASKED:,} more"]
        self._tell(code, rows[:MOST_ASKED], column, values, reasons)

    def _warn(
        self,
        net: np.ndarray,
        counted: np.ndarray,
        by_count: np.ndarray,
        timed: np.ndarray,
        zero_minutes: np.ndarray,
        before: np.ndarray,
    ) -> None:
        rows = np.flatnonzero(zero_minutes)
        self._tell("zero-minutes", rows, "minutes", self.minutes, ["0 minutes are taken as not timed"] * len(rows))
        self._warn_of_pace(net, counted, timed)
        self._warn_of_photos()
        if self.has["so_far"]:
            self._warn_of_counts(net, by_count, before)
        self._warn_of_totals(net, before)

    def _warn_of_totals(self, net: np.ndarray, before: np.ndarray) -> None:
        """Pieces that come to more than they have, at the first session that goes beyond."""
        done = before + np.bincount(self.whose, net, len(before))
        totals = self.pieces["total"].to_numpy()
        beyond = done > totals + 0.5
        if not beyond.any():
            return
        rows = np.flatnonzero(beyond[self.whose])
        rows = rows[np.argsort(self.whose[rows], kind="stable")]
        for own in np.split(rows, np.flatnonzero(np.diff(self.whose[rows])) + 1):
            piece = self.whose[own[0]]
            over = np.flatnonzero(before[piece] + np.cumsum(net[own]) > totals[piece] + 0.5)
            reason = f"the piece has {totals[piece]:,.0f} stitches in all; the diary comes to {done[piece]:,.0f}"
            self._tell("beyond-total", own[over[:1]], "stitches", net, [reason])

    def _warn_of_pace(self, net: np.ndarray, counted: np.ndarray, timed: np.ndarray) -> None:
        if not self.has["minutes"]:
            return
        minutes = self.minutes
        fast = (net > minutes * (USUAL_PACE[1] / 60)) & (minutes >= 10)
        slow = (net < minutes * (USUAL_PACE[0] / 60)) & (minutes >= 60) & (net > 0)
        rows = np.flatnonzero((fast | slow) & timed & counted)
        reasons = [f"that is {net[i] / minutes[i] * 60:,.3g} stitches an hour" for i in rows[:MOST_ASKED]]
        self._ask("odd-pace", rows, "stitches", net, reasons)
        days = self.diary["date"].to_numpy().astype("datetime64[D]").astype(np.int64)
        if not len(days):
            return
        # Rows stand in order of date.
        new = np.flatnonzero(np.diff(days, prepend=days[0] - 1))
        sums = np.add.reduceat(np.where(self.minutes > 0, self.minutes, 0.0), new)
        over = np.flatnonzero(sums > 24 * 60)
        reasons = [f"the sessions of that day come to {sums[i]:,.0f} minutes" for i in over[:MOST_ASKED]]
        self._ask("long-day", new[over], "minutes", self.minutes, reasons)

    def _warn_of_photos(self) -> None:
        """Pictures whose path leads out of the folder."""
        held, different = distinct(self.diary["photo"])
        out = np.array([safe.leaves(photo) for photo in different.to_pylist()], dtype=bool)
        rows = np.flatnonzero(out[held]) if len(held) else held
        photos = self.diary["photo"].take(arrays.of(rows)).to_pylist()
        reasons = [f'"{brief(photo)}" is not in the diary folder' for photo in photos]
        lines = self.diary["line"].to_numpy()[rows]
        self.found.many("photo-outside", tables.DIARY.file, lines, "photo", photos, reasons)

    def _warn_of_counts(self, net: np.ndarray, by_count: np.ndarray, before: np.ndarray) -> None:
        order = np.argsort(self.whose, kind="stable")
        whose, so_far = self.whose[order], self._column("so_far")[order]
        starts = np.flatnonzero(np.diff(whose, prepend=-1))
        after = np.cumsum(net[order])
        offset = (after - net[order])[starts] - before[whose[starts]]
        after = after - np.repeat(offset, np.diff(np.append(starts, len(whose))))
        fell = np.flatnonzero(by_count[order] & (net[order] < -1e-6))
        reasons = [f"the count was {after[i] - net[order[i]]:,.10g} before" for i in fell]
        self._tell("count-fell", order[fell], "so_far", self._column("so_far"), reasons)
        both = ~by_count[order] & (np.abs(after - so_far) > 0.5)
        rows = np.flatnonzero(both)
        reasons = [f"with this session's stitches the count is {after[i]:,.10g}" for i in rows]
        self._tell("counts-disagree", order[rows], "so_far", self._column("so_far"), reasons)
        told = self.pieces["done_before"].is_null().to_numpy()
        first = by_count[order[starts]] & told[whose[starts]] & (net[order[starts]] > LARGE_FIRST_COUNT)
        reasons = [
            f"all {so_far[i]:,.10g} stitches so far are taken as worked in this first session" for i in starts[first]
        ]
        self._tell("first-count", order[starts[first]], "so_far", self._column("so_far"), reasons)

    def _assembled(self, net: np.ndarray, estimated: np.ndarray) -> pa.Table:
        minutes = np.where(self.minutes > 0, self.minutes, np.nan)
        worked = {
            "piece": pa.DictionaryArray.from_arrays(
                arrays.of(self.whose.astype(np.int32)), self.pieces["piece"].combine_chunks()
            ),
            "date": self.diary["date"],
            "stitches": arrays.of(net),
            "minutes": arrays.of(minutes),
            "estimated": arrays.of(estimated),
        }
        kept = ["half", "quarter", "three_quarter", "unpicked", "so_far", "backstitch", "knots", "beads"]
        kept += ["colours", "photo", "note"]
        out = {**worked, **{name: self.diary[name] for name in kept}}
        out["file"] = pa.DictionaryArray.from_arrays(arrays.of(np.zeros(self.size, np.int32)), [tables.DIARY.file])
        out["line"] = self.diary["line"]
        unknown = [name for name in self.diary.column_names if name not in out]
        return pa.table({**out, **{name: self.diary[name] for name in unknown}})


class _Runs:
    """Sessions sorted by piece, cut into runs that each end with a count to date (or with the piece)."""

    def __init__(self, whose: np.ndarray, by_count: np.ndarray, before: np.ndarray) -> None:
        size = len(whose)
        self.by_count = by_count
        new_piece = np.diff(whose, prepend=-1) != 0
        opens = new_piece.copy()
        opens[1:] |= by_count[:-1]
        self.run = np.cumsum(opens) - 1
        self.starts = np.flatnonzero(opens)
        self.ends = np.append(self.starts[1:], size) - 1 if size else self.starts
        self.fresh = new_piece[self.starts]
        self.before = before[whose[self.starts]]

    def sums(self, values: np.ndarray) -> np.ndarray:
        return np.add.reduceat(values, self.starts) if len(self.starts) else np.zeros(0)

    def rises(self, net: np.ndarray, so_far: np.ndarray) -> np.ndarray:
        """At the rows that go by a count to date: what it leaves for the session. NaN elsewhere."""
        if not len(self.starts):
            return np.zeros(0)
        counted = self.by_count[self.ends]
        ended = np.where(counted, so_far[self.ends], np.nan)
        began = np.where(self.fresh, self.before, np.roll(ended, 1))
        out = np.full(len(net), np.nan)
        own = self.sums(np.where(self.by_count, 0.0, net))
        out[self.ends] = ended - began - own
        return out

    def at_most(self, guess: np.ndarray, rises: np.ndarray) -> np.ndarray:
        """Estimates scaled down where they come to more than their run's count to date leaves."""
        if not len(self.starts):
            return guess
        room, wanted = rises[self.ends], self.sums(guess)
        with np.errstate(divide="ignore", invalid="ignore"):
            share = np.where((wanted > 0) & (room < wanted), np.maximum(room, 0.0) / wanted, 1.0)
        return guess * np.where(np.isnan(room), 1.0, share)[self.run]


def _pace(stitches: np.ndarray, minutes: np.ndarray, fair: np.ndarray, whose: np.ndarray, pieces: int) -> np.ndarray:
    """Stitches a minute of each piece; the stitcher's over all pieces where it has none, 0 where there is none."""
    worked = np.bincount(whose[fair], stitches[fair], pieces)
    time = np.bincount(whose[fair], minutes[fair], pieces)
    overall = worked.sum() / time.sum() if time.sum() > 0 else 0.0
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.maximum(np.where((time > 0) & (worked > 0), worked / time, overall), 0.0)
