"""An event's prompts with the pieces that meet them, and what to pack for it."""

from __future__ import annotations

from dataclasses import dataclass

import pandas as pd

from stitchlog import words
from stitchlog.diary.diary import Diary
from stitchlog.diary.frames import each_row
from stitchlog.diary.tags import tags_of
from stitchlog.model.commitments.commitments import event_named
from stitchlog.reports.plan.cover import fewest, mending

COLUMNS = ["event", "prompt", "needs", "stitches", "piece", "mend"]
# With so many skeins on hand, or fewer, a colour is called low.
LOW_SKEINS = 0.5
# So many low colours are named in a sentence.
_FEW = 6
_WEEKEND_DAYS = 4


@dataclass(frozen=True)
class Prompts:
    """An event's prompts with the pieces that meet them.

    rows: columns event, prompt, needs (as written), stitches (least to claim it; NaN: none said), piece ('' where none
    meets it), mend (for a prompt that none meets: the tags that would let one meet it).
    least: whether it is certain that no fewer pieces will do. event: '' where none has prompts.
    """

    rows: pd.DataFrame
    least: bool
    event: str


def prompts(diary: Diary, event: str) -> Prompts:
    """The event's prompts ('': none), each with one of the fewest pieces that meet all that can be met.

    Pieces that are finished, or have fewer stitches left than a prompt asks for, do not count. Ties go to pieces with a
    due day still to come, then to those longest without a stitch, then to those on the go over new starts.
    Raises StitchlogError where there is no such event.
    """
    if event == "":
        return Prompts(pd.DataFrame(columns=COLUMNS), True, "")
    day, name = diary.as_of, event_named(diary, event)
    rows = diary.prompts[diary.prompts["event"] == name].reset_index(drop=True)
    pieces = diary.pieces.merge(diary.standing()[["piece", "remaining", "last_session", "status"]], on="piece")
    pieces = pieces[pieces["status"] != "finished"]
    going = pieces[pieces["status"] == "on the go"]
    have = dict(zip(pieces["piece"], pieces["tags"], strict=True))
    # Rows are told apart by number: an event may ask the same twice.
    answer = fewest(
        rows["needs"].to_dict(),
        have,
        due=pieces.loc[pieces["due"] >= day, "piece"],
        neglected=dict(zip(going["piece"], (day - going["last_session"]).dt.days.fillna(0.0), strict=True)),
        on_the_go=going["piece"],
        able={i: pieces.loc[~(pieces["remaining"] < least), "piece"] for i, least in rows["stitches"].dropna().items()},
    )
    out = rows.assign(piece=answer.pairs["piece"].fillna("").to_numpy())
    out["mend"] = [
        "" if piece else _say_mend(needs, have) for needs, piece in zip(out["needs"], out["piece"], strict=True)
    ]
    return Prompts(out[COLUMNS], answer.least, name)


def bag(diary: Diary, frame: pd.DataFrame) -> pd.DataFrame:
    """What to pack for the rows of `prompts`: a row a piece, the one that meets most of them first.

    Columns: piece, prompts (their words, `; ` between), stitches (that they ask of it, each prompt on its own), cloth,
    needle_case (its colours, `; ` between, those of which half a skein or less, or nobody knows how much, is on hand
    with their skeins), low (the codes of these).
    """
    met = frame[frame["piece"] != ""]
    rows = []
    for piece in met["piece"].value_counts().index:
        mine = met[met["piece"] == piece]
        colours = _colours_of(diary, piece)
        low = ~(colours > LOW_SKEINS)
        case = [_say_low(c, n) if is_low else c for c, n, is_low in zip(colours.index, colours, low, strict=True)]
        rows.append(
            {
                "piece": piece,
                "prompts": "; ".join(mine["prompt"]),
                "stitches": mine["stitches"].sum(),
                "cloth": _cloth(diary, piece),
                "needle_case": "; ".join(case),
                "low": "; ".join(colours.index[low]),
            }
        )
    return pd.DataFrame(rows, columns=["piece", "prompts", "stitches", "cloth", "needle_case", "low"])


def away(diary: Diary, start: pd.Timestamp, end: pd.Timestamp) -> str:
    """The first event of the period with prompts to pack for, a weekend before longer ones ('' where there is none)."""
    rows = diary.events[(diary.events["starts"] <= end) & (diary.events["ends"] >= start)]
    rows = rows[rows["event"].isin(diary.prompts["event"])]
    long = (rows["ends"] - rows["starts"]).dt.days >= _WEEKEND_DAYS
    order = rows.assign(long=long).sort_values(["long", "starts"], kind="stable")
    return next(iter(order["event"]), "")


def say_prompts(found: Prompts) -> str:
    """How many of the prompts are met, by how many pieces, and what would meet the rest."""
    frame = found.rows
    if frame.empty:
        return "No event with prompts lies in this period."
    met = frame["piece"] != ""
    event, asked = found.event, words.count(len(frame), "prompt")
    used = frame.loc[met, "piece"].nunique()
    share = f"all {asked}" if met.all() else f"{met.sum()} of {asked}"
    text = f"{event}: {words.count(used, 'piece')} {'meets' if used == 1 else 'meet'} {share}."
    if not found.least:
        text += " Fewer might do: the search was cut short."
    if not used:
        text = f"No piece meets any of the {asked} of {event}."
    mends = [f"“{row.prompt}” needs {row.mend}" for row in each_row(frame[~met])]
    return f"{text} {words.listed(mends)}." if mends else text


def say_bag(frame: pd.DataFrame) -> str:
    """How many pieces to pack and which colours to look at first."""
    if frame.empty:
        return "There is nothing to pack."
    text = f"{words.count(len(frame), 'piece')} to pack: {words.listed(frame['piece'])}."
    low = list(dict.fromkeys(code for codes in frame["low"] if codes for code in codes.split("; ")))
    if not low:
        return text
    more = [f"{len(low) - _FEW} more"] if len(low) > _FEW else []
    return f"{text} Half a skein or less is left of {words.listed([*low[:_FEW], *more])}."


def _colours_of(diary: Diary, piece: str) -> pd.Series:
    """Skeins on hand (NaN: not in threads.csv) of every colour of the piece's chart and sessions, by code."""
    codes = {code for rows in (diary.chart_colours, diary.colours) for code in rows.loc[rows["piece"] == piece, "code"]}
    return diary.threads.set_index("code")["skeins"].reindex(sorted(codes))


def _say_mend(needs: str, have: dict[str, str]) -> str:
    tags, near = mending(needs, have)
    if not tags:
        return "a piece with enough stitches left"
    if not any(tags_of(have[piece]) for piece in near):
        return f"a piece tagged {words.listed(tags)}"
    return f"the tag {words.listed(tags)} on {words.listed(near[:2], 'or')}"


def _say_low(code: str, skeins: float) -> str:
    return f"{code} (?)" if pd.isna(skeins) else f"{code} ({skeins:g})" if skeins else f"{code} (none)"


def _cloth(diary: Diary, piece: str) -> str:
    row = diary.pieces[diary.pieces["piece"] == piece].iloc[0]
    count = "" if pd.isna(row["count"]) else f"{row['count']:g} count"
    return " ".join(part for part in (count, row["fabric"]) if part)
