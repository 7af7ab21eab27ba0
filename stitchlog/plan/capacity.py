"""Whether everything fits: the chance of each commitment, of all, and what to give up first."""

from __future__ import annotations

import numpy as np
import pandas as pd

from stitchlog.diary import Diary
from stitchlog.forecast.paths import simulate_days
from stitchlog.plan.care import MONTHS, good_day
from stitchlog.plan.commitments import commitments, each, touching
from stitchlog.plan.giving_up import alone_chances, chance_of_all, give_up, met_by
from stitchlog.plan.spending import Claim
from stitchlog.plan.stages import chains, standing

# Beyond this nothing is foreseen.
FAR_DAYS = 5 * 366
_HIDDEN = ["half_counts", "days_kept", "left", "wanted", "claim"]


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
    rows = _wanted(diary, begin, last, day)
    good = good_day(diary, day)
    rows["above_good_day"] = (rows["unit"] != "pieces") & (rows["per_day_needed"] * rows["per_unit"] > good)
    shown = touching(rows, begin, last)
    told = rows[rows["claim"].notna()]
    days = coming_days(diary, day, told["ends"].max(), paths, seed)
    claims, judged = list(told["claim"]), np.flatnonzero(shown[told.index]).tolist()
    met = met_by(days, claims)
    rows.loc[told.index, "chance"] = met.mean(axis=0)
    rows.loc[told.index, "alone"] = alone_chances(days, claims)
    dropped = give_up(days, claims, judged)
    kept = [i for i in judged if i not in dropped]
    out = rows[shown].reset_index(drop=True)
    first = ["event", "part", "piece", "target", "chance"]
    out = out[first + [c for c in out.columns if c not in [*first, *_HIDDEN]]]
    out.attrs = {
        "chance_all": float(met[:, judged].all(axis=1).mean()),
        "give_up": [str(told["label"].iloc[i]) for i in dropped],
        "chance_rest": chance_of_all(days, claims, [i for i in range(len(claims)) if i not in dropped], kept),
        "good_day": good,
        "as_of": day,
        "start": begin,
        "end": last,
        "paths": paths,
        "seed": seed,
    }
    return out


def coming_days(diary: Diary, day: pd.Timestamp, until: pd.Timestamp, paths: int, seed: int) -> np.ndarray:
    """Simulated stitches a day after `day` up to `until`, all pieces together, shape (paths, days)."""
    ahead = 0 if pd.isna(until) else max(0, (until - day).days)
    daily = diary.daily()
    if daily.empty or daily.index[0] > day:
        return np.zeros((paths, ahead))
    daily = daily.reindex(pd.date_range(daily.index[0], day), fill_value=0.0)
    return simulate_days(daily, ahead, paths, seed)


def _wanted(diary: Diary, start: pd.Timestamp, end: pd.Timestamp, day: pd.Timestamp) -> pd.DataFrame:
    """The commitments that take stitches after `day`, or have a day in the period, with the claim that each makes."""
    rows = commitments(diary)
    coming = touching(rows, day + pd.Timedelta(days=1), end) | touching(rows, start, end)
    # Sections are judged with those before them, whose shortfall they carry.
    same = rows["event"].isin(rows.loc[coming & (rows["kind"] != "due"), "event"])
    rows = standing(diary, rows[coming | same | _beside_unshared(rows)], day)
    stitches = rows["per_unit"].where(rows["unit"] != "pieces", 1.0)
    rows["needed"] = rows["wanted"] * stitches / _worth(diary, rows, day)
    rows["claim"] = _claims(rows, day)
    rows["chance"] = rows["alone"] = np.nan
    return rows[coming[rows.index]]


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
    recent = recent[recent["date"] > day - pd.DateOffset(months=MONTHS)]
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
        before.update(dict(zip(ahead[1:], ahead[:-1], strict=True)))
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
