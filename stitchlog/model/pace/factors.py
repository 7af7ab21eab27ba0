"""What cloth, colours and the rest do to a stitcher's pace, estimated together on her or his own sessions."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import pandas as pd
from scipy.special import stdtr, stdtrit

from stitchlog import words
from stitchlog.diary.diary import Diary
from stitchlog.diary.schema import FRACTIONS
from stitchlog.model.pace import counted
from stitchlog.model.pace.linear import grouped_least_squares
from stitchlog.model.pace.pooling import CHANCE

# Taken together, the effects called supported are all real with at least this chance.
FAMILY = 0.95
LEAST_SESSIONS = 30
LEAST_PIECES = 6
# Coming back after this many days is what the effect of days since last touched is stated for.
AWAY_DAYS = 28
# A session's variance on the log scale is taken as proportional to 1 + SHORT / hours: threading and finding the place
# weigh more in a short one (common practice, no source; weights only, the windows do not lean on it).
SHORT = 0.3

EFFECT_HEADINGS = {"factor": "what", "sentence": "what it does", "supported": "clear"}

Column = Callable[[Diary, pd.DataFrame], pd.Series]


@dataclass(frozen=True)
class Factor:
    """name: as reports call it. short: the step an effect is stated for. words: the same as a sentence begins with it.
    column: sessions -> their value, in steps. of_piece: the same in all sessions of a piece."""

    name: str
    short: str
    words: str
    column: Column
    of_piece: bool = False


def _of_piece(name: str, less: float = 0.0) -> Column:
    return lambda diary, rows: rows["piece"].map(diary.pieces.set_index("piece")[name]).astype(float) - less


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
    away: pd.Series = np.log(rows["days_since"].clip(lower=1.0)) / np.log(AWAY_DAYS)
    return away


FACTORS = (
    Factor("count", "one more thread to the inch", "each further thread to the inch", _of_piece("count"), True),
    Factor("over", "over two, not over one", "working over two instead of over one", _of_piece("over", 1.0), True),
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


@dataclass(frozen=True)
class Effects:
    """The fit behind `effects`, by name of the factors that entered (none: the sessions cannot tell).

    coef: change of log pace for a step. cov: their covariance. df: degrees of freedom. supported: bool. typical: the
    mean value, by hours. values: the sessions' own values, from `values_of`. sessions, pieces: what it rests on.
    """

    coef: pd.Series
    cov: pd.DataFrame
    df: pd.Series
    supported: pd.Series
    typical: pd.Series
    values: pd.DataFrame
    sessions: int
    pieces: int

    def due(self) -> pd.DataFrame:
        """How much of each session's log pace is due to each supported factor, against typical conditions."""
        names = self.coef.index[self.supported]
        return (self.values[names] - self.typical[names]) * self.coef[names]


def values_of(diary: Diary, rows: pd.DataFrame) -> pd.DataFrame:
    """The factors' values (in steps, one column a factor) in the sessions that count and have stitches worked.

    rows: sessions from `counted.sessions`. Also piece, date, hours and log_pace (log of stitches worked an hour).
    """
    # Days since the piece was last touched looks at every session, timed or not.
    rows = rows.assign(days_since=rows.groupby("piece")["date"].diff().dt.days.astype(float))
    rows = rows[rows["counts"] & (rows["worked"] > 0)]
    out = rows[["piece", "date", "hours"]].assign(log_pace=np.log(rows["worked"] / rows["hours"]))
    return out.assign(**{f.name: f.column(diary, rows) for f in FACTORS})


def estimate(diary: Diary, rows: pd.DataFrame) -> Effects:
    """The effects, estimated together. rows: sessions from `counted.sessions`."""
    values = values_of(diary, rows)
    factors = _telling(values)
    names = [f.name for f in factors]
    used = values.dropna(subset=names)
    group, pieces = pd.factorize(used["piece"], sort=True)
    if not factors:
        nothing = pd.Series(dtype=float)
        cov = pd.DataFrame(dtype=float)
        return Effects(nothing, cov, nothing, nothing.astype(bool), nothing, values, len(used), len(pieces))
    fit = grouped_least_squares(_design(used, names), used["log_pace"].to_numpy(float), group, weight_of(used))
    of_piece = np.array([f.of_piece for f in factors])
    within = len(used) - len(pieces) - (~of_piece).sum()
    df = pd.Series(np.where(of_piece, len(pieces) - 1.0 - of_piece.sum(), within), index=names)
    coef, cov = pd.Series(fit.coef[1:], index=names), pd.DataFrame(fit.cov[1:, 1:], index=names, columns=names)
    supported = pd.Series(_supported(2.0 * stdtr(df.to_numpy(), -np.abs(fit.coef / fit.se)[1:])), index=names)
    typical = used[names].mul(used["hours"], axis=0).sum() / used["hours"].sum()
    return Effects(coef, cov, df, supported, typical, values, len(used), len(pieces))


def weight_of(values: pd.DataFrame) -> np.ndarray:
    """How much each session says about log pace, by its hours."""
    hours = values["hours"].to_numpy(float)
    return hours / (hours + SHORT)


def _design(used: pd.DataFrame, names: list[str]) -> np.ndarray:
    return np.column_stack([np.ones(len(used)), used[names].to_numpy(float)])


def _telling(values: pd.DataFrame) -> list[Factor]:
    """The factors that enough sessions, and enough pieces, can tell about, all of them together."""
    factors = [f for f in FACTORS if _varies(values[f.name])]
    used = values
    while factors:
        used = values.dropna(subset=[f.name for f in factors])
        telling = [f for f in factors if _enough(f, used)]
        if len(used) >= LEAST_SESSIONS and telling != factors:
            factors = telling
        elif len(used) < max(LEAST_SESSIONS, len(values) // 2):
            # A factor that is seldom written down would cost the others their sessions: it goes first.
            factors.remove(max(factors, key=lambda f: values[f.name].isna().sum()))
        else:
            break
    while factors and np.linalg.matrix_rank(_design(used, [f.name for f in factors])) <= len(factors):
        factors.pop()
    return factors


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


def _supported(p: np.ndarray) -> np.ndarray:
    """Which effects differ from none, all of them together with chance FAMILY (Holm 1979, Scand. J. Stat. 6:65-70)."""
    order = np.argsort(p)
    passed = p[order] <= (1.0 - FAMILY) / np.arange(len(p), 0, -1)
    out = np.zeros(len(p), bool)
    out[order] = np.logical_and.accumulate(passed)
    return out


def effects(diary: Diary) -> pd.DataFrame:
    """What each factor does to this stitcher's pace, all estimated together; those the diary cannot tell are there too.

    Columns: factor; effect, low, high (relative change of stitches worked an hour for one step of `short`, -0.04 is 4 %
    slower; the window holds the true one with a chance of 90 %; NaN where the diary cannot tell); supported (bool: the
    data bear it out, allowing for several factors being looked at); sentence (in words); short (the step); sessions and
    pieces (what the estimate rests on). Supported ones first, then the strongest.

    Log pace of every timed session on all factors at once, every piece with a level of its own (random intercept,
    restricted likelihood: see `linear.grouped_least_squares`); windows by Student's t, for count and over with the
    pieces' degrees of freedom, not the sessions'.
    """
    known = estimate(diary, counted.sessions(diary))
    reach = stdtrit(known.df, (1 + CHANCE) / 2) * np.sqrt(np.diag(known.cov))
    ends = {"effect": known.coef, "low": known.coef - reach, "high": known.coef + reach}
    out = pd.DataFrame(ends).apply(np.expm1).reindex([f.name for f in FACTORS])
    out["supported"] = known.supported.reindex(out.index, fill_value=False)
    cells = out.itertuples(index=False, name=None)
    out["sentence"] = [_sentence(factor, *row) for factor, row in zip(FACTORS, cells, strict=True)]
    out = out.assign(short=[f.short for f in FACTORS], sessions=known.sessions, pieces=known.pieces)
    out = out.assign(size=out["effect"].abs()).sort_values(["supported", "size"], ascending=False, kind="stable")
    return out.drop(columns="size").rename_axis("factor").reset_index()


def say_effects(frame: pd.DataFrame) -> str:
    """The supported effects of `effects`, in a sentence each."""
    supported = frame.loc[frame["supported"], "sentence"]
    if len(supported):
        return " ".join(supported)
    sessions = words.count(frame["sessions"].iloc[0], "timed session")
    return f"Nothing about fabric, colours or sessions has a clear effect on your pace in {sessions}."


def _sentence(factor: Factor, effect: float, low: float, high: float, supported: bool) -> str:
    start = factor.words[0].upper() + factor.words[1:]
    if np.isnan(effect):
        return f"{start}: your diary does not say enough about it yet."
    give = max((high - low) / 2.0, 0.005)
    if not supported:
        return f"{start}: no clear effect; it lies between {say_change(low)} and {say_change(high)}."
    change = "costs you about" if effect < 0 else "gains you about"
    return f"{start} {change} {_about(abs(effect))}%, give or take {_about(give)}%."


def _about(share: float) -> str:
    """A small percentage, without its sign."""
    value = share * 100.0
    return words.number(value, 0 if value >= 1.95 or round(value, 1) == 1.0 else 1)


def say_change(share: float) -> str:
    """A relative change of pace.

    >>> say_change(-0.041), say_change(0.004), say_change(0.0)
    ('4% slower', '0.4% faster', 'no change')
    """
    if abs(share) < 0.0005:
        return "no change"
    return f"{_about(abs(share))}% {'slower' if share < 0 else 'faster'}"


def explained(diary: Diary, rows: pd.DataFrame, known: Effects | None = None) -> pd.Series:
    """By piece: how much of its log pace the supported effects explain, against the stitcher's typical conditions.

    rows: sessions from `counted.sessions`. known: their effects (None: estimated here).
    """
    known = known or estimate(diary, rows)
    due, hours, piece = known.due(), known.values["hours"], known.values["piece"]
    whole = due.notna().mul(hours, axis=0).groupby(piece).sum()
    return (due.mul(hours, axis=0).groupby(piece).sum() / whole).fillna(0.0).sum(axis=1)
