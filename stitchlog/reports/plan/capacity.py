"""Whether everything fits: the chance of each commitment, of all, what to give up first, and what else would help."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from stitchlog.diary.diary import Day, Diary
from stitchlog.diary.frames import each_row
from stitchlog.model.commitments.chances import Claim, alone_chances, chance_of_all, give_up, met_by
from stitchlog.model.commitments.commitments import touching
from stitchlog.model.commitments.stages import chains, standing
from stitchlog.model.forecast.future import Future, future
from stitchlog.model.forecast.needs import good_day_of

# Beyond this nothing is foreseen.
FAR_DAYS = 5 * 366
# How far back a stitcher's pace and share of half stitches are taken from.
MONTHS = 6
# Minutes more on each stitching day.
MORE = (15, 30, 60)
COLUMNS = ["event", "part", "piece", "target", "chance", "starts", "ends", "kind", "unit", "per_unit", "shared"]
COLUMNS += ["worked", "owed", "carried", "days_left", "per_day_needed", "status", "label", "needed", "alone"]
COLUMNS += ["above_good_day", "as_things_go"]


@dataclass(frozen=True)
class Layout:
    """A period's commitments and the days to come, laid out for chances.

    rows: the period's commitments, as `stages`, with needed. told: those, and others that take stitches before the end
    of the period, whose chance can be told; claims: theirs; judged: which of these are the period's and not over, by
    place; days: the simulated stitches from the day after the diary's, all pieces together (paths, days), of the future
    `ahead` (None: the diary is empty). good_day: stitches. pace: stitches a minute (NaN: nothing is timed).
    """

    rows: pd.DataFrame
    told: pd.DataFrame
    claims: list[Claim]
    judged: list[int]
    days: np.ndarray
    ahead: Future | None
    good_day: float
    pace: float
    start: pd.Timestamp
    end: pd.Timestamp
    as_of: pd.Timestamp


@dataclass(frozen=True)
class Capacity:
    """Whether the commitments of a period fit together.

    goals: every commitment with a day in it. Columns: event ("due" for a piece's `due` day), part, piece ('' any),
    target (in `unit`), chance (0 to 1; NaN where it cannot be told), then starts, ends, kind, unit, per_unit, shared,
    worked, owed, carried, days_left, per_day_needed, status, label (as in `stages`), needed (stitches of the days to
    come; for starts pieces), alone (the chance if it were the only one), above_good_day (asks for more a day than a
    usual good day), as_things_go (the chance on the same days where nothing is put first; NaN for starts).

    chance_all: that all come true that are not over and whose chance can be told (1 where there are none). give_up:
    labels, what to drop first, in order, so that the rest comes true together with 80 % or more; empty where all of it
    does. chance_rest: then. good_day: stitches. start, end: the period. as_of: the day it is seen from. paths: how many
    courses of the coming days the chances rest on.
    """

    goals: pd.DataFrame
    chance_all: float
    give_up: list[str]
    chance_rest: float
    good_day: float
    start: pd.Timestamp
    end: pd.Timestamp
    as_of: pd.Timestamp
    paths: int

    @property
    def judged(self) -> pd.Series:
        """Which goals are not over and have a chance that can be told."""
        return self.goals["chance"].notna() & (self.goals["ends"] > self.as_of)


def capacity(
    diary: Diary, start: Day, end: Day, as_of: Day | None = None, paths: int = 2000, seed: int = 0
) -> Capacity:
    """The chance of every commitment with a day from `start` to `end`, all served from the same simulated days.

    Chances hold if these commitments come first on every stitching day, the nearest end before the others; commitments
    that end between the diary's day and `start` are served too.
    """
    return judge(lay_out(diary.at(as_of), start, end, paths, seed))


def judge(plan: Layout) -> Capacity:
    """Whether the commitments of a period laid out fit together."""
    met, alone = met_by(plan.days, plan.claims), alone_chances(plan.days, plan.claims)
    dropped = give_up(plan.days, plan.claims, plan.judged, alone)
    served = [i for i in range(len(plan.claims)) if i not in dropped]
    told = pd.DataFrame({"chance": met.mean(axis=0), "alone": alone}, index=plan.told.index)
    goals = plan.rows.join(told)
    goals["as_things_go"] = pd.Series(_as_things_go(plan), index=plan.told.index, dtype=float).reindex(goals.index)
    goals["above_good_day"] = (goals["unit"] != "pieces") & (
        goals["per_day_needed"] * goals["per_unit"] > plan.good_day
    )
    return Capacity(
        goals=goals[COLUMNS].reset_index(drop=True),
        chance_all=float(met[:, plan.judged].all(axis=1).mean()),
        give_up=[str(plan.told["label"].iloc[i]) for i in dropped],
        chance_rest=chance_of_all(plan.days, plan.claims, served, [i for i in plan.judged if i not in dropped]),
        good_day=plan.good_day,
        start=plan.start,
        end=plan.end,
        as_of=plan.as_of,
        paths=len(plan.days),
    )


def _as_things_go(plan: Layout) -> list[float]:
    """The chance of each claim on the same simulated days, where nothing is put first."""
    out = []
    for row, claim in zip(each_row(plan.told), plan.claims, strict=True):
        if plan.ahead is None or claim.by_days or claim.closes < 0:
            out.append(np.nan)
        elif row.kind in ("due", "finish") and row.piece in plan.ahead.open():
            out.append(plan.ahead.finish(row.piece).chance(row.ends))
        else:
            got = plan.ahead.on(row.piece, claim.closes + 1) if row.piece else plan.days[:, : claim.closes + 1]
            out.append(float((got[:, claim.opens :].sum(axis=1) >= claim.need).mean()))
    return out


def what_helps(plan: Layout) -> pd.DataFrame:
    """What would let the goals of a period be met together: dropping one event or due piece, or more time.

    Columns: without (the event or due piece left out, '' none), minutes (more on each stitching day), stitches (that
    these bring, by the pace of the last months' timed sessions), chance (that all that is kept is met). The first
    row is the plan as it is; then what leaves the rest the best chance comes first; then minutes, fewest first, where a
    session is timed. Empty where no goal that can be judged is open.
    """
    names = plan.told["event"].where(plan.told["kind"] != "due", plan.told["label"]).to_numpy()
    if not plan.judged:
        return pd.DataFrame(columns=["without", "minutes", "stitches", "chance"])

    def rest(without: str) -> float:
        served = [i for i, name in enumerate(names) if name != without]
        return chance_of_all(plan.days, plan.claims, served, [i for i in plan.judged if i in served])

    events = [str(name) for name in dict.fromkeys(names[plan.judged])]
    left_out = [(name, 0, 0.0, rest(name)) for name in (events if len(events) > 1 else [])]
    rows = [("", 0, 0.0, rest("")), *sorted(left_out, key=lambda row: -row[3])]
    for minutes in MORE if np.isfinite(plan.pace) else ():
        more = plan.days + minutes * plan.pace * (plan.days > 0)
        together = met_by(more, plan.claims)[:, plan.judged].all(axis=1)
        rows.append(("", minutes, minutes * plan.pace, float(together.mean())))
    return pd.DataFrame(rows, columns=["without", "minutes", "stitches", "chance"])


def lay_out(diary: Diary, start: Day, end: Day, paths: int = 2000, seed: int = 0) -> Layout:
    """The commitments of a period with their claims on the days to come, and those days. Arguments as `capacity`."""
    begin, last = pd.Timestamp(start), pd.Timestamp(end)
    day, sessions = diary.as_of, diary.sessions
    since = day - pd.DateOffset(months=MONTHS) if len(sessions) else day
    rows = standing(diary)
    stitches = rows["wanted"] * rows["per_unit"].where(rows["unit"] != "pieces", 1.0)
    rows["needed"] = stitches / _worth(sessions[sessions["date"] > since], rows)
    shown = touching(rows, begin, last)
    coming = touching(rows, day + pd.Timedelta(days=1), last) | shown
    told = rows[coming & rows["needed"].notna() & ((rows["ends"] - day).dt.days <= FAR_DAYS)]
    timed = sessions[(sessions["minutes"] > 0) & ~sessions["estimated"]]
    timed = timed[timed["date"] > since] if (timed["date"] > since).any() else timed
    days = 0 if pd.isna(day) else max(0, (max([last, *told["ends"]]) - day).days)
    ahead = future(diary, paths, seed) if len(sessions) else None
    return Layout(
        rows=rows[shown],
        told=told,
        claims=_claims(told, day),
        judged=np.flatnonzero(shown[told.index] & (told["ends"] > day)).tolist(),
        days=np.zeros((paths, days)) if ahead is None else ahead.daily(days),
        ahead=ahead,
        good_day=good_day_of(ahead.past.everything if ahead else np.empty(0)),
        pace=timed["stitches"].sum() / timed["minutes"].sum() if len(timed) else np.nan,
        start=begin,
        end=last,
        as_of=day,
    )


def _worth(recent: pd.DataFrame, rows: pd.DataFrame) -> pd.Series:
    """What a stitch counts in each event, by the halves of the last months (1 where they count as everywhere)."""
    out = pd.Series(1.0, index=rows.index)
    for row in each_row(rows[rows["half_counts"] != 0.5]):
        mine = recent[(row.piece == "") | (recent["piece"] == row.piece)]
        total = mine["stitches"].sum()
        if total > 0:
            out[row.Index] = max(0.0, 1 + (row.half_counts - 0.5) * mine["half"].sum() / total)
    return out


def _claims(told: pd.DataFrame, day: pd.Timestamp) -> list[Claim]:
    """The claim of each row on the days after `day`."""
    place = {index: i for i, index in enumerate(told.index)}
    follows: dict[int, int] = {}
    for parts in chains(told):
        ahead = [place[index] for index in parts.index[parts["ends"] > day]]
        follows |= dict(zip(ahead[1:], ahead[:-1], strict=True))
    return [
        Claim(
            opens=0 if pd.isna(row.starts) else max(0, (row.starts - day).days - 1),
            closes=(row.ends - day).days - 1,
            need=row.needed,
            piece=row.piece,
            shared=row.shared,
            by_days=row.unit == "pieces",
            follows=follows.get(i),
        )
        for i, row in enumerate(each_row(told))
    ]
