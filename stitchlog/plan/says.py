"""The plan in plain sentences."""

from __future__ import annotations

import numpy as np
import pandas as pd

from stitchlog import words
from stitchlog.care import ADVICE
from stitchlog.plan.calendar import say_amount
from stitchlog.plan.commitments import each
from stitchlog.plan.giving_up import SAFE
from stitchlog.plan.outlook import Outlook

_TIGHT = 0.5
_NUMBERS = ["none", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"]


def say_fit(fit: pd.DataFrame) -> str:
    """Whether the promises of a `capacity` frame fit in its period, what to let go first, and what then stands."""
    period = within(fit.attrs["start"], fit.attrs["end"])
    if fit.empty:
        return f"Nothing is promised for {period}: no event and no due day falls in it."
    if (fit["ends"] <= fit.attrs["as_of"]).all():
        return _say_past(fit, period)
    told = fit[fit["chance"].notna()]
    return " ".join(part for part in (_say_chance(fit, told, period), _say_untold(fit)) if part)


def within(start: pd.Timestamp, end: pd.Timestamp) -> str:
    """A period as it stands in a sentence, after 'in' or 'into'.

    >>> within("2026-11-01", "2026-11-30"), within("2026-10-15", "2026-11-14")
    ('November 2026', 'the time from 15 October to 14 November 2026')
    """
    name = words.period(start, end)
    return f"the time from {name}" if " to " in name else name


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
    """What the chances rest on."""
    return (
        f"The chances come from {words.number(fit.attrs['paths'])} possible courses of the coming days, drawn from the "
        f"days in this diary up to {words.day(fit.attrs['as_of'])}. They hold if these promises come first on every "
        "stitching day, the nearest end before the others, and if stitches come as fast on one piece as on another."
    )


def say_more(more: pd.DataFrame) -> str:
    """What more time on each stitching day would do."""
    if more.empty:
        return "What more time would do cannot be told: nothing is open, or no session says how long it took."
    first, least, most = more.iloc[0], more.iloc[1], more.iloc[-1]
    if first["chance_all"] > 0.995:
        return "Everything fits without any more time."
    if most["chance_all"] - first["chance_all"] < 0.01:
        return f"Even {words.duration(most['minutes'])} more on every stitching day would leave the chance as it is."
    now, then, at_last = (say_chance(row["chance_all"]) for row in (first, least, most))
    return (
        f"{words.duration(least['minutes'])} more on every stitching day would take the chance of it all from {now} "
        f"to {then}, {words.duration(most['minutes'])} to {at_last}."
    )


def say_marks(marks: pd.DataFrame) -> str:
    """What was begun and finished for the promises; empty where nothing was."""
    said = []
    for what in ("begun", "finished"):
        mine = marks[marks["what"] == what].drop_duplicates(["piece", "date"])
        names = [f"{r.piece} ({words.day(r.date, year=False)})" for r in each(mine)]
        if names:
            said.append(f"{what}: {words.listed(names)}")
    return _capital("; ".join(said)) + "." if said else ""


def say_progress(fit: pd.DataFrame) -> str:
    """How far the promises that have begun are, and which lack most."""
    counted = fit[fit["target"].notna() & (fit["target"] > 0)]
    if counted.empty:
        return "No promise of this period has a target."
    done = counted["status"].isin(["met", "made up", "piece finished"]) | (counted["owed"] <= 0)
    begun = ~done & ((counted["worked"] > 0) | (counted["starts"] <= fit.attrs["as_of"]))
    text = f"Of {_number(len(counted))} with a target, {_number(int(done.sum()))} {_be(int(done.sum()))} met"
    if begun.any():
        row = counted[begun].sort_values("ends", kind="stable").iloc[0]
        text += (
            f"; {row['label']} stands at {say_amount(row['worked'], row['unit']).split(' ')[0]} of "
            f"{say_amount(row['target'], row['unit'])}"
        )
    late = counted[(counted["carried"] > 0) & (counted["ends"] > fit.attrs["as_of"])]
    carried = [f"{r.label} takes over {say_amount(r.carried, r.unit)} from the parts before it" for r in each(late)]
    return f"{text}. {f'{words.listed(carried)}.' if carried else ''}".strip()


def say_cautions(fit: pd.DataFrame, course: pd.DataFrame) -> str:
    """Where the plan asks for more than a usual good day, with the usual advice; empty where it does not."""
    good = fit.attrs["good_day"]
    hard = fit[fit["above_good_day"].astype(bool)]
    asks = [f"{r.label} ({words.number(np.ceil(r.per_day_needed * r.per_unit))})" for r in each(hard)]
    said = [f"{words.listed(asks)} alone {'asks' if len(asks) == 1 else 'ask'} for more a day"] if asks else []
    over = course[course["asked"] > good]
    if not said and over.empty:
        return ""
    if not over.empty:
        worst = over.loc[over["asked"].idxmax()]
        days = words.day(worst["date"], year=False) if len(over) == 1 else f"{words.number(len(over))} days"
        said.append(
            f"all of it together asks for more on {days}"
            + ("" if len(over) == 1 else f", most on {words.day(worst['date'], year=False)}")
            + f" ({words.number(worst['asked'])})"
        )
    return f"A good day of yours is {words.number(good)} stitches; {words.listed(said)}. {ADVICE}"


def say_files(ahead: Outlook) -> str:
    """What lies beside the page to take along."""
    entries = words.count(len(ahead.fit), "entry", "entries")
    return (
        f"Beside this page, in the folder plan: calendar.ics ({entries}; importing a later one updates them) and "
        "checklist.html, one sheet to print."
    )


def _say_chance(fit: pd.DataFrame, told: pd.DataFrame, period: str) -> str:
    chance, let_go = fit.attrs["chance_all"], fit.attrs["give_up"]
    if told.empty:
        return f"Whether all of it fits into {period} cannot be told."
    many = (
        f"all {_number(len(told))} promises" if len(told) > 2 else "both promises" if len(told) == 2 else "the promise"
    )
    verb = "comes" if len(told) == 1 else "come"
    if chance >= SAFE:
        return f"It fits into {period}: {many} {verb} out with a chance of {say_chance(chance)}."
    how = "It is tight in" if chance >= _TIGHT else "It does not all fit into"
    text = f"{how} {period}: {many} {verb} out with a chance of {say_chance(chance)}."
    if len(let_go) == len(told):
        return f"{text} None of them reaches {words.percent(SAFE)} by itself." if len(told) > 1 else text
    left = len(told) - len(let_go)
    rest = "the one left comes out" if left == 1 else f"the other {_number(left)} come out together"
    return f"{text} Without {say_dropped(fit)}, {rest} with {say_chance(fit.attrs['chance_rest'])}."


def say_dropped(fit: pd.DataFrame) -> str:
    """What to give up first, in order, the parts of one event said together."""
    groups: dict[str, list[str]] = {}
    by_label = fit.drop_duplicates("label").set_index("label")
    for name in fit.attrs["give_up"]:
        row = by_label.loc[name]
        key = name if row["kind"] == "due" or not row["part"] else row["event"]
        groups.setdefault(key, []).append(row["part"] if row["kind"] != "due" else "")
    said = []
    for key, parts in groups.items():
        own = fit.loc[fit["event"] == key, "part"]
        kept = [part for part in own if part not in parts]
        if parts == [""] or not kept:
            said.append(key)
        elif len(kept) < len(parts):
            said.append(f"{key} (all but {words.listed(kept)})")
        else:
            said.append(f"{key} ({words.listed(part for part in own if part in parts)})")
    return words.listed(said)


def say_chance(chance: float) -> str:
    """A simulated chance: never quite none, never quite certain.

    >>> say_chance(0.0), say_chance(0.314), say_chance(1.0)
    ('under 1%', '31%', 'over 99%')
    """
    return words.percent(float(min(max(chance, 0.001), 0.999)))


def _say_past(fit: pd.DataFrame, period: str) -> str:
    counted = fit[fit["status"] != "over"]
    if counted.empty:
        return f"{_capital(period)} is over; nothing in it had a target."
    met = counted["status"].isin(["met", "made up", "piece finished"])
    short = counted.loc[~met, "label"]
    many = int(met.sum())
    text = f"{_capital(period)} is over: {_number(many)} of {_number(len(counted))} promises {_be(many, True)} met"
    return text + (f"; not met: {words.listed(short)}." if len(short) else ".")


def _say_untold(fit: pd.DataFrame) -> str:
    untold = fit[fit["chance"].isna()]
    open_ended = untold[(untold["kind"] == "target") & untold["target"].isna()]
    unknown = untold.drop(open_ended.index)
    parts = []
    if len(open_ended):
        parts.append(f"{words.listed(open_ended['label'])} {'has' if len(open_ended) == 1 else 'have'} no target.")
    for row in each(unknown):
        lacks = "count" if row.kind == "length" else "total"
        which = f"the {lacks} of {row.piece}" if row.piece else f"a {lacks}"
        parts.append(f"{row.label} cannot be judged until {which} is in pieces.csv.")
    return " ".join(parts)


def _number(n: int) -> str:
    return _NUMBERS[n] if n < len(_NUMBERS) else words.number(n)


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _be(n: int, past: bool = False) -> str:
    return ("was" if n == 1 else "were") if past else ("is" if n == 1 else "are")
