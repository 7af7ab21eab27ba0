"""What cloth, colours and the rest do to a stitcher's pace, estimated together on her or his own sessions."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import pandas as pd
from scipy.special import stdtr, stdtrit

from stitchlog import words
from stitchlog.diary import Diary
from stitchlog.pace import counted
from stitchlog.pace.linear import Fit, grouped_least_squares
from stitchlog.tables import FRACTIONS

CHANCE = 0.90
# Taken together, the effects called supported are all real with at least this chance.
FAMILY = 0.95
LEAST_SESSIONS = 30
LEAST_PIECES = 6
# Coming back after this many days is what the effect of days since last touched is stated for.
AWAY_DAYS = 28


@dataclass(frozen=True)
class Factor:
    """name: as reports call it. short: the step an effect is stated for. words: the same as a sentence begins with it.
    column: sessions -> their value, in steps. of_piece: the same in all sessions of a piece."""

    name: str
    short: str
    words: str
    column: Callable[[Diary, pd.DataFrame], pd.Series]
    of_piece: bool = False


def _of_piece(name: str) -> Callable[[Diary, pd.DataFrame], pd.Series]:
    def column(diary: Diary, rows: pd.DataFrame) -> pd.Series:
        return rows["piece"].map(diary.pieces.set_index("piece")[name]).astype(float)

    return column


def _over(diary: Diary, rows: pd.DataFrame) -> pd.Series:
    return _of_piece("over")(diary, rows) - 1.0


def _colours(diary: Diary, rows: pd.DataFrame) -> pd.Series:
    each = diary.colours.drop_duplicates(["file", "line", "code"]).groupby(["file", "line"]).size()
    found = each.reindex(pd.MultiIndex.from_frame(rows[["file", "line"]]))
    return pd.Series(found.to_numpy(float), index=rows.index)


def _part_stitches(diary: Diary, rows: pd.DataFrame) -> pd.Series:
    parts = sum(worth * rows[kind].fillna(0.0) for kind, worth in FRACTIONS.items())
    return (parts / rows["worked"].where(rows["worked"] > 0)).clip(0.0, 1.0) * 10.0


def _other_stitches(diary: Diary, rows: pd.DataFrame) -> pd.Series:
    return (rows[["backstitch", "knots", "beads"]].fillna(0.0).sum(axis=1) > 0).astype(float)


def _length(diary: Diary, rows: pd.DataFrame) -> pd.Series:
    return rows["hours"]


def _away(diary: Diary, rows: pd.DataFrame) -> pd.Series:
    # The logarithm, so that a fourth week away matters less than a first day; 0 the day after, 1 after AWAY_DAYS.
    return np.log(rows["days_since"].clip(lower=1.0)) / np.log(AWAY_DAYS)


FACTORS = (
    Factor("count", "one more thread to the inch", "each further thread to the inch", _of_piece("count"), True),
    Factor("over", "over two, not over one", "working over two instead of over one", _over, True),
    Factor("colours per session", "one more colour", "each further colour in a session", _colours),
    Factor(
        "stitch kind", "a tenth more part stitches", "each tenth of a session spent on part stitches", _part_stitches
    ),
    Factor(
        "other stitches",
        "backstitch, knots or beads",
        "having backstitch, knots or beads to do as well",
        _other_stitches,
    ),
    Factor("session length", "one more hour", "each further hour in a session", _length),
    Factor(
        "days since last touched",
        "four weeks away",
        "coming back to a piece after four weeks instead of the next day",
        _away,
    ),
)

COLUMNS = ["factor", "effect", "low", "high", "supported", "sentence", "short", "sessions", "pieces"]
EFFECT_HEADINGS = {
    "factor": "what",
    "sentence": "what it does",
    "supported": "borne out",
}


@dataclass(frozen=True)
class Effects:
    """The fit behind `effects`: the factors that entered, in the order of `fit.coef` after the constant.

    df: (f,). supported: (f,) bool. typical: (f,), the mean value, by hours. values: the sessions' factor values.
    """

    factors: tuple[Factor, ...]
    fit: Fit | None
    df: np.ndarray
    supported: np.ndarray
    typical: np.ndarray
    values: pd.DataFrame
    sessions: int
    pieces: int


def values_of(diary: Diary, rows: pd.DataFrame) -> pd.DataFrame:
    """The factors' values (in steps, one column a factor) in the sessions that count and have stitches worked.

    rows: sessions from `counted.until`. Also piece, date, hours and log_pace (log of stitches worked an hour).
    """
    # Days since the piece was last touched looks at every session, timed or not.
    previous = rows.groupby("piece")["date"].shift()
    rows = rows.assign(days_since=(rows["date"] - previous).dt.days.astype(float))
    rows = rows[rows["counts"] & (rows["worked"] > 0)]
    out = rows[["piece", "date", "hours"]].assign(log_pace=np.log(rows["worked"] / rows["hours"]))
    return out.assign(**{f.name: f.column(diary, rows) for f in FACTORS})


def estimate(diary: Diary, rows: pd.DataFrame) -> Effects:
    """The effects, estimated together. rows: sessions from `counted.until`."""
    values = values_of(diary, rows)
    factors = [f for f in FACTORS if _varies(values[f.name])]
    used = values
    while factors:
        # A factor that is seldom written down would cost the others their sessions: it goes first.
        used = values.dropna(subset=[f.name for f in factors])
        factors_left = [f for f in factors if _enough(f, used)]
        if len(used) >= max(LEAST_SESSIONS, len(values) // 2) and factors_left == factors:
            break
        if factors_left != factors and len(used) >= LEAST_SESSIONS:
            factors = factors_left
        else:
            factors.remove(max(factors, key=lambda f: values[f.name].isna().sum()))
    group, pieces = pd.factorize(used["piece"], sort=True)
    x = np.column_stack([np.ones(len(used)), *(used[f.name].to_numpy(float) for f in factors)])
    while factors and (len(used) < LEAST_SESSIONS or np.linalg.matrix_rank(x) < x.shape[1]):
        factors.pop()
        x = x[:, :-1]
    if not factors:
        nothing = np.array([])
        return Effects((), None, nothing, nothing.astype(bool), nothing, values, len(used), len(pieces))
    weight = used["hours"].to_numpy(float)
    fit = grouped_least_squares(x, used["log_pace"].to_numpy(float), group, weight / (weight + SHORT))
    of_piece = sum(f.of_piece for f in factors)
    between, within = len(pieces) - 1 - of_piece, len(used) - len(pieces) - len(factors) + of_piece
    df = np.array([between if f.of_piece else within for f in factors], float)
    typical = np.average(x[:, 1:], axis=0, weights=weight)
    return Effects(tuple(factors), fit, df, _supported(fit, df), typical, values, len(used), len(pieces))


# A session's variance on the log scale is taken as proportional to 1 + SHORT / hours: threading and finding the place
# weigh more in a short one (common practice, no source; weights only, the windows do not lean on it).
SHORT = 0.3


def _varies(values: pd.Series) -> bool:
    return bool(values.min() < values.max())


def _enough(factor: Factor, used: pd.DataFrame) -> bool:
    if not _varies(used[factor.name]):
        return False
    if not factor.of_piece:
        return True
    by_piece = used.groupby("piece")[factor.name].first()
    # One piece alone on its cloth says nothing about the cloth.
    return len(by_piece) >= LEAST_PIECES and (len(by_piece) - by_piece.value_counts().max()) >= 2


def _supported(fit: Fit, df: np.ndarray) -> np.ndarray:
    """Which effects differ from none, all of them together with chance FAMILY (Holm 1979, Scand. J. Stat. 6:65-70)."""
    p = 2.0 * stdtr(df, -np.abs(fit.coef[1:] / fit.se[1:]))
    out = np.zeros(len(p), bool)
    for place, i in enumerate(np.argsort(p)):
        if p[i] > (1.0 - FAMILY) / (len(p) - place):
            break
        out[i] = True
    return out


def effects(diary: Diary, as_of: pd.Timestamp | str | None = None) -> pd.DataFrame:
    """What each factor does to this stitcher's pace, all estimated together; those the diary cannot tell are there too.

    Columns: factor; effect, low, high (relative change of stitches worked an hour for one step of `short`, -0.04 is 4 %
    slower; the window holds the true one with a chance of 90 %; NaN where the diary cannot tell); supported (bool: the
    data bear it out, allowing for several factors being looked at); sentence (in words); short (the step); sessions and
    pieces (what the estimate rests on). Supported ones first, then the strongest.

    Log pace of every timed session on all factors at once, every piece with a level of its own (random intercept,
    restricted likelihood: see `linear.grouped_least_squares`); windows by Student's t, for count and over with the
    pieces' degrees of freedom, not the sessions'.
    """
    known = estimate(diary, counted.until(diary, as_of))
    found = {}
    for i, factor in enumerate(known.factors):
        assert known.fit is not None
        coef, se = known.fit.coef[i + 1], known.fit.se[i + 1]
        reach = stdtrit(known.df[i], (1 + CHANCE) / 2) * se
        ends = np.expm1([coef, coef - reach, coef + reach])
        found[factor.name] = (*map(float, ends), bool(known.supported[i]))
    rows = []
    for factor in FACTORS:
        effect, low, high, supported = found.get(factor.name, (float("nan"),) * 3 + (False,))
        sentence = _sentence(factor, effect, low, high, supported)
        rows.append((factor.name, effect, low, high, supported, sentence, factor.short, known.sessions, known.pieces))
    out = pd.DataFrame(rows, columns=COLUMNS)
    order = out.assign(size=out["effect"].abs()).sort_values(
        ["supported", "size"], ascending=False, na_position="last", kind="stable"
    )
    return order[COLUMNS].reset_index(drop=True)


def say_effects(frame: pd.DataFrame) -> str:
    """The supported effects of `effects`, in a sentence each."""
    supported = frame.loc[frame["supported"], "sentence"]
    if len(supported):
        return " ".join(supported)
    sessions = int(frame["sessions"].iloc[0])
    return (
        "Nothing about cloth, colours or sessions moves your pace in a way that "
        f"{words.count(sessions, 'timed session')} could bear out."
    )


def _sentence(factor: Factor, effect: float, low: float, high: float, supported: bool) -> str:
    start = factor.words[0].upper() + factor.words[1:]
    if np.isnan(effect):
        return f"{start}: your diary does not say enough about it yet."
    give = max((high - low) / 2.0, 0.005)
    if not supported:
        return f"{start}: no effect that your diary bears out; it lies between {_signed(low)} and {_signed(high)}."
    change = "costs you about" if effect < 0 else "gains you about"
    return f"{start} {change} {_about(abs(effect))}%, give or take {_about(give)}%."


def _about(share: float) -> str:
    """A small percentage, without its sign."""
    value = share * 100.0
    return words.number(value, 0 if value >= 1.95 or round(value, 1) == 1.0 else 1)


def _signed(share: float) -> str:
    if abs(share) < 0.0005:
        return "no change"
    return f"{_about(abs(share))}% {'slower' if share < 0 else 'faster'}"


def explained(diary: Diary, rows: pd.DataFrame, known: Effects | None = None) -> pd.Series:
    """By piece: how much of its log pace the supported effects explain, against the stitcher's typical conditions."""
    known = known or estimate(diary, rows)
    values = known.values
    total = pd.Series(0.0, index=pd.Index(values["piece"].unique(), name="piece"))
    for i, factor in enumerate(known.factors):
        if not known.supported[i]:
            continue
        assert known.fit is not None
        seen = values.dropna(subset=[factor.name])
        sums = (seen[factor.name] * seen["hours"]).groupby(seen["piece"]).sum()
        mean = sums / seen.groupby("piece")["hours"].sum()
        step = known.fit.coef[i + 1] * (mean - known.typical[i])
        total = total.add(step.reindex(total.index).fillna(0.0))
    return total
