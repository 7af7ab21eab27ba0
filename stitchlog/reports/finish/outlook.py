"""Everything the finish report shows, asked at once, all of it from one future."""

from __future__ import annotations

from dataclasses import dataclass
from typing import cast

import numpy as np
import pandas as pd

from stitchlog.diary.diary import Day, Diary
from stitchlog.errors import StitchlogError
from stitchlog.model.forecast import scenario
from stitchlog.model.forecast.backtest import COLUMNS, backtest
from stitchlog.model.forecast.calibration import NONE, Calibration
from stitchlog.model.forecast.finishing import Forecast
from stitchlog.model.forecast.future import Future, future
from stitchlog.model.forecast.needs import COLUMNS as NEEDED_COLUMNS
from stitchlog.model.forecast.needs import needed

_LARGEST = 3
_FORECASTS = 240  # past forecasts in the record: fewer months where many pieces are in progress
_STEPS = 12  # levels of progress that the fan is drawn through
QUANTILES = {"early": 0.1, "sooner": 0.25, "middle": 0.5, "later": 0.75, "late": 0.9}
_DATES = list(QUANTILES)
_SHARES = (0.25, 0.5, 1.0)
_MORE = 30  # minutes more on each stitching day


@dataclass(frozen=True)
class Outlook:
    """The finishes of a diary's pieces.

    as_of: the day it is seen from. found: forecasts, the largest piece first, then others with a due day. refused: why
    others have none, a sentence each. order: see `order`. fan: see `fan`, for the largest. scenarios: see `scenarios`,
    for the first piece. needed: as `needed`, for pieces with a day to be done by. together: see `together`. record: as
    `backtest`. learnt: what the record has changed.
    """

    as_of: pd.Timestamp
    found: list[Forecast]
    refused: list[str]
    order: pd.DataFrame
    fan: pd.DataFrame
    scenarios: pd.DataFrame
    needed: pd.DataFrame
    together: pd.DataFrame
    record: pd.DataFrame
    learnt: Calibration


def outlook(
    diary: Diary,
    piece: str | None = None,
    per_week: float | None = None,
    share: float | None = None,
    focus: bool = False,
    by: Day | None = None,
    paths: int = 2000,
    seed: int = 0,
) -> Outlook:
    """The finishes of `piece`, or (None) of the three largest pieces in progress and of those that are due.

    per_week, share, focus: a scenario to show beside the usual ones. by: a day to be done by, beside the pieces' own
    due days. Raises StitchlogError where one piece is asked for of which nothing can be foreseen.
    """
    if diary.sessions.empty and not piece:
        return _nothing()
    ahead = future(diary, paths, seed)
    day = ahead.as_of
    due = diary.pieces.set_index("piece")["due"]
    big = [diary.piece(piece)] if piece else largest(ahead)
    names = big if piece else big + [name for name in largest(ahead, None) if name not in big and due[name] > day]
    asked = {"per_week": per_week, "share": 1.0 if focus else share}
    found, refused = [], []
    for name in names:
        try:
            found.append(ahead.finish(name))
        except StitchlogError as error:
            if piece and not any(asked.values()):
                raise
            refused.append(str(error))
    months = int(np.clip(_FORECASTS // max(len(ahead.open()), 1), 3, 36))
    frames = [fan(diary, ahead, f.piece) for f in found if f.piece in big]
    return Outlook(
        as_of=day,
        found=found,
        refused=refused,
        order=order(ahead, due),
        fan=pd.concat([_no_fan(), *frames], ignore_index=True),
        scenarios=scenarios(diary, ahead, names[0], asked) if names else _no_scenarios(),
        needed=_needed(diary, names, due, by, day, paths, seed),
        together=together(ahead, due),
        record=backtest(diary, months=months),
        learnt=ahead.record,
    )


def largest(ahead: Future, most: int | None = _LARGEST) -> list[str]:
    """The pieces in progress with the largest known total, the largest first; all of them where `most` is None."""
    rows = ahead.past.standing
    rows = rows[rows["piece"].isin(ahead.open())]
    return rows.sort_values(["total", "piece"], ascending=[False, True])["piece"].tolist()[:most]


def order(ahead: Future, due: pd.Series) -> pd.DataFrame:
    """The pieces in progress in the order in which they should be finished.

    Columns: piece, remaining, next_chance, early, sooner, middle, later, late (days with chance 0.1 to 0.9; NaT beyond
    the horizon), year_chance, due, due_chance (as things go), first_chance (if it comes first on every stitching day).
    """
    frame = ahead.order()
    out = frame[["piece", "remaining", "next_chance"]].copy()
    for name, q in QUANTILES.items():
        out[name] = pd.Series([ahead.finish(p).date(q) for p in frame["piece"]], dtype="datetime64[us]")
    out["year_chance"] = frame["year_chance"]
    out["due"] = pd.Series([due.get(p, pd.NaT) for p in frame["piece"]], dtype="datetime64[us]")
    wanted = list(zip(out["piece"], out["due"], strict=True))
    out["due_chance"] = [ahead.finish(p).chance(d) if pd.notna(d) else np.nan for p, d in wanted]
    first = [scenario.with_first(ahead, p, [p]).chance(d) if pd.notna(d) else np.nan for p, d in wanted]
    return out.assign(first_chance=np.array(first, float))


def together(ahead: Future, due: pd.Series) -> pd.DataFrame:
    """What the due days to come need together.

    Columns: by (a due day), pieces (due up to then), needed (stitches that all of these still need), usual (stitches of
    all pieces until then, the median), share (needed of usual; above 1: more than there usually is).
    """
    rows = ahead.past.standing
    rows = rows[rows["piece"].isin(ahead.open())].assign(due=lambda f: f["piece"].map(due))
    rows = rows[rows["due"] > ahead.as_of].sort_values("due", kind="stable")
    told = []
    for by in rows["due"].unique():
        mine = rows[rows["due"] <= by]
        usual = float(np.median(ahead.total((by - ahead.as_of).days)))
        left = float(mine["remaining"].sum())
        told.append((by, mine["piece"].tolist(), left, round(usual), left / usual if usual > 0 else np.inf))
    return pd.DataFrame(told, columns=["by", "pieces", "needed", "usual", "share"])


def fan(diary: Diary, ahead: Future, piece: str) -> pd.DataFrame:
    """How the piece gets to its finish: the days by which each level of progress is reached.

    Columns: piece, stitches (done by then), early, sooner, middle, later, late (days with chance 0.1, 0.25, 0.5, 0.75,
    0.9; NaT beyond the horizon), kind ('ahead'; 'past' for what was done, one row a session day, its day in all).
    """
    past = _past(diary, ahead, piece)
    found = ahead.finish(piece)
    if found.remaining <= 0:
        return past
    shares = np.linspace(0.0, 1.0, _STEPS + 1)[1:]
    rows = [{"piece": piece, "stitches": found.done, **dict.fromkeys(_DATES, ahead.as_of), "kind": "ahead"}]
    for share, days in zip(shares, scenario.reached(ahead, piece, shares), strict=True):
        level = ahead.forecast(piece, days)
        dates = {name: level.date(q) for name, q in QUANTILES.items()}
        rows.append({"piece": piece, "stitches": found.done + share * found.remaining, **dates, "kind": "ahead"})
    return pd.concat([past, pd.DataFrame(rows).astype(past.dtypes.to_dict())], ignore_index=True)


def _past(diary: Diary, ahead: Future, piece: str) -> pd.DataFrame:
    daily = diary.sessions[diary.sessions["piece"] == piece].groupby("date")["stitches"].sum()
    done = float(ahead.past.standing["done"].iloc[ahead.past.row(piece)])
    total = done - daily.sum() + daily.cumsum()
    out = pd.DataFrame({"piece": piece, "stitches": total.to_numpy(float)})
    for name in _DATES:
        out[name] = total.index.to_numpy().astype("datetime64[us]")
    return out.assign(kind="past")


def scenarios(diary: Diary, ahead: Future, piece: str, asked: dict[str, float | None]) -> pd.DataFrame:
    """The finish as things go, and what if, on the same simulated days.

    Columns: piece, what (in words), early, sooner, middle, later, late (days with chance 0.1 to 0.9; NaT beyond the
    horizon). The first row is how things go, where that can be said; then what is `asked` (per_week or share), half an
    hour more on each stitching day where sessions are timed, then a quarter, half and all of the stitcher's time.
    """
    tries: list[Forecast] = []
    if piece in ahead.pieces:
        tries.append(ahead.finish(piece))
    if asked.get("per_week"):
        tries.append(scenario.with_pace(ahead, piece, float(asked["per_week"] or 0)))
    if asked.get("share"):
        tries.append(scenario.with_share(ahead, piece, float(asked["share"] or 0)))
    timed = diary.sessions[(diary.sessions["minutes"] > 0) & ~diary.sessions["estimated"]]
    if len(timed) and piece in ahead.pieces:
        more = _MORE * float(timed["stitches"].sum() / timed["minutes"].sum())
        tries.append(scenario.with_more(ahead, piece, more, "with half an hour more on each stitching day"))
    tries += [scenario.with_share(ahead, piece, s) for s in _SHARES if s != asked.get("share")]
    rows = [
        {"piece": piece, "what": f.scenario or "as things go", **{n: f.date(q) for n, q in QUANTILES.items()}}
        for f in tries
    ]
    return pd.DataFrame(rows, columns=_no_scenarios().columns).astype(_no_scenarios().dtypes.to_dict())


def _needed(
    diary: Diary, names: list[str], due: pd.Series, by: Day | None, day: pd.Timestamp, paths: int, seed: int
) -> pd.DataFrame:
    frames = []
    for name in names:
        wanted = pd.Timestamp(by) if by else due.get(name, pd.NaT)
        if pd.isna(wanted) or wanted <= day:
            continue
        try:
            frames.append(needed(diary, name, wanted, None, paths, seed))
        except StitchlogError:
            continue  # said among the refusals
    if not frames:
        return pd.DataFrame(columns=NEEDED_COLUMNS)
    whole = dict.fromkeys(["per_day", "per_stitching_day", "good_day", "from_others"], 0)
    return pd.concat(frames, ignore_index=True).round(whole)  # fractions of a stitch mean nothing


def _nothing() -> Outlook:
    """The outlook of a diary with no session."""
    order_columns = ["piece", "remaining", "next_chance", *_DATES, "year_chance", "due", "due_chance", "first_chance"]
    return Outlook(
        as_of=cast("pd.Timestamp", pd.NaT),
        found=[],
        refused=[],
        order=pd.DataFrame(columns=order_columns),
        fan=_no_fan(),
        scenarios=_no_scenarios(),
        needed=pd.DataFrame(columns=NEEDED_COLUMNS),
        together=pd.DataFrame(columns=["by", "pieces", "needed", "usual", "share"]),
        record=pd.DataFrame(columns=COLUMNS),
        learnt=NONE,
    )


def _no_fan() -> pd.DataFrame:
    dates = {name: pd.Series(dtype="datetime64[us]") for name in _DATES}
    return pd.DataFrame({"piece": pd.Series(dtype=object), "stitches": pd.Series(dtype=float), **dates, "kind": []})


def _no_scenarios() -> pd.DataFrame:
    dates = {name: pd.Series(dtype="datetime64[us]") for name in _DATES}
    return pd.DataFrame({"piece": pd.Series(dtype=object), "what": pd.Series(dtype=object), **dates})
