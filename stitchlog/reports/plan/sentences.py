"""The plan in plain sentences, and its tables as a page shows them."""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd

from stitchlog import words
from stitchlog.model.advice import ADVICE
from stitchlog.model.commitments.chances import SAFE
from stitchlog.reports.plan.outlook import Outlook

_TIGHT = 0.5
# A chance that changes by less changes little.
_LITTLE = 0.03
_NUMBERS = ["none", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"]

HEADINGS = {"label": "promise", "ends": "ends", "stands": "stands at", "a_day": "a day", "said": "chance"}
DAY_HEADINGS = {"days": "days", "asked": "stitches a day", "asks": "for"}
PROMPT_HEADINGS = {"prompt": "prompt", "needs": "tags", "stitches": "least stitches", "piece": "piece"}
BAG_HEADINGS = {"piece": "piece", "prompts": "for", "stitches": "stitches", "cloth": "cloth"}
BAG_HEADINGS |= {"needle_case": "colours (skeins left where half or less)"}
LENGTH_HEADINGS = {"piece": "piece", "per_length": "stitches a length", "lengths": "lengths to go"}
LENGTH_HEADINGS |= {"a_day": "lengths a day", "days": "days", "done_on": "done on", "sooner": "days sooner"}


def promised(fit: pd.DataFrame) -> pd.DataFrame:
    """A `capacity` frame in the order of its ends, for `HEADINGS`.

    Adds stands (worked, target and what is carried over), a_day (stitches a day from here; NaN for starts), said (the
    chance in words).
    """
    rows = fit.sort_values(["ends", "starts"], kind="stable")
    return rows.assign(
        stands=[say_stand(row) for row in rows.itertuples()],
        a_day=np.ceil((rows["per_day_needed"] * rows["per_unit"]).where(rows["unit"] != "pieces")),
        said=[say_level(row, fit.attrs["as_of"]) for row in rows.itertuples()],
    )


def say_verdict(ahead: Outlook) -> str:
    """Whether the promises can be kept and, if not, which is the dearest."""
    return f"{say_fit(ahead.fit)} {say_dearest(ahead.helps)}".strip()


def say_fit(fit: pd.DataFrame) -> str:
    """Whether the promises of a `capacity` frame that are not over fit in its period, and which can no more."""
    period = _within(fit.attrs["start"], fit.attrs["end"])
    if fit.empty:
        return f"Nothing is promised for {period}: no event and no due day falls in it."
    if (fit["ends"] <= fit.attrs["as_of"]).all():
        return _say_past(fit, period)
    missed = fit.loc[fit["status"] == "not met", "label"]
    over = f"Over and not met: {words.listed(missed)}." if len(missed) else ""
    return " ".join(said for said in (_say_chance(fit, period), over, _say_untold(fit)) if said)


def say_letting_go(fit: pd.DataFrame) -> str:
    """What to let go so that the rest comes out together; empty where everything does."""
    let_go, told = fit.attrs["give_up"], _judged(fit)
    left = told - len(let_go)
    if not let_go:
        return ""
    if not left:
        return f"None of them reaches {words.percent(SAFE)} by itself." if told > 1 else ""
    rest = "the one left then comes out" if left == 1 else f"the other {_number(left)} then come out together"
    return (
        f"For a safe {words.percent(SAFE)}, let go of {_say_dropped(fit)}: {rest} with a chance of "
        f"{say_chance(fit.attrs['chance_rest'])}."
    )


def say_dearest(helps: pd.DataFrame) -> str:
    """Which promise is the dearest, of a `what_helps` frame; empty where all of them come out, or only one is open."""
    without = helps[helps["without"] != ""]
    if without.empty or helps["chance"].iloc[0] >= SAFE:
        return ""
    best = without.iloc[0]
    if best["chance"] - helps["chance"].iloc[0] < _LITTLE:
        return "Leaving out any one of them would change little."
    chance = say_chance(best["chance"])
    return f"The dearest is {best['without']}: without it the rest comes out with a chance of {chance}."


def say_more(helps: pd.DataFrame) -> str:
    """What more time on each stitching day would do, of a `what_helps` frame; empty where no promise is open."""
    if helps.empty:
        return ""
    now, more = helps["chance"].iloc[0], helps[helps["minutes"] > 0]
    if now > 0.995:
        return "Everything fits without any more time."
    if more.empty:
        return "What more time would do cannot be told, as no session says how long it took."
    least, most = more.iloc[0], more.iloc[-1]
    if most["chance"] - now < _LITTLE:
        return f"Even {words.duration(most['minutes'])} more on every stitching day would change little."
    return (
        f"{words.duration(least['minutes'])} more on every stitching day would take the chance of it all from "
        f"{say_chance(now)} to {say_chance(least['chance'])}, {words.duration(most['minutes'])} to "
        f"{say_chance(most['chance'])}."
    )


def say_chances(fit: pd.DataFrame) -> str:
    """Which promises are the least and the most likely."""
    open_ones = (fit["ends"] > fit.attrs["as_of"]) & ~fit["status"].isin(["met", "piece finished"])
    told = fit[fit["chance"].notna() & open_ones].sort_values("chance", kind="stable")
    if told.empty:
        return "No promise is open whose chance could be told."
    if len(told) == 1:
        return f"{told['label'].iloc[0]} comes out with a chance of {say_chance(told['chance'].iloc[0])}."
    first, last = told.iloc[0], told.iloc[-1]
    return (
        f"Least likely of {_number(len(told))} is {first['label']} ({say_chance(first['chance'])}), "
        f"most likely {last['label']} ({say_chance(last['chance'])})."
    )


def say_rests(fit: pd.DataFrame) -> str:
    """What the chances rest on; empty where there are none."""
    if fit["chance"].isna().all():
        return ""
    return (
        f"The chances come from {words.number(fit.attrs['paths'])} possible courses of the coming days, drawn from the "
        f"days in this diary up to {words.day(fit.attrs['as_of'])}. They hold if these promises come first on every "
        "stitching day, the nearest end before the others, and if stitches come as fast on one piece as on another."
    )


def say_marks(marks: pd.DataFrame) -> str:
    """What was begun and finished for the promises; empty where nothing was."""
    said = []
    for what, mine in marks.drop_duplicates(["piece", "date", "what"]).groupby("what"):
        names = [f"{row.piece} ({words.day(row.date, year=False)})" for row in mine.itertuples()]
        said.append(f"{str(what).capitalize()}: {words.listed(names)}.")
    return " ".join(said)


def say_cautions(fit: pd.DataFrame, course: pd.DataFrame) -> str:
    """Where the plan asks for more than a usual good day, with the usual advice; empty where it does not."""
    good = fit.attrs["good_day"]
    hard = fit[fit["above_good_day"]]
    asks = [f"{row.label} ({words.number(np.ceil(row.per_day_needed * row.per_unit))})" for row in hard.itertuples()]
    said = [f"{words.listed(asks)} alone {'asks' if len(asks) == 1 else 'ask'} for more a day"] if asks else []
    over = course[course["asked"] > good]
    if len(over):
        worst = over.loc[over["asked"].idxmax()]
        day, stitches = words.day(worst["date"], year=False), words.number(worst["asked"])
        many = f"{day}" if len(over) == 1 else f"{words.number(len(over))} days, most on {day}"
        said.append(f"all of it together asks for more on {many} ({stitches})")
    if not said:
        return ""
    return f"A good day of yours is {words.number(good)} stitches; {words.listed(said)}. {ADVICE}"


def say_entry(row: Any) -> str:
    """What a promise (a row of a `capacity` frame) asks, in a few words."""
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
    """Worked, target and what is carried over of a promise, in its unit."""
    if np.isnan(row.target):
        return "no target" if row.kind == "target" else "not known"
    carried = f", and {words.number(row.carried)} carried over" if row.carried > 0 else ""
    return f"{_amount(row.worked, row.unit).split(' ')[0]} of {_amount(row.target, row.unit)}{carried}"


def say_level(row: Any, as_of: pd.Timestamp) -> str:
    """A promise's chance in words, or how it stands where there is none to tell."""
    if row.ends <= as_of or np.isnan(row.chance) or row.status in ("met", "piece finished"):
        return {"unknown": "cannot be told", "now": "no target", "to come": "no target"}.get(row.status, row.status)
    return say_chance(row.chance)


def say_chance(chance: float) -> str:
    """A simulated chance: never quite none, never quite certain.

    >>> say_chance(0.0), say_chance(0.314), say_chance(1.0)
    ('under 1%', '31%', 'over 99%')
    """
    return words.percent(float(np.clip(chance, 0.001, 0.999)))


def _say_chance(fit: pd.DataFrame, period: str) -> str:
    chance, told = fit.attrs["chance_all"], _judged(fit)
    if not told:
        return f"Whether all of it fits into {period} cannot be told."
    many = {1: "the promise", 2: "both promises"}.get(told, f"all {_number(told)} promises")
    how = "It fits into" if chance >= SAFE else "It is tight in" if chance >= _TIGHT else "It does not all fit into"
    return f"{how} {period}: {many} {'comes' if told == 1 else 'come'} out with a chance of {say_chance(chance)}."


def _say_dropped(fit: pd.DataFrame) -> str:
    """What to give up first, in order, the parts of one event said together."""
    let_go = fit.set_index("label").loc[list(dict.fromkeys(fit.attrs["give_up"]))]
    said = []
    for event, mine in let_go.groupby(let_go["event"].where(let_go["kind"] != "due", let_go.index), sort=False):
        own = fit.loc[(fit["event"] == event) & (fit["kind"] != "due"), "part"]
        gone, kept = own[own.isin(mine["part"])], own[~own.isin(mine["part"])]
        which = f"all but {words.listed(kept)}" if len(kept) < len(gone) else words.listed(gone)
        said.append(f"{event} ({which})" if len(kept) else str(event))
    return words.listed(said)


def _say_past(fit: pd.DataFrame, period: str) -> str:
    over = period[:1].upper() + period[1:] + " is over"
    counted = fit[fit["status"] != "over"]
    if counted.empty:
        return f"{over}; nothing in it had a target."
    met = counted["status"].isin(["met", "made up", "piece finished"])
    was = "was" if met.sum() == 1 else "were"
    text = f"{over}: {_number(met.sum())} of {_number(len(counted))} promises {was} met"
    return text + (f"; not met: {words.listed(counted.loc[~met, 'label'])}." if not met.all() else ".")


def _judged(fit: pd.DataFrame) -> int:
    """How many promises are not over and have a chance that can be told."""
    return int((fit["chance"].notna() & (fit["ends"] > fit.attrs["as_of"])).sum())


def _say_untold(fit: pd.DataFrame) -> str:
    """Which promises have no target, and what the others whose chance cannot be told want in pieces.csv."""
    untold = fit[fit["chance"].isna()]
    open_ended = (untold["kind"] == "target") & untold["target"].isna()
    names = untold.loc[open_ended, "label"]
    parts = [f"{words.listed(names)} {'has' if len(names) == 1 else 'have'} no target."] if len(names) else []
    for row in untold[~open_ended].itertuples():
        lacks = "count" if row.kind == "length" else "total"
        which = f"the {lacks} of {row.piece}" if row.piece else f"a {lacks}"
        parts.append(f"{row.label} cannot be judged until {which} is in pieces.csv.")
    return " ".join(parts)


def _within(start: pd.Timestamp, end: pd.Timestamp) -> str:
    """A period as it stands in a sentence, after 'in' or 'into'."""
    name = words.period(start, end)
    return f"the time from {name}" if " to " in name else name


def _amount(value: float, unit: str) -> str:
    """An amount in its unit; lengths may be broken."""
    if unit == "lengths" and abs(value - round(value)) >= 0.05:
        return f"{words.number(value, 1)} lengths"
    return words.count(value, {"stitches": "stitch", "lengths": "length", "pieces": "piece"}[unit], unit)


def _number(n: int) -> str:
    return _NUMBERS[n] if n < len(_NUMBERS) else words.number(n)
