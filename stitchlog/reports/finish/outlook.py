"""Everything the finish report shows, asked at once."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd

from stitchlog.diary.diary import Diary
from stitchlog.errors import StitchlogError
from stitchlog.model.forecast import whatif
from stitchlog.model.forecast.backtest import COLUMNS, backtest, learnt, reliability
from stitchlog.model.forecast.finishing import NONE, Correction
from stitchlog.model.forecast.known import Known, day_of, known
from stitchlog.model.forecast.needs import COLUMNS as NEEDED_COLUMNS
from stitchlog.model.forecast.needs import needed
from stitchlog.model.forecast.pieces import Forecast, days_to_reach, finish, refuse
from stitchlog.model.forecast.together import COLUMNS as ORDER_COLUMNS
from stitchlog.model.forecast.together import order

_LARGEST = 3
# A diary with many pieces on the go gets a shorter record, and its order fewer paths, so that a report stays quick.
_WINDOWS, _PATHS = 240, 8000
_STEPS = 12  # levels of progress that the fan is drawn through
_FAN = {"early": 0.1, "sooner": 0.25, "middle": 0.5, "later": 0.75, "late": 0.9}
_SHARES = (0.25, 0.5, 1.0)
_WINDOW = {"early": "not before (10%)", "middle": "half the chances before", "late": "by then with 90%"}
HEADINGS = {"piece": "piece", "remaining": "stitches left", **_WINDOW, "due": "wanted by"}
HEADINGS |= {"due_chance": "chance for that day"}
WHATIF_HEADINGS = {"what": "what if", **_WINDOW}
ORDER_HEADINGS = {"piece": "piece", "remaining": "stitches left", "next_chance": "chance to be next", **_WINDOW}
ORDER_HEADINGS |= {"year_chance": "chance within a year"}
NEEDED_HEADINGS = {
    "piece": "piece",
    "by": "done by",
    "chance": "with a chance of",
    "per_day": "stitches a day",
    "per_stitching_day": "on each day you stitch",
    "good_day": "your good day",
    "share": "share of your stitches",
    "now_share": "share lately",
    "from_others": "others give, a week",
}


@dataclass(frozen=True)
class Outlook:
    """The finishes of some pieces.

    found: their forecasts, the largest first, then other pieces with a due day. refused: why others have none, a
    sentence each. windows: piece, remaining, early, sooner, middle, later, late (days with chance 0.1 to 0.9), due,
    due_chance. fan: see `fan`, for the largest. whatif: piece, what, early, middle, late, for the first piece. needed:
    as `needed`, for pieces with a day to be done by. order: as `order`. record: as `backtest`, finished pieces first,
    of up to the last 36 months. reliability: as `reliability`. learnt: what it has changed.
    """

    found: list[Forecast]
    refused: list[str]
    windows: pd.DataFrame
    fan: pd.DataFrame
    whatif: pd.DataFrame
    needed: pd.DataFrame
    order: pd.DataFrame
    record: pd.DataFrame
    reliability: pd.DataFrame
    learnt: Correction


def outlook(
    diary: Diary,
    piece: str | None = None,
    as_of: Any = None,
    per_week: float | None = None,
    share: float | None = None,
    focus: bool = False,
    by: Any = None,
    paths: int = 2000,
    seed: int = 0,
) -> Outlook:
    """The finishes of `piece`, or (None) of the three largest pieces on the go and of those that are due.

    per_week, share, focus: a what-if, as in `finish`, shown beside the usual ones. by: a day to be done by, beside the
    pieces' own due days. Raises StitchlogError as `finish` where one piece is asked for.
    """
    if diary.sessions.empty and not piece:
        return _nothing()
    day = day_of(diary, as_of)
    due = diary.pieces.set_index("piece")["due"]
    big = [diary.piece(piece)] if piece else largest(diary, day)
    names = big if piece else big + [name for name in largest(diary, day, None) if name not in big and due[name] > day]
    found, refused = [], []
    for name in names:
        try:
            found.append(finish(diary, name, day, paths, seed))
        except StitchlogError as error:
            if piece and not (per_week or share or focus):
                raise
            refused.append(str(error))
    going = max(len(largest(diary, day, None)), 1)
    record = backtest(diary, day, months=int(np.clip(_WINDOWS // going, 3, 36)))
    by_record = learnt(diary, day)
    found = [f.corrected(by_record) for f in found]
    asked = {"per_week": per_week, "share": share, "focus": focus or None}
    return Outlook(
        found=found,
        refused=refused,
        windows=windows(found, due),
        fan=pd.concat([_no_fan(), *(fan(diary, f, paths, seed) for f in found if f.piece in big)], ignore_index=True),
        whatif=what_if(diary, names[0], day, asked, by_record, paths, seed) if names else _no_whatif(),
        needed=_needed(diary, names, due, by, day, paths, seed),
        order=order(diary, day, paths=int(np.clip(_PATHS // going, 100, 500)), seed=seed, by_record=by_record),
        record=_told_first(record),
        reliability=reliability(record),
        learnt=by_record,
    )


def _told_first(record: pd.DataFrame) -> pd.DataFrame:
    """Windows of which the finish is known before the others, the latest first."""
    order = record.assign(open=record["actual_days"].isna()).sort_values(
        ["open", "cut"], ascending=[True, False], kind="stable"
    )
    return order.drop(columns="open").reset_index(drop=True)


def largest(diary: Diary, as_of: Any = None, most: int | None = _LARGEST) -> list[str]:
    """The pieces on the go with the largest known total, the largest first; all of them where `most` is None."""
    standing = diary.standing(day_of(diary, as_of))
    open_ = standing[(standing["status"] == "on the go") & (standing["remaining"] > 0)]
    return open_.sort_values(["total", "piece"], ascending=[False, True])["piece"].tolist()[:most]


def windows(found: list[Forecast], due: pd.Series) -> pd.DataFrame:
    """A row a forecast: piece, remaining, early, sooner, middle, later, late, due, due_chance."""
    rows = []
    for f in found:
        wanted = due.get(f.piece, pd.NaT)
        chance = f.chance(wanted) if pd.notna(wanted) and f.remaining > 0 else np.nan
        dates = {name: f.date(q) for name, q in _FAN.items()}
        rows.append({"piece": f.piece, "remaining": f.remaining, **dates, "due": wanted, "due_chance": chance})
    out = pd.DataFrame(rows, columns=["piece", "remaining", *_FAN, "due", "due_chance"])
    return out.astype(dict.fromkeys([*_FAN, "due"], "datetime64[us]"))


def fan(diary: Diary, found: Forecast, paths: int = 2000, seed: int = 0) -> pd.DataFrame:
    """How the piece gets to its finish: the days by which each level of progress is reached.

    Columns: piece, stitches (done by then), early, sooner, middle, later, late (days with chance 0.1, 0.25, 0.5, 0.75,
    0.9; NaT where not within sight), kind ('ahead'; 'past' for what was done, one row a session day, its day in all).
    """
    about = known(diary, found.piece, found.as_of)
    past = _past(diary, about)
    if found.remaining <= 0:
        return past
    steps = np.linspace(0.0, found.remaining, _STEPS + 1)[1:]
    days = days_to_reach(about, steps, paths, seed)
    rows = [{"piece": about.piece, "stitches": about.done, **dict.fromkeys(_FAN, about.as_of), "kind": "ahead"}]
    for step, reached in zip(steps, days, strict=True):
        level = Forecast(about.piece, about.as_of, step, reached).corrected(found.correction)
        dates = {name: level.date(q) for name, q in _FAN.items()}
        rows.append({"piece": about.piece, "stitches": about.done + step, **dates, "kind": "ahead"})
    return pd.concat([past, pd.DataFrame(rows).astype(past.dtypes.to_dict())], ignore_index=True)


def _past(diary: Diary, about: Known) -> pd.DataFrame:
    rows = diary.sessions[(diary.sessions["piece"] == about.piece) & (diary.sessions["date"] <= about.as_of)]
    daily = rows.groupby("date")["stitches"].sum()
    total = about.done - daily.sum() + daily.cumsum()
    out = pd.DataFrame({"piece": about.piece, "stitches": total.to_numpy(float)})
    for name in _FAN:
        out[name] = total.index.to_numpy().astype("datetime64[us]")
    return out.assign(kind="past")


def what_if(
    diary: Diary,
    piece: str,
    as_of: Any,
    asked: dict[str, Any],
    by_record: Correction = NONE,
    paths: int = 2000,
    seed: int = 0,
) -> pd.DataFrame:
    """The finish as things go, and with other shares of the stitcher's time.

    Columns: piece, what (in words), early, middle, late (days with chance 0.1, 0.5, 0.9; NaT: not within sight). The
    first row is how things go, where that can be said; then what is `asked`, then a quarter, half and all of the time.
    """
    about = known(diary, piece, as_of)
    tries: list[dict[str, Any]] = [{}]
    if whatif.one_of(**asked):
        tries.append({k: v for k, v in asked.items() if v is not None})
    tries += [{"share": s} for s in _SHARES if {"share": s} not in tries]
    rows = []
    for one in tries:
        try:
            refuse(about, bool(one))
        except StitchlogError:
            continue
        found = finish(diary, about.piece, about.as_of, paths, seed, **one)
        found = found if "per_week" in one else found.corrected(by_record)
        dates = {name: found.date(_FAN[name]) for name in ("early", "middle", "late")}
        rows.append({"piece": about.piece, "what": found.asked or "as things go", **dates})
    return pd.DataFrame(rows, columns=_no_whatif().columns).astype(_no_whatif().dtypes.to_dict())


def _needed(
    diary: Diary, names: list[str], due: pd.Series, by: Any, day: pd.Timestamp, paths: int, seed: int
) -> pd.DataFrame:
    frames = []
    for name in names:
        wanted = pd.Timestamp(by) if by else due.get(name, pd.NaT)
        if pd.isna(wanted) or wanted <= day:
            continue
        try:
            frames.append(needed(diary, name, wanted, day, paths, seed))
        except StitchlogError:
            continue  # said among the refusals
    if not frames:
        return pd.DataFrame(columns=NEEDED_COLUMNS)
    whole = dict.fromkeys(["per_day", "per_stitching_day", "good_day", "from_others"], 0)
    return pd.concat(frames, ignore_index=True).round(whole)  # a share of a stitch tells nobody anything


def _nothing() -> Outlook:
    """The outlook of a diary with no session."""
    record = pd.DataFrame(columns=COLUMNS)
    return Outlook(
        found=[],
        refused=[],
        windows=windows([], pd.Series(dtype="datetime64[us]")),
        fan=_no_fan(),
        whatif=_no_whatif(),
        needed=pd.DataFrame(columns=NEEDED_COLUMNS),
        order=pd.DataFrame(columns=ORDER_COLUMNS),
        record=record,
        reliability=reliability(record),
        learnt=NONE,
    )


def _no_fan() -> pd.DataFrame:
    dates = {name: pd.Series(dtype="datetime64[us]") for name in _FAN}
    return pd.DataFrame({"piece": pd.Series(dtype=object), "stitches": pd.Series(dtype=float), **dates, "kind": []})


def _no_whatif() -> pd.DataFrame:
    dates = {name: pd.Series(dtype="datetime64[us]") for name in ("early", "middle", "late")}
    return pd.DataFrame({"piece": pd.Series(dtype=object), "what": pd.Series(dtype=object), **dates})
