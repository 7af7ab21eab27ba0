"""Where every commitment stands: worked, owed, carried over, and what a day catches it up."""

from __future__ import annotations

from typing import Any, cast

import numpy as np
import pandas as pd

from stitchlog.diary import Diary
from stitchlog.plan.commitments import commitments, event_named, label
from stitchlog.plan.tally import Records, Tally

COLUMNS = ["event", "part", "starts", "ends", "target", "worked", "owed", "per_day_needed", "carried", "days_left"]
COLUMNS += ["status", "kind", "unit", "piece", "shared", "days_kept", "per_unit"]


def stages(diary: Diary, event: str | None = None, as_of: pd.Timestamp | str | None = None) -> pd.DataFrame:
    """How the parts of an event (None: every event and due piece) stand at the end of the day `as_of`.

    Columns: event, part, starts, ends;
    target, worked, owed (in `unit`: stitches, pieces or lengths): worked is what counts in the window by `as_of`, owed
    what the part itself still lacks (0 where its piece is finished; never more than the piece still has);
    per_day_needed (unit a day): owed and carried, over the days left; 0 where nothing is lacking, NaN once it is over;
    carried: what earlier parts of the same event on the same piece left undone when this part began (below 0: ahead).
    A part that allows any piece carries nothing: a stage that is over is over. Of parts to come only the next carries;
    days_left; status ('to come', 'now', 'met', 'made up', 'not met', 'over', 'piece finished', 'unknown'), kind, unit,
    piece, shared, days_kept (length: days with at least one length), per_unit (stitches in a unit).

    A half stitch counts what the event's `half_counts` says. Where an event is not shared, its stitches are taken from
    the others' `worked`, the nearest end first. Raises StitchlogError where there is no such event.
    """
    day = diary.last_day if as_of is None else pd.Timestamp(as_of)
    rows = commitments(diary)
    out = standing(diary, rows, day)
    if event is not None:
        out = out[(out["event"] == event_named(diary, event)) & (out["kind"] != "due")]
    return out[COLUMNS].reset_index(drop=True)


def standing(diary: Diary, rows: pd.DataFrame, day: pd.Timestamp) -> pd.DataFrame:
    """`commitments` with all that `stages` adds, and wanted (asked of the days to come, in the unit) and label."""
    pieces = diary.standing(day).set_index("piece")
    tally = Tally(diary.sessions[diary.sessions["date"] <= day])
    out = rows.copy()
    records = cast(Records, out.to_dict("index"))
    counted = tally.counted(records)
    for i, row in records.items():
        _work_out(row, counted[i].sum(), tally, pieces)
        row["days_kept"] = tally.days_with(row, counted[i], row["per_unit"]) if row["kind"] == "length" else 0
    for name in ("target", "worked", "days_kept", "left"):
        out[name] = pd.Series({i: row[name] for i, row in records.items()}, dtype=float)
    out["owed"] = np.minimum((out["target"] - out["worked"]).clip(lower=0.0), out["left"].fillna(np.inf))
    out["carried"] = _carried(tally, out, day)
    opens = out["starts"].where(out["starts"] > day, day + pd.Timedelta(days=1))
    out["days_left"] = ((out["ends"] - opens).dt.days + 1).clip(lower=0).astype(int)
    over = out["ends"] <= day
    made_up = _made_up(out, day)
    # What was worked beyond the part's own target pays for what it carries.
    lacking = out["target"] - out["worked"] + out["carried"]
    out["wanted"] = np.minimum(lacking.clip(lower=0.0), out["left"].fillna(np.inf))
    out["wanted"] = out["wanted"].where(~over, out["owed"].where(~made_up, 0.0))
    spread = out["wanted"] / out["days_left"].where(out["days_left"] > 0)
    out["per_day_needed"] = spread.where(out["wanted"] > 0, 0.0 * out["wanted"])
    out["status"] = _status(out, over, made_up, day)
    out["label"] = [label(row) for row in out.itertuples()]
    return out.astype({"days_kept": int})


def chains(frame: pd.DataFrame) -> list[pd.DataFrame]:
    """Parts of one event on one piece that follow one another, in order: what one leaves undone, the next has to do."""
    bound = frame[(frame["piece"] != "") & (frame["kind"] == "target") & frame["target"].notna()]
    groups = [g.sort_values(["starts", "ends"]) for _, g in bound.groupby(["event", "piece"], sort=False) if len(g) > 1]
    return [g for g in groups if (g["starts"].to_numpy()[1:] > g["ends"].to_numpy()[:-1]).all()]


def _work_out(row: dict[str, Any], worth: float, tally: Tally, pieces: pd.DataFrame) -> None:
    """Fill in target, worked (in the row's unit) and left (what its piece still has; NaN: unknown, or any piece)."""
    left, total = float("nan"), float("nan")
    if row["piece"] in pieces.index:
        finished = pd.notna(pieces["finished"][row["piece"]])
        left = 0.0 if finished else float(pieces["remaining"][row["piece"]])
        total = float(pieces["total"][row["piece"]])
    row["worked"] = worth
    if row["kind"] == "start":
        began = pieces["began"] if row["piece"] == "" else pieces["began"][pieces.index == row["piece"]]
        row["worked"], left = float(((began >= row["starts"]) & (began <= row["ends"])).sum()), float("nan")
    elif row["kind"] in ("finish", "due"):
        since = tally.sum(row["piece"], since=row["starts"]) if pd.notna(row["starts"]) else total - left
        row["target"] = left + since
        row["worked"] = since
    elif row["kind"] == "length":
        row["worked"] = worth / row["per_unit"]
        left = left / row["per_unit"]
    row["left"] = left


def _carried(tally: Tally, out: pd.DataFrame, day: pd.Timestamp) -> pd.Series:
    carried = pd.Series(0.0, index=out.index)
    for parts in chains(out):
        first = parts.iloc[0]
        running = ((parts["starts"] <= day) & (parts["ends"] > day)).any()
        next_one = parts.index[parts["starts"] > day][:1]
        for i, row in list(cast(Records, parts.to_dict("index")).items())[1:]:
            if row["starts"] > day and (running or i not in next_one):
                continue
            earlier = parts.loc[parts["ends"] < row["starts"], "target"].sum()
            worth = tally.sum(row["piece"], first["starts"], before=row["starts"], half_counts=row["half_counts"])
            carried[i] = earlier - worth
    return carried


def _made_up(out: pd.DataFrame, day: pd.Timestamp) -> pd.Series:
    """Which parts lack nothing any more because other days worked more than their own parts asked for."""
    yes = pd.Series(False, index=out.index)
    for parts in chains(out):
        begun = parts[parts["starts"] <= day]
        yes[begun.index] = begun["target"].cumsum() <= begun["worked"].sum()
    return yes


def _status(out: pd.DataFrame, over: pd.Series, made_up: pd.Series, day: pd.Timestamp) -> np.ndarray:
    open_ended = (out["kind"] == "target") & out["target"].isna()
    begun = (out["starts"] <= day) | out["starts"].isna()
    return np.select(
        [
            (out["left"] == 0) & ~over,
            open_ended & over,
            ~open_ended & out["owed"].isna(),
            over & ~(out["owed"] > 0),
            ~over & begun & ~open_ended & ~(out["wanted"] > 0),
            over & made_up,
            over,
            ~begun,
        ],
        ["piece finished", "over", "unknown", "met", "met", "made up", "not met", "to come"],
        "now",
    )
