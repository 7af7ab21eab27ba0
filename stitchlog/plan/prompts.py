"""An event's prompts with the pieces that meet them, and what to pack for it."""

from __future__ import annotations

import pandas as pd

from stitchlog import words
from stitchlog.diary import Diary
from stitchlog.plan.commitments import event_named
from stitchlog.plan.cover import cover, meets, mending, tags_of

COLUMNS = ["event", "prompt", "needs", "stitches", "piece", "others", "mend"]
# With so many skeins on hand, or fewer, a colour is called low.
LOW_SKEINS = 0.5
_WEEKEND_DAYS = 4


def prompts(diary: Diary, event: str, as_of: pd.Timestamp | str | None = None) -> pd.DataFrame:
    """The event's prompts, each with one of the fewest pieces that meet all that can be met.

    Columns: event, prompt, needs (as written), stitches (least to claim it; NaN: none said), piece ('' where none meets
    it), others (how many other pieces would), mend (for a prompt that none meets: the tags that would mend it).
    Pieces that are finished, or have fewer stitches left than a prompt asks for, do not count. Ties go to pieces with a
    due day still to come, then to those longest without a stitch, then to those on the go over new starts.
    Raises StitchlogError where there is no such event.
    """
    day = diary.last_day if as_of is None else pd.Timestamp(as_of)
    rows = _prompts_of(diary, event)
    pieces = diary.pieces.merge(diary.standing(day)[["piece", "remaining", "last_session", "status"]], on="piece")
    open_ones = pieces[pieces["status"] != "finished"]
    have = dict(zip(open_ones["piece"], open_ones["tags"], strict=True))
    going = open_ones[open_ones["status"] == "on the go"]
    # Rows are told apart by number: an event may ask the same twice.
    needs = dict(enumerate(rows["needs"]))
    able = {
        i: open_ones.loc[~(open_ones["remaining"] < least), "piece"]
        for i, least in enumerate(rows["stitches"])
        if least > 0
    }
    answer = cover(
        {str(i): text for i, text in needs.items()},
        have,
        due=open_ones.loc[open_ones["due"] >= day, "piece"],
        neglected=dict(zip(going["piece"], (day - going["last_session"]).dt.days.fillna(0.0), strict=True)),
        on_the_go=going["piece"],
        able={str(i): names for i, names in able.items()},
    )
    met_by = [
        [p for p, tags in have.items() if meets(text, tags) and p in set(able.get(i, have))]
        for i, text in needs.items()
    ]
    out = rows.assign(
        piece=answer["piece"].fillna("").to_numpy(),
        others=[max(0, len(names) - 1) for names in met_by],
        mend=["" if names else _say_mend(text, have) for names, text in zip(met_by, rows["needs"], strict=True)],
    )
    return out[COLUMNS]


def bag(diary: Diary, frame: pd.DataFrame, as_of: pd.Timestamp | str | None = None) -> pd.DataFrame:
    """What to pack for the prompts of `prompts`: a row a piece, the one that meets most of them first.

    Columns: piece, prompts (their words, `; ` between), stitches (that they ask of it, each prompt on its own), cloth,
    colours (codes, `; ` between), low (the codes of which half a skein or less, or nobody knows how much, is on hand,
    with the skeins), needle_case (all colours, with the skeins of those that are low), status.
    """
    day = diary.last_day if as_of is None else pd.Timestamp(as_of)
    met = frame[frame["piece"] != ""]
    status = diary.standing(day).set_index("piece")["status"]
    rows = []
    for piece, mine in met.groupby("piece", sort=False):
        colours = colours_of(diary, str(piece))
        low = colours[~(colours["skeins"] > LOW_SKEINS)]
        rows.append(
            {
                "piece": piece,
                "prompts": "; ".join(mine["prompt"]),
                "stitches": mine["stitches"].sum(),
                "cloth": _cloth(diary, str(piece)),
                "colours": "; ".join(colours["code"]),
                "low": "; ".join(_say_low(c, s) for c, s in zip(low["code"], low["skeins"], strict=True)),
                "needle_case": "; ".join(
                    _say_colour(c, s) for c, s in zip(colours["code"], colours["skeins"], strict=True)
                ),
                "status": status[piece],
                "_met": len(mine),
            }
        )
    names = ["piece", "prompts", "stitches", "cloth", "colours", "low", "needle_case", "status"]
    out = pd.DataFrame(rows, columns=[*names, "_met"])
    return out.sort_values("_met", ascending=False, kind="stable")[names].reset_index(drop=True)


def colours_of(diary: Diary, piece: str) -> pd.DataFrame:
    """code and skeins on hand (NaN: not in threads.csv) of every colour of the piece's chart and sessions."""
    chart = diary.chart_colours
    codes = pd.concat(
        [chart.loc[chart["piece"] == piece, "code"], diary.colours.loc[diary.colours["piece"] == piece, "code"]]
    )
    out = pd.DataFrame({"code": sorted(set(codes))}, dtype=object)
    on_hand = dict(zip(diary.threads["code"], diary.threads["skeins"], strict=True))
    return out.assign(skeins=pd.to_numeric(out["code"].map(on_hand)))


def away(diary: Diary, start: pd.Timestamp, end: pd.Timestamp) -> str:
    """The first event of the period with prompts to pack for, a weekend before longer ones ('' where there is none)."""
    rows = diary.events[(diary.events["starts"] <= end) & (diary.events["ends"] >= start)]
    rows = rows[rows["event"].isin(diary.prompts["event"])]
    long = (rows["ends"] - rows["starts"]).dt.days >= _WEEKEND_DAYS
    order = rows.assign(long=long).sort_values(["long", "starts"], kind="stable")
    return "" if order.empty else str(order["event"].iloc[0])


def say_prompts(frame: pd.DataFrame) -> str:
    """How many of the prompts are met, by how many pieces, and what would mend the rest."""
    if frame.empty:
        return "No event with prompts lies in this period."
    met = frame[frame["piece"] != ""]
    event, asked = frame["event"].iloc[0], words.count(len(frame), "prompt")
    if met.empty:
        return f"No piece meets any of the {asked} of {event}. {_say_mends(frame)}".strip()
    used = len(set(met["piece"]))
    pieces = words.count(used, "piece")
    share = f"all {asked}" if len(met) == len(frame) else f"{len(met)} of {asked}"
    return f"{event}: {pieces} {'meets' if used == 1 else 'meet'} {share}. {_say_mends(frame)}".strip()


def say_bag(frame: pd.DataFrame) -> str:
    """How many pieces to pack and which colours to look at first."""
    if frame.empty:
        return "There is nothing to pack."
    low = [code.split(" ")[0] for text in frame["low"] for code in text.split("; ") if code]
    text = f"{words.count(len(frame), 'piece')} to pack: {words.listed(frame['piece'])}."
    if not low:
        return text
    shown = list(dict.fromkeys(low))
    more = f" and {len(shown) - 6} more" if len(shown) > 6 else ""
    return f"{text} Half a skein or less is left of {words.listed(shown) if not more else ', '.join(shown[:6])}{more}."


def _say_mends(frame: pd.DataFrame) -> str:
    unmet = frame[frame["piece"] == ""]
    said = [f"“{p}” wants {m}" for p, m in zip(unmet["prompt"], unmet["mend"], strict=True)]
    return f"{words.listed(said)}." if said else ""


def _prompts_of(diary: Diary, event: str) -> pd.DataFrame:
    names = diary.prompts["event"].map(str.casefold)
    if not (names == event.strip().casefold()).any():
        event = event_named(diary, event)
    rows = diary.prompts[names == event.strip().casefold()]
    return rows[["event", "prompt", "needs", "stitches"]].reset_index(drop=True)


def _say_mend(needs: str, have: dict[str, str]) -> str:
    tags, near = mending(needs, have)
    if not tags:
        return "a piece with enough stitches left"
    if not near or not any(tags_of(have[piece]) for piece in near):
        return f"a piece tagged {words.listed(tags)}"
    return f"the tag {words.listed(tags)} on {words.listed(near[:2], 'or')}"


def _say_low(code: str, skeins: float) -> str:
    return f"{code} (?)" if pd.isna(skeins) else f"{code} ({skeins:g})" if skeins else f"{code} (none)"


def _say_colour(code: str, skeins: float) -> str:
    return code if skeins > LOW_SKEINS else _say_low(code, skeins)


def _cloth(diary: Diary, piece: str) -> str:
    row = diary.pieces[diary.pieces["piece"] == piece].iloc[0]
    count = "" if pd.isna(row["count"]) else f"{row['count']:g} count"
    return " ".join(part for part in (count, str(row["fabric"] or "")) if part)
