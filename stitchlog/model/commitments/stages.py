"""Where every commitment stands: worked, owed, carried over, and what a day catches it up."""

from __future__ import annotations

import numpy as np
import pandas as pd

from stitchlog.diary.diary import Day, Diary
from stitchlog.diary.frames import each_row
from stitchlog.model.commitments.chances import share_out
from stitchlog.model.commitments.commitments import commitments, event_named

COLUMNS = ["event", "part", "starts", "ends", "target", "worked", "owed", "per_day_needed", "carried", "days_left"]
COLUMNS += ["status", "kind", "unit", "piece", "shared", "per_unit", "label"]


def stages(diary: Diary, event: str | None = None, as_of: Day | None = None) -> pd.DataFrame:
    """How the parts of an event (None: every event and due piece) stand at the end of the diary's day, or of `as_of`.

    Columns: event, part, starts, ends;
    target, worked, owed (in `unit`: stitches, pieces or lengths): worked is what counts in the window by `as_of`, owed
    what the part itself still lacks (0 where its piece is finished; never more than the piece still has);
    per_day_needed (unit a day): owed and carried, over the days left; 0 where nothing is lacking, NaN once it is over;
    carried: what earlier parts of the same event on the same piece left undone when this part began (below 0: ahead).
    A part that allows any piece carries nothing: a stage that is over is over. Of parts to come only the next carries;
    days_left; status ('to come', 'now', 'met', 'made up', 'not met', 'over', 'piece finished', 'unknown'), kind, unit,
    piece, shared, per_unit (stitches in a unit), label (its short name).

    A half stitch counts what the event's `half_counts` says. Where an event is not shared, its stitches are taken from
    the others' `worked`, the nearest end first. Raises StitchlogError where there is no such event.
    """
    out = standing(diary.at(as_of))
    if event is not None:
        out = out[(out["event"] == event_named(diary, event)) & (out["kind"] != "due")]
    return out[COLUMNS].reset_index(drop=True)


def standing(diary: Diary) -> pd.DataFrame:
    """Every commitment with all that `stages` adds, and `wanted`: what it asks of the days to come, in its unit.

    This is the one place where what an event or a due day still asks for is worked out.
    """
    return diary.once("commitments", lambda: _standing(diary)).copy()


def _standing(diary: Diary) -> pd.DataFrame:
    day = diary.as_of
    out = _worked(diary, commitments(diary))
    left = out["left"].fillna(np.inf)
    out["owed"] = np.minimum((out["target"] - out["worked"]).clip(lower=0.0), left)
    # What is carried over cannot be more than the piece has left beyond the part's own.
    out["carried"] = np.minimum(_carried(diary.sessions, out, day), (left - out["owed"].fillna(0.0)).clip(lower=0.0))
    opens = out["starts"].where(out["starts"] > day, day + pd.Timedelta(days=1))
    out["days_left"] = ((out["ends"] - opens).dt.days + 1).clip(lower=0).fillna(0).astype(int)
    over = out["ends"] <= day
    made_up = _made_up(out, day)
    # What was worked beyond the part's own target pays for what it carries.
    lacking = out["target"] - out["worked"] + out["carried"]
    out["wanted"] = np.minimum(lacking.clip(lower=0.0), left)
    out["wanted"] = out["wanted"].where(~over, out["owed"].where(~made_up, 0.0))
    spread = out["wanted"] / out["days_left"].where(out["days_left"] > 0)
    out["per_day_needed"] = spread.where(out["wanted"] > 0, 0.0 * out["wanted"])
    out["status"] = _status(out, over, made_up, day)
    return out


def chains(frame: pd.DataFrame) -> list[pd.DataFrame]:
    """Parts of one event on one piece that follow one another, in order: what one leaves undone, the next has to do."""
    bound = frame[(frame["piece"] != "") & (frame["kind"] == "target") & frame["target"].notna()]
    groups = [g.sort_values(["starts", "ends"]) for _, g in bound.groupby(["event", "piece"], sort=False) if len(g) > 1]
    return [g for g in groups if (g["starts"].to_numpy()[1:] > g["ends"].to_numpy()[:-1]).all()]


def marks(diary: Diary, rows: pd.DataFrame) -> pd.DataFrame:
    """The beginnings that count for the `start` commitments in `rows`, and the finishes of `finish` and due ones.

    rows: of `stages`. Columns: label (the commitment's), piece, date, what ('begun' or 'finished').
    """
    pieces = diary.standing()
    found = []
    for row in each_row(rows[rows["kind"].isin(["start", "finish", "due"])]):
        what, column = ("begun", "began") if row.kind == "start" else ("finished", "finished")
        mine = pieces[(row.piece == "") | (pieces["piece"] == row.piece)]
        here = mine[~(mine[column] < row.starts) & (mine[column] <= row.ends)]
        found += [(row.label, piece, date, what) for piece, date in zip(here["piece"], here[column], strict=True)]
    return pd.DataFrame(found, columns=["label", "piece", "date", "what"]).astype({"date": "datetime64[us]"})


def _worked(diary: Diary, rows: pd.DataFrame) -> pd.DataFrame:
    """`rows` with their target, worked (both in the unit) and left (what its piece still has; NaN: unknown, or any)."""
    pieces, sessions = diary.standing().set_index("piece"), diary.sessions
    out = rows.copy()
    left = out["piece"].map(pieces["remaining"].where(pieces["finished"].isna(), 0.0)).astype(float)
    # A piece wanted finished takes all that is worked on it since the window opened, whatever else that counts for.
    whole = out["kind"].isin(["finish", "due"])
    since = _counts(sessions, out.assign(ends=np.datetime64("NaT", "us"))).sum(axis=1)
    since = np.where(out["starts"].notna(), since, out["piece"].map(pieces["total"]).astype(float) - left)
    out["target"] = out["target"].where(~whole, left + since)
    counts = _counts(sessions, out)
    if not out["shared"].all():
        _keep_apart(counts, out, sessions)
    out["worked"] = np.where(whole, since, counts.sum(axis=1))
    lengths, starts = out["kind"] == "length", out["kind"] == "start"
    out["worked"] = (out["worked"] / out["per_unit"]).where(lengths, out["worked"])
    out["left"] = (left / out["per_unit"]).where(lengths, left).mask(starts)
    for row in each_row(out[starts]):
        began = pieces["began"][(row.piece == "") | (pieces.index == row.piece)]
        out.loc[row.Index, "worked"] = float(began.between(row.starts, row.ends).sum())
    return out


def _counts(sessions: pd.DataFrame, rows: pd.DataFrame) -> np.ndarray:
    """What each session counts for each commitment, in stitches, shape (commitments, sessions)."""
    place, names = pd.factorize(sessions["piece"])
    wants = pd.Index(names).get_indexer(pd.Index(rows["piece"]))[:, None]
    starts, ends = (rows[name].to_numpy("M8[us]")[:, None] for name in ("starts", "ends"))
    days = sessions["date"].to_numpy("M8[us]")
    fits = ((rows["piece"] == "").to_numpy()[:, None] | (place == wants)) & ~(days < starts) & ~(days > ends)
    half = sessions["half"].fillna(0.0).to_numpy(float)
    extra = rows["half_counts"].to_numpy(float)[:, None] - 0.5
    return np.where(fits, sessions["stitches"].to_numpy(float) + extra * half, 0.0)


def _keep_apart(counts: np.ndarray, rows: pd.DataFrame, sessions: pd.DataFrame) -> None:
    """Take out of `counts`, day by day and piece by piece, the stitches that another commitment keeps to itself.

    The nearest end is served first, up to its target; a commitment that is not shared may not take what a shared one
    has counted.
    """
    days, stitches = sessions["date"].to_numpy(), sessions["stitches"].to_numpy(float)
    order = np.lexsort([rows["starts"], rows["ends"]])
    shared = rows["shared"].to_numpy()
    # Without a target a commitment takes all there is.
    wants = (rows["target"] * rows["per_unit"]).fillna(np.inf).to_numpy(float)
    beside = (counts[~shared] != 0).any(axis=0)
    for (day, _), places in sessions.assign(place=np.arange(len(sessions)))[beside].groupby(["date", "piece"])["place"]:
        at = places.to_numpy()
        total = stitches[at].sum()
        today = [i for i in order if counts[i, at].any()]
        if total <= 0:
            continue
        claims = []
        for i in today:
            full, so_far = counts[i, at].sum(), counts[i, days < day].sum()
            claims.append((max(0.0, wants[i] - so_far) * total / full if full > 0 else np.inf, bool(shared[i])))
        for i, mine in zip(today, share_out(total, claims), strict=True):
            counts[i, at] *= mine / total


def _carried(sessions: pd.DataFrame, out: pd.DataFrame, day: pd.Timestamp) -> pd.Series:
    """What the parts before each one left undone when it began."""
    carried = pd.Series(0.0, index=out.index)
    for parts in chains(out):
        running = ((parts["starts"] <= day) & (parts["ends"] > day)).any()
        next_one = parts.index[parts["starts"] > day][: 0 if running else 1]
        told = parts.iloc[1:]
        told = told[(told["starts"] <= day) | told.index.isin(next_one)]
        before = told.assign(starts=parts["starts"].iloc[0], ends=told["starts"] - pd.Timedelta(days=1))
        asked = parts["target"].cumsum() - parts["target"]
        carried[told.index] = asked[told.index] - _counts(sessions, before).sum(axis=1)
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
