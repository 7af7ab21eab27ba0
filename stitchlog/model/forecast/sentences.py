"""A forecast in a sentence or two, as sure as it is."""

from __future__ import annotations

import numpy as np
import pandas as pd

from stitchlog import words
from stitchlog.model.forecast.finishing import Forecast

EARLY_DAYS = 15  # days' work from which a diary is no longer young
_FAR = 3653  # days: beyond ten years nothing is said but that
_LIES = 60  # days without a session after which a piece lies


def say_finish(found: Forecast) -> str:
    """When it will be finished: the range first, then even odds."""
    if found.remaining <= 0:
        return _say_done(found)
    name = f"{found.scenario[0].upper()}{found.scenario[1:]}, {found.piece}" if found.scenario else found.piece
    first, last = found.range()
    middle, seen = found.date(0.5), found.as_of
    said = f"{name} should be finished {words.sure_range(first, last, seen)}"
    if _far(first, seen):
        said = f"{name} is more than ten years away at this rate"
    elif _far(middle, seen):
        said = f"{name} is unlikely before {words.sure_date(first, seen)}, and more than ten years away at even odds"
    elif _far(last, seen):
        said = (
            f"{name} is unlikely before {words.sure_date(first, seen)}. Even odds are by "
            f"{words.sure_date(middle, seen)}, but it could take more than ten years"
        )
    elif words.sure_date(first, seen) != words.sure_date(last, seen):
        said += f", with even odds by {words.sure_date(middle, seen)}"
    return f"{said}.{_early(found)}{_lies(found)}"


def _far(day: pd.Timestamp, seen: pd.Timestamp) -> bool:
    return pd.isna(day) or (day - seen).days > _FAR


def _early(found: Forecast) -> str:
    """What to add while a diary is young: the plain division beside the range."""
    if found.scenario or found.sessions >= EARLY_DAYS or not np.isfinite(found.plain):
        return ""
    plain = found.as_of + pd.Timedelta(days=min(int(found.plain), 100 * 365))
    return (
        f" It is early days: {words.count(found.sessions, 'session')} so far. At the pace so far it would be "
        f"{words.sure_date(plain, found.as_of)}; the range allows for the breaks people take."
    )


def _say_done(found: Forecast) -> str:
    if found.total > 0 and found.done > found.total:
        return (
            f"{found.piece} has {words.number(found.done)} stitches, more than its total of "
            f"{words.number(found.total)}, and counts as finished. If there is more to do, correct its total in "
            "pieces.csv."
        )
    return f"{found.piece} is finished."


def _lies(found: Forecast) -> str:
    """What to add for a piece that lies."""
    if found.scenario or found.last_session is None:
        return ""
    rest = (found.as_of - found.last_session).days
    if found.status == "set aside":
        return " It is set aside, and the range allows for a long wait."
    return f" You last stitched on it {words.ago(rest)}." if rest > _LIES else ""
