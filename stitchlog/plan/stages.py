"""Where every commitment stands: worked, owed, carried over, and what a day catches it up."""

from __future__ import annotations

import numpy as np
import pandas as pd

from stitchlog.diary import Diary
from stitchlog.plan.apart import keep_apart
from stitchlog.plan.commitments import commitments, each, event_named, label

COLUMNS = ["event", "part", "starts", "ends", "target", "worked", "owed", "per_day_needed", "carried", "days_left"]
COLUMNS += ["status", "kind", "unit", "piece", "shared", "days_kept", "per_unit"]


def stages(diary: Diary, event: str | None = None, as_of: pd.Timestamp | str | None = None) -> pd.DataFrame:
    """How the parts of an event (None: every event and due piece) stand at the end of the day `as_of`.

    Columns: event, part, starts, ends;
    target, worked, owed (in `unit`: stitches, pieces or lengths): worked is what counts in the window by `as_of`, owed
    what the part itself still lacks (0 where its piece is finished; never more than the piece still has);
    per_day_needed (unit a day): owed and carried, over the days left, 0 where nothing is lacking, NaN once it is over;
    carried: what earlier parts of the same event on the same piece left undone when this part began (below 0: ahead).
    A part that allows any piece carries nothing: a stage that is over is over. Of parts to come only the next carries;
    days_left; status ('to come', 'now', 'met', 'made up',
    'not met', 'over', 'piece finished', 'unknown'), kind, unit, piece,
    shared, days_kept (length: days with at least one length), per_unit (stitches in a unit).

    A half stitch counts what the event's `half_counts` says. Where an event is not shared, its stitches are taken from
    the others' `worked`, the nearest end first. Raises StitchlogError where there is no such event.
    """
    day = diary.last_day if as_of is None else pd.Timestamp(as_of)
    out = standing(diary, commitments(diary), day)
    if event is not None:
        out = out[(out["event"] == event_named(diary, event)) & (out["kind"] != "due")]
    return out[COLUMNS].reset_index(drop=True)


def standing(diary: Diary, rows: pd.DataFrame, day: pd.Timestamp) -> pd.DataFrame:
    """`commitments` with worked, owed, carried, days_left, per_day_needed, status and label at the end of `day`."""
    pieces = diary.standing(day).set_index("piece")
    sessions = diary.sessions[diary.sessions["date"] <= day]
    out = rows.copy()
    counted = _counted(sessions, out)
    targets, worked, kept = [], [], []
    for row in each(out):
        mine = counted[row.Index]
        target, done = row.target, float(mine["worth"].sum())
        if row.kind == "start":
            done = float(_begun(pieces, row))
        elif row.kind in ("finish", "due"):
            left = _remaining(pieces, row.piece)
            target = _to_finish(pieces, sessions, row)
            done = target - left if np.isfinite(target) else done
        elif row.kind == "length":
            done = done / row.per_unit
        targets.append(target)
        worked.append(done)
        kept.append(int((mine.groupby("date")["worth"].sum() >= row.per_unit).sum()) if row.kind == "length" else 0)
    out["target"], out["worked"], out["days_kept"] = targets, worked, kept
    out["owed"] = (out["target"] - out["worked"]).clip(lower=0.0)
    _cap_at_remaining(out, pieces)
    out["carried"] = _carried(sessions, out, day)
    opens = out["starts"].where(out["starts"] > day, day + pd.Timedelta(days=1))
    out["days_left"] = ((out["ends"] - opens).dt.days + 1).clip(lower=0).astype(int)
    needed = needs(out, pieces, day)
    out["per_day_needed"] = (needed / out["days_left"].where(out["days_left"] > 0)).where(needed > 0, 0.0 * needed)
    out["status"] = _status(out, pieces, needed, day)
    out["label"] = [label(row) for row in each(out)]
    return out


def needs(frame: pd.DataFrame, pieces: pd.DataFrame, day: pd.Timestamp) -> pd.Series:
    """What is wanted of the days to come, in the row's unit: owed and carried, at most what the piece still has.

    For a part that is over: what it lacks, 0 where later days have made it up.
    """
    over = frame["ends"] <= day
    wanted = (frame["owed"] + frame["carried"]).clip(lower=0.0)
    wanted = wanted.where(~over, frame["owed"].where(~made_up(frame, day), 0.0))
    left = frame["piece"].map(lambda p: _remaining(pieces, p)) / frame["per_unit"].where(frame["per_unit"] > 0)
    return wanted.where(~(left < wanted), left)


def _counted(sessions: pd.DataFrame, rows: pd.DataFrame) -> dict[int, pd.DataFrame]:
    """Sessions that count for each commitment: date, piece, stitches, worth (with halves as the event counts them)."""
    dates = sessions["date"].to_numpy()
    out = {}
    for row in each(rows):
        first = 0 if pd.isna(row.starts) else np.searchsorted(dates, row.starts.to_datetime64(), "left")
        last = np.searchsorted(dates, row.ends.to_datetime64(), "right")
        mine = sessions.iloc[first:last]
        if row.piece:
            mine = mine[mine["piece"] == row.piece]
        half = (row.half_counts - 0.5) * mine["half"].fillna(0.0)
        out[row.Index] = mine[["date", "piece", "stitches"]].assign(worth=mine["stitches"] + half)
    return keep_apart(out, rows) if not rows["shared"].all() else out


def _begun(pieces: pd.DataFrame, row) -> int:
    began = pieces["began"] if row.piece == "" else pieces["began"][pieces.index == row.piece]
    return int(((began >= row.starts) & (began <= row.ends)).sum())


def _remaining(pieces: pd.DataFrame, piece: str) -> float:
    """Stitches left in the piece: 0 where it is finished, NaN where its total is not known."""
    if piece not in pieces.index:
        return float("nan")
    if _finished(pieces, piece):
        return 0.0
    return float(pieces["remaining"][piece])


def _finished(pieces: pd.DataFrame, piece: str) -> bool:
    return piece in pieces.index and pd.notna(pieces["finished"][piece])


def _to_finish(pieces: pd.DataFrame, sessions: pd.DataFrame, row) -> float:
    """Stitches that the piece wanted when the window opened."""
    if row.piece not in pieces.index:
        return float("nan")
    since = sessions["piece"] == row.piece
    since &= (sessions["date"] >= row.starts) if pd.notna(row.starts) else True
    worked = float(sessions.loc[since, "stitches"].sum())
    left = _remaining(pieces, row.piece)
    return left + worked if pd.notna(row.starts) else float(pieces["total"][row.piece])


def _cap_at_remaining(out: pd.DataFrame, pieces: pd.DataFrame) -> None:
    left = out["piece"].map(lambda p: _remaining(pieces, p)) / out["per_unit"].where(out["per_unit"] > 0)
    out["owed"] = out["owed"].where(~(left < out["owed"]), left)


def _carried(sessions: pd.DataFrame, out: pd.DataFrame, day: pd.Timestamp) -> pd.Series:
    carried = pd.Series(0.0, index=out.index)
    for parts in chains(out):
        first = parts.iloc[0]
        mine = sessions[(sessions["piece"] == first["piece"]) & (sessions["date"] >= first["starts"])]
        running = ((parts["starts"] <= day) & (parts["ends"] > day)).any()
        next_one = parts.index[parts["starts"] > day][:1]
        for row in each(parts.iloc[1:]):
            if row.starts > day and (running or row.Index not in next_one):
                continue
            earlier = parts.loc[parts["ends"] < row.starts, "target"].sum()
            before = mine[mine["date"] < row.starts]
            worth = before["stitches"] + (row.half_counts - 0.5) * before["half"].fillna(0.0)
            carried[row.Index] = earlier - worth.sum()
    return carried


def chains(frame: pd.DataFrame) -> list[pd.DataFrame]:
    """Parts of one event on one piece that follow one another, in order: what one leaves undone, the next has to do."""
    bound = frame[(frame["piece"] != "") & (frame["kind"] == "target") & frame["target"].notna()]
    groups = [g.sort_values(["starts", "ends"]) for _, g in bound.groupby(["event", "piece"], sort=False) if len(g) > 1]
    return [g for g in groups if (g["starts"].to_numpy()[1:] > g["ends"].to_numpy()[:-1]).all()]


def made_up(out: pd.DataFrame, day: pd.Timestamp) -> pd.Series:
    """Which parts lack nothing any more because later days worked more than their own parts asked for."""
    yes = pd.Series(False, index=out.index)
    for parts in chains(out):
        begun = parts[parts["starts"] <= day]
        yes[begun.index] = begun["target"].cumsum() <= begun["worked"].sum()
    return yes


def _status(out: pd.DataFrame, pieces: pd.DataFrame, needed: pd.Series, day: pd.Timestamp) -> np.ndarray:
    finished = out["piece"].map(lambda p: _finished(pieces, p))
    over = out["ends"] <= day
    open_ended = (out["kind"] == "target") & out["target"].isna()
    return np.select(
        [
            finished & ~over & ~out["kind"].isin(["start"]),
            open_ended & over,
            ~open_ended & out["owed"].isna(),
            ~(out["owed"] > 0) & over & ~open_ended,
            ~(needed > 0) & ~over & ~open_ended & ((out["starts"] <= day) | out["starts"].isna()),
            over & made_up(out, day),
            over,
            out["starts"] > day,
        ],
        ["piece finished", "over", "unknown", "met", "met", "made up", "not met", "to come"],
        "now",
    )
