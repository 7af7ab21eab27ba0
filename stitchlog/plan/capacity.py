"""Whether everything fits: the chance of each commitment, of all, and what to give up first."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from stitchlog.diary import Diary
from stitchlog.plan.coming import coming_days
from stitchlog.plan.commitments import commitments, each, touching
from stitchlog.plan.giving_up import alone_chances, chance_of_all, give_up, met_by
from stitchlog.plan.spending import Claim
from stitchlog.plan.stages import chains, standing
from stitchlog.plan.usual import good_day

# Beyond this nothing is foreseen.
FAR_DAYS = 5 * 366
# How far back a stitcher's pace and share of half stitches are taken from.
MONTHS = 6
_FIRST = ["event", "part", "piece", "target", "chance"]
_HIDDEN = ["half_counts", "days_kept", "left", "wanted", "claim"]
# Minutes more on each stitching day.
MORE = (0, 15, 30, 60)


@dataclass(frozen=True)
class Layout:
    """One simulation, laid out.

    rows: a commitment each, as `stages`, with needed; told: those that can be judged; claims: theirs; judged: which of
    these lie in the period, by place; shown: which of rows do; days: the simulated stitches (paths, days).
    """

    rows: pd.DataFrame
    told: pd.DataFrame
    claims: list[Claim]
    judged: list[int]
    shown: pd.Series
    days: np.ndarray


def capacity(
    diary: Diary,
    start: pd.Timestamp | str,
    end: pd.Timestamp | str,
    as_of: pd.Timestamp | str | None = None,
    paths: int = 2000,
    seed: int = 0,
) -> pd.DataFrame:
    """The chance of every commitment with a day from `start` to `end`, all served from the same simulated days.

    Columns: event ("due" for a piece's `due` day), part, piece ('' any), target (in `unit`), chance (0 to 1; NaN where
    it cannot be told), then starts, ends, kind, unit, per_unit, shared, worked, owed, carried, days_left,
    per_day_needed, status, label (as in `stages`), needed (stitches of the days to come; for starts pieces), alone (the
    chance if it were the only one), above_good_day (asks for more a day than a usual good day).
    .attrs: chance_all (everything whose chance can be told; 1 where there is nothing), give_up (labels, what to drop
    first, in order, so that the rest comes out together with 80 % or more; empty where all of it does), chance_rest
    (then), good_day (stitches), as_of, start, end, paths, seed.

    Chances hold if these commitments come first on every stitching day, the nearest end before the others; commitments
    that end between `as_of` and `start` are served too. The days to come are simulated from the diary's days up to
    `as_of`, all pieces together.
    """
    begin, last = pd.Timestamp(start), pd.Timestamp(end)
    day = diary.last_day if as_of is None else pd.Timestamp(as_of)
    plan = lay_out(diary, begin, last, day, paths, seed)
    rows, told, judged = plan.rows.assign(chance=np.nan, alone=np.nan), plan.told, plan.judged
    met = met_by(plan.days, plan.claims)
    rows.loc[told.index, "chance"] = met.mean(axis=0)
    alone = alone_chances(plan.days, plan.claims)
    rows.loc[told.index, "alone"] = alone
    good = good_day(diary, day)
    rows["above_good_day"] = (rows["unit"] != "pieces") & (rows["per_day_needed"] * rows["per_unit"] > good)
    dropped = give_up(plan.days, plan.claims, judged, alone=alone)
    served = [i for i in range(len(plan.claims)) if i not in dropped]
    out = rows[plan.shown].reset_index(drop=True)
    out = out[_FIRST + [c for c in out.columns if c not in [*_FIRST, *_HIDDEN]]]
    out.attrs = {
        "chance_all": float(met[:, judged].all(axis=1).mean()),
        "give_up": [str(told["label"].iloc[i]) for i in dropped],
        "chance_rest": chance_of_all(plan.days, plan.claims, served, [i for i in judged if i not in dropped]),
        "good_day": good,
        "as_of": day,
        "start": begin,
        "end": last,
        "paths": paths,
        "seed": seed,
    }
    return out


def more_time(
    diary: Diary,
    start: pd.Timestamp | str,
    end: pd.Timestamp | str,
    as_of: pd.Timestamp | str | None = None,
    minutes: tuple[int, ...] = MORE,
    paths: int = 2000,
    seed: int = 0,
) -> pd.DataFrame:
    """What more time on each stitching day would do for the commitments of the period.

    Columns: minutes (more a stitching day), stitches (that they bring, by the pace of the last months' timed sessions),
    chance_all, met (mean number of commitments met), of (commitments judged). No row where no session is timed, or
    where nothing is open that can be judged.
    """
    day = diary.last_day if as_of is None else pd.Timestamp(as_of)
    plan = lay_out(diary, pd.Timestamp(start), pd.Timestamp(end), day, paths, seed)
    pace = per_minute(diary, day)
    rows = []
    open_days = plan.days.shape[1] > 0
    for more in minutes if plan.judged and open_days and np.isfinite(pace) else ():
        met = met_by(plan.days + more * pace * (plan.days > 0), plan.claims)[:, plan.judged]
        rows.append((more, more * pace, float(met.all(axis=1).mean()), float(met.sum(axis=1).mean()), met.shape[1]))
    return pd.DataFrame(rows, columns=["minutes", "stitches", "chance_all", "met", "of"])


def per_minute(diary: Diary, day: pd.Timestamp) -> float:
    """Stitches a minute over the timed sessions of the last months, else over all of them (NaN: there are none)."""
    rows = diary.sessions[
        (diary.sessions["date"] <= day) & (diary.sessions["minutes"] > 0) & ~diary.sessions["estimated"]
    ]
    recent = rows[rows["date"] > day - pd.DateOffset(months=MONTHS)] if len(rows) else rows
    used = recent if len(recent) else rows
    return float(used["stitches"].sum() / used["minutes"].sum()) if len(used) else float("nan")


def lay_out(diary: Diary, start: pd.Timestamp, end: pd.Timestamp, day: pd.Timestamp, paths: int, seed: int) -> Layout:
    """The commitments that take stitches after `day` or have a day in the period, their claims, the days to come."""
    rows = commitments(diary)
    shown = touching(rows, start, end)
    coming = touching(rows, day + pd.Timedelta(days=1), end) | shown
    # Sections are judged with those before them, whose shortfall they carry.
    same = rows["event"].isin(rows.loc[coming & (rows["kind"] != "due"), "event"])
    rows = standing(diary, rows[coming | same | _beside_unshared(rows)], day)
    stitches = rows["per_unit"].where(rows["unit"] != "pieces", 1.0)
    rows["needed"] = rows["wanted"] * stitches / _worth(diary, rows, day)
    rows = rows[coming[rows.index]]
    rows["claim"] = _claims(rows, day)
    told = rows[rows["claim"].notna()]
    return Layout(
        rows=rows,
        told=told,
        claims=list(told["claim"]),
        judged=np.flatnonzero(shown[told.index]).tolist(),
        shown=shown[rows.index],
        days=coming_days(diary, day, told["ends"].max(), paths, seed),
    )


def _beside_unshared(rows: pd.DataFrame) -> pd.Series:
    """Which commitments share a day with one that keeps its stitches to itself: what that one took is not theirs."""
    beside = pd.Series(False, index=rows.index)
    for alone in each(rows[~rows["shared"]]):
        beside |= ~(rows["starts"] > alone.ends) & (rows["ends"] >= alone.starts)
    return beside


def _worth(diary: Diary, rows: pd.DataFrame, day: pd.Timestamp) -> pd.Series:
    """What a stitch counts in each event, by the halves of the last months (1 where they count as everywhere)."""
    out = pd.Series(1.0, index=rows.index)
    recent = diary.sessions[diary.sessions["date"] <= day]
    recent = recent[recent["date"] > day - pd.DateOffset(months=MONTHS)] if len(recent) else recent
    for row in each(rows[rows["half_counts"] != 0.5]):
        mine = recent if row.piece == "" else recent[recent["piece"] == row.piece]
        total = mine["stitches"].sum()
        if total > 0:
            out[row.Index] = max(0.0, 1 + (row.half_counts - 0.5) * mine["half"].fillna(0.0).sum() / total)
    return out


def _claims(rows: pd.DataFrame, day: pd.Timestamp) -> pd.Series:
    """The claim of each row on the days after `day` (None where its need, or a day so far off, cannot be told)."""
    closes = (rows["ends"] - day).dt.days - 1
    told = rows.index[rows["needed"].notna() & (closes < FAR_DAYS)]
    place = {index: i for i, index in enumerate(told)}
    before = {}
    for parts in chains(rows):
        ahead = [i for i in parts.index if i in place and closes[i] >= 0]
        before.update({later: place[earlier] for later, earlier in zip(ahead[1:], ahead[:-1], strict=True)})
    out = pd.Series(None, index=rows.index, dtype=object)
    for row in each(rows.loc[told]):
        out[row.Index] = Claim(
            opens=0 if pd.isna(row.starts) else max(0, (row.starts - day).days - 1),
            closes=int(closes[row.Index]),
            need=float(row.needed),
            piece=row.piece,
            shared=bool(row.shared),
            by_days=row.unit == "pieces",
            follows=before.get(row.Index),
        )
    return out
