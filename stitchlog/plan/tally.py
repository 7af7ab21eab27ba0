"""Which past stitches count for which commitment."""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd

Records = dict[Any, dict[str, Any]]


class Tally:
    """A diary's sessions up to a day, laid out for counting: in the order of their days, one entry a session."""

    def __init__(self, sessions: pd.DataFrame) -> None:
        self.days = sessions["date"].to_numpy("datetime64[D]")
        self.pieces = sessions["piece"].to_numpy(object)
        self.stitches = sessions["stitches"].to_numpy(float)
        self.half = sessions["half"].fillna(0.0).to_numpy(float)

    def sum(self, piece: str, since: Any, before: Any = None, half_counts: float = 0.5) -> float:
        """Stitches of a piece from `since` on (and before a day), with halves counted as told."""
        row = {"piece": piece, "starts": since, "ends": None, "half_counts": half_counts}
        entries = self._entries(row)
        if before is not None:
            entries = entries[self.days[entries] < np.datetime64(before, "D")]
        return float(self._worth(row, entries).sum())

    def counted(self, rows: Records) -> dict[Any, np.ndarray]:
        """What each session counts for each commitment of `rows` (by its number), one value a session of its window.

        Where a commitment is not shared, its stitches are taken out of the others.
        """
        entries = {i: self._entries(row) for i, row in rows.items()}
        worth = {i: self._worth(row, entries[i]) for i, row in rows.items()}
        if not all(row["shared"] for row in rows.values()):
            self._keep_apart(rows, entries, worth)
        return worth

    def days_with(self, row: dict[str, Any], worth: np.ndarray, least: float) -> int:
        """On how many days of the commitment's window the sessions' `worth` comes to `least` or more."""
        _, day = np.unique(self.days[self._entries(row)], return_inverse=True)
        return int((np.bincount(day, worth) >= least).sum()) if len(day) else 0

    def _entries(self, row: dict[str, Any]) -> np.ndarray:
        first = 0 if pd.isna(row["starts"]) else np.searchsorted(self.days, np.datetime64(row["starts"], "D"), "left")
        last = len(self.days)
        if not pd.isna(row["ends"]):
            last = int(np.searchsorted(self.days, np.datetime64(row["ends"], "D"), "right"))
        inside = np.arange(int(first), last)
        return inside[self.pieces[inside] == row["piece"]] if row["piece"] else inside

    def _worth(self, row: dict[str, Any], entries: np.ndarray) -> np.ndarray:
        return self.stitches[entries] + (row["half_counts"] - 0.5) * self.half[entries]

    def _keep_apart(self, rows: Records, entries: dict[Any, np.ndarray], worth: dict[Any, np.ndarray]) -> None:
        """Settle, day by day and piece by piece, the stitches that a commitment may keep to itself.

        The nearest end is served first, up to its target; a commitment that is not shared may not take what a shared
        one has counted. What is left when all are served counts for whoever may count it.
        """
        order = sorted(rows, key=lambda i: (rows[i]["ends"], rows[i]["starts"]))
        alone = [entries[i] for i in order if not rows[i]["shared"]]
        some = np.unique(np.concatenate(alone))
        for day, piece in dict.fromkeys(zip(self.days[some], self.pieces[some], strict=True)):
            when = pd.Timestamp(day)
            open_now = [i for i in order if not rows[i]["starts"] > when and rows[i]["ends"] >= when]
            at = {i: (self.days[entries[i]] == day) & (self.pieces[entries[i]] == piece) for i in open_now}
            today = [i for i in open_now if at[i].any()]
            total = float(self.stitches[entries[today[0]][at[today[0]]]].sum())
            if total <= 0:
                continue
            full = {i: float(worth[i][at[i]].sum()) for i in today}
            wants = {}
            for i in today:
                so_far = float(worth[i][self.days[entries[i]] < day].sum())
                endless = not np.isfinite(rows[i]["target"]) or full[i] <= 0
                wants[i] = np.inf if endless else max(0.0, (rows[i]["target"] - so_far) * total / full[i])
            mine = share_out(total, [(wants[i], bool(rows[i]["shared"])) for i in today])
            for i, stitches in zip(today, mine, strict=True):
                worth[i][at[i]] *= stitches / total


def share_out(total: float, claims: list[tuple[float, bool]]) -> list[float]:
    """How many of `total` stitches count for each of the claims (what it wants, whether shared), served in order.

    >>> share_out(100, [(30, True), (50, False), (60, True)])
    [50.0, 50.0, 50.0]
    >>> share_out(100, [(60, False), (40, True), (10, False)])
    [60.0, 40.0, 0.0]
    """
    fresh, used, taken = float(total), 0.0, 0.0
    alone = []
    for want, shared in claims:
        if shared:
            new = min(max(want - used, 0.0), fresh)
            used, fresh = used + new, fresh - new
            alone.append(0.0)
        else:
            alone.append(min(want, fresh))
            taken, fresh = taken + alone[-1], fresh - alone[-1]
    return [total - taken if shared else own + fresh for (_, shared), own in zip(claims, alone, strict=True)]
