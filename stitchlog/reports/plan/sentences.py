"""The plan in plain sentences, and its tables as a page shows them."""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd

from stitchlog import words
from stitchlog.diary.frames import each_row
from stitchlog.model.advice import ADVICE
from stitchlog.model.commitments.chances import SAFE
from stitchlog.reports.plan.capacity import Capacity
from stitchlog.reports.plan.course import Course
from stitchlog.reports.plan.figures import Figures

_TIGHT = 0.5
# A chance that changes by less changes little.
_LITTLE = 0.03
# A gap between two chances of one goal that is worth a sentence.
_MUCH = 0.15
_NUMBERS = ["none", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"]

HEADINGS = {"label": "goal", "ends": "ends", "stands": "so far", "a_day": "a day"}
HEADINGS |= {"said": "chance if your goals come first", "as_things_go": "chance as things go"}
DAY_HEADINGS = {"days": "days", "asked": "stitches a day", "asks": "for"}
PROMPT_HEADINGS = {"prompt": "prompt", "needs": "tags", "stitches": "fewest stitches", "piece": "piece"}
BAG_HEADINGS = {"piece": "piece", "prompts": "for", "stitches": "stitches", "cloth": "fabric"}
BAG_HEADINGS |= {"needle_case": "colours (skeins left where half or less)"}
LENGTH_HEADINGS = {"piece": "piece", "per_length": "stitches a length", "lengths": "lengths to go"}
LENGTH_HEADINGS |= {"a_day": "lengths a day", "days": "days", "done_on": "done on", "sooner": "days sooner"}


def goals(fit: Capacity) -> pd.DataFrame:
    """The goals of a `Capacity` in the order of their ends, for `HEADINGS`.

    Adds stands (worked, target and what is carried over), a_day (stitches a day from here; NaN for starts), said (the
    chance in words).
    """
    rows = fit.goals.sort_values(["ends", "starts"], kind="stable")
    return rows.assign(
        stands=[say_stand(row) for row in each_row(rows)],
        a_day=np.ceil((rows["per_day_needed"] * rows["per_unit"]).where(rows["unit"] != "pieces").round(6)),
        said=[say_level(row, fit.as_of) for row in each_row(rows)],
    )


def say_verdict(plan: Figures) -> str:
    """Whether the goals can be met and, if not, which one costs the most."""
    return f"{say_fit(plan.fit)} {say_costliest(plan.helps)}".strip()


def say_fit(fit: Capacity) -> str:
    """Whether the goals that are not over fit in their period, and which can be met no more."""
    period = _within(fit.start, fit.end)
    if fit.goals.empty:
        return f"You have no goals for {period}: no event and no due day falls in it."
    if (fit.goals["ends"] <= fit.as_of).all():
        return _say_past(fit.goals, period)
    missed = fit.goals.loc[fit.goals["status"] == "not met", "label"]
    over = f"Over and not met: {words.listed(missed)}." if len(missed) else ""
    return " ".join(said for said in (_say_chance(fit, period), over, _say_untold(fit.goals)) if said)


def say_dropping(fit: Capacity) -> str:
    """What to drop so that the rest can be met together; empty where everything can."""
    told = int(fit.judged.sum())
    left = told - len(fit.give_up)
    if not fit.give_up:
        return ""
    if not left:
        return f"None of them has a chance of {words.percent(SAFE)} by itself." if told > 1 else ""
    rest = "the one left" if left == 1 else f"the other {_number(left)}"
    return (
        f"For a safe {words.percent(SAFE)}, drop {_say_dropped(fit)}. "
        f"The chance of meeting {rest} is then {words.chance(fit.chance_rest)}."
    )


def say_costliest(helps: pd.DataFrame) -> str:
    """Which goal costs the most, of a `what_helps` frame; empty where all of them fit, or only one is open."""
    without = helps[helps["without"] != ""]
    if without.empty or helps["chance"].iloc[0] >= SAFE:
        return ""
    best = without.iloc[0]
    if best["chance"] - helps["chance"].iloc[0] < _LITTLE:
        return "Dropping any one of them would change little."
    chance = words.chance(best["chance"])
    return f"{best['without']} costs the most: without it, the chance of meeting the rest is {chance}."


def say_more(helps: pd.DataFrame) -> str:
    """What more time on each stitching day would do, of a `what_helps` frame; empty where no goal is open."""
    if helps.empty:
        return ""
    now, more = helps["chance"].iloc[0], helps[helps["minutes"] > 0]
    if now > 0.995:
        return "Everything fits without any more time."
    if more.empty:
        return "What more time would do cannot be worked out: no session says how long it took."
    least, most = more.iloc[0], more.iloc[-1]
    if most["chance"] - now < _LITTLE:
        return f"Even {words.duration(most['minutes'])} more on every stitching day would change little."
    return (
        f"With {words.duration(least['minutes'])} more on every stitching day, the chance of meeting them all goes "
        f"from {words.chance(now)} to {words.chance(least['chance'])}; with {words.duration(most['minutes'])}, to "
        f"{words.chance(most['chance'])}."
    )


def say_chances(fit: Capacity) -> str:
    """Which goals are the least and the most likely."""
    still = (fit.goals["ends"] > fit.as_of) & ~fit.goals["status"].isin(["met", "piece finished"])
    told = fit.goals[fit.goals["chance"].notna() & still].sort_values("chance", kind="stable")
    if told.empty:
        return "No open goal has a chance that can be worked out."
    if len(told) == 1:
        return f"The chance of meeting {told['label'].iloc[0]} is {words.chance(told['chance'].iloc[0])}."
    first, last = told.iloc[0], told.iloc[-1]
    return (
        f"Of {_number(len(told))} goals the least likely is {first['label']} ({words.chance(first['chance'])}), "
        f"the most likely {last['label']} ({words.chance(last['chance'])}).{_say_difference(told)}"
    )


def _say_difference(told: pd.DataFrame) -> str:
    """The goal whose chance rests most on coming first; empty where none rests on it."""
    gap = (told["chance"] - told["as_things_go"]).fillna(0.0)
    if gap.max() < _MUCH:
        return ""
    row = told.iloc[int(gap.argmax())]
    usual, first = (words.chance(float(row[name])) for name in ("as_things_go", "chance"))
    return f" {row['label']}: {usual} as things go; {first} if your goals come first every evening."


def say_rests(fit: Capacity) -> str:
    """What the chances rest on; empty where there are none."""
    if fit.goals["chance"].isna().all():
        return ""
    return (
        f"The chances come from {words.number(fit.paths)} simulated futures, based on your diary "
        f"up to {words.day(fit.as_of)}. The finish page uses the same ones. As things go, you spread your days over "
        "your pieces as usual. Otherwise your goals come first on every stitching day, the one that ends soonest "
        "before the others."
    )


def say_marks(marks: pd.DataFrame) -> str:
    """What was begun and finished for the goals; empty where nothing was."""
    said = []
    for what, mine in marks.drop_duplicates(["piece", "date", "what"]).groupby("what"):
        names = [f"{row.piece} ({words.day(row.date, year=False)})" for row in each_row(mine)]
        said.append(f"{str(what).capitalize()}: {words.listed(names)}.")
    return " ".join(said)


def say_cautions(fit: Capacity, course: Course) -> str:
    """Where the plan asks for more than a usual good day, with the usual advice; empty where it does not."""
    hard = fit.goals[fit.goals["above_good_day"]]
    asks = [f"{row.label} ({words.number(np.ceil(row.per_day_needed * row.per_unit))})" for row in each_row(hard)]
    said = [f"{words.listed(asks)} alone {'needs' if len(asks) == 1 else 'need'} more a day"] if asks else []
    over = course.days[course.days["asked"] > fit.good_day]
    if len(over):
        worst = over.nlargest(1, "asked").iloc[0]
        day, stitches = words.day(worst["date"], year=False), words.number(worst["asked"])
        many = f"{day}" if len(over) == 1 else f"{words.number(len(over))} days, most on {day}"
        said.append(f"everything together needs more on {many} ({stitches})")
    if not said:
        return ""
    return f"You stitch about {words.number(fit.good_day)} on a good day; {words.listed(said)}. {ADVICE}"


def say_entry(row: Any) -> str:
    """What a goal (a row of `Capacity.goals`) asks, in a few words."""
    parts = []
    if row.kind == "start":
        parts.append(f"begin {row.piece}" if row.piece else f"begin {words.count(row.target, 'piece')}")
    elif row.kind in ("finish", "due"):
        parts.append(f"finish {row.piece}, {words.count(row.owed, 'stitch', 'stitches')} to go")
    elif pd.isna(row.target):
        parts.append("no target")
    else:
        parts.append(_amount(row.target, row.unit) + (f" on {row.piece}" if row.piece else ""))
    if row.worked > 0 and row.kind in ("target", "length"):
        parts.append(f"{_amount(row.worked, row.unit)} worked")
    if row.per_day_needed > 0 and row.unit == "stitches":
        parts.append(f"about {words.count(np.ceil(row.per_day_needed), 'stitch', 'stitches')} a day")
    return "; ".join(parts)


def say_stand(row: Any) -> str:
    """Worked, target and what is carried over of a goal, in its unit."""
    if np.isnan(row.target):
        return "no target" if row.kind == "target" else "not known"
    carried = f", and {words.number(row.carried)} carried over" if row.carried > 0 else ""
    return f"{_amount(row.worked, row.unit).split(' ')[0]} of {_amount(row.target, row.unit)}{carried}"


def say_level(row: Any, as_of: pd.Timestamp) -> str:
    """A goal's chance in words, or how it stands where there is none to tell."""
    if row.ends <= as_of or np.isnan(row.chance) or row.status in ("met", "piece finished"):
        return "no target" if row.status in ("now", "to come") else str(row.status)
    return words.chance(row.chance)


def _say_chance(fit: Capacity, period: str) -> str:
    told = int(fit.judged.sum())
    if not told:
        return f"Whether your goals for {period} fit cannot be worked out."
    goals = {1: "the one goal", 2: "both goals"}.get(told, f"all {_number(told)} goals")
    how = (
        "Yes, it fits" if fit.chance_all >= SAFE else "It is tight" if fit.chance_all >= _TIGHT else "No, not all of it"
    )
    return f"{how}: the chance of meeting {goals} for {period} is {words.chance(fit.chance_all)}."


def _say_dropped(fit: Capacity) -> str:
    """What to drop first, in order, the parts of one event said together."""
    dropped = fit.goals.set_index("label").loc[fit.give_up]
    said = []
    for event, mine in dropped.groupby(dropped["event"].where(dropped["kind"] != "due", dropped.index), sort=False):
        own = fit.goals.loc[(fit.goals["event"] == event) & (fit.goals["kind"] != "due"), ["part", "label"]]
        gone = own["label"].isin(mine.index)
        if gone.all() or mine["kind"].eq("due").all():
            said.append(str(event))
        elif not own["part"].is_unique or (own["part"] == "").any():
            said.append(words.listed(mine.index))
        else:
            kept = own.loc[~gone, "part"]
            which = f"all but {words.listed(kept)}" if len(kept) < gone.sum() else words.listed(own.loc[gone, "part"])
            said.append(f"{event} ({which})")
    return words.listed(said)


def _say_past(goals: pd.DataFrame, period: str) -> str:
    over = period[:1].upper() + period[1:] + " is over"
    counted = goals[goals["status"] != "over"]
    if counted.empty:
        return f"{over}; nothing in it had a target."
    met = counted["status"].isin(["met", "made up", "piece finished"])
    text = f"{over}: you met {_number(int(met.sum()))} of {words.count(len(counted), 'goal')}"
    return text + (f"; not met: {words.listed(counted.loc[~met, 'label'])}." if not met.all() else ".")


def _say_untold(goals: pd.DataFrame) -> str:
    """Which goals have no target, and what the others whose chance cannot be told want in pieces.csv."""
    untold = goals[goals["chance"].isna()]
    open_ended = (untold["kind"] == "target") & untold["target"].isna()
    names = untold.loc[open_ended, "label"]
    parts = [f"{words.listed(names)} {'has' if len(names) == 1 else 'have'} no target."] if len(names) else []
    for row in each_row(untold[~open_ended]):
        lacks = "count" if row.kind == "length" else "total"
        which = f"the {lacks} of {row.piece}" if row.piece else f"a {lacks}"
        parts.append(f"{row.label} cannot be judged until {which} is in pieces.csv.")
    return " ".join(parts)


def _within(start: pd.Timestamp, end: pd.Timestamp) -> str:
    """A period as it stands in a sentence, after 'for'."""
    name = words.period(start, end)
    return f"the time from {name}" if " to " in name else name


def _amount(value: float, unit: str) -> str:
    """An amount in its unit; lengths may be broken."""
    if unit == "lengths" and abs(value - round(value)) >= 0.05:
        return f"{words.number(value, 1)} lengths"
    return words.count(value, {"stitches": "stitch", "lengths": "length", "pieces": "piece"}[unit], unit)


def _number(n: int) -> str:
    return _NUMBERS[n] if n < len(_NUMBERS) else words.number(n)
