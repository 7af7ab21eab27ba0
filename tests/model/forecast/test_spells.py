"""The reading of a diary against an obvious loop over everything that could have been."""

import itertools

import numpy as np
import pytest

from stitchlog.model.forecast import spells


def by_enumeration(worked, could, typical):
    """Chance of today's levels and log likelihood, summed over every course that the levels can take, day by day."""
    parts = spells.PARTS
    grids = [part.grid() for part in parts]
    states = list(itertools.product(*(range(part.points) for part in parts)))
    prior = {s: np.prod([grids[i][1][s[i]] for i in range(3)]) for s in states}

    def moves(a, b):
        out = 1.0
        for i, part in enumerate(parts):
            ends = 1.0 / part.length
            out *= ends * grids[i][1][b[i]] + (1.0 - ends) * (a[i] == b[i])
        return out

    def seen(s, day):
        if not could[day]:
            return 1.0
        yes = 1.0 - np.exp(-np.exp(min(typical + sum(grids[i][0][s[i]] for i in range(3)), 2.5)))
        return yes if worked[day] else 1.0 - yes

    now = {s: prior[s] * seen(s, 0) for s in states}
    for day in range(1, len(worked)):
        now = {b: seen(b, day) * sum(now[a] * moves(a, b) for a in states) for b in states}
    total = sum(now.values())
    return {s: v / total for s, v in now.items()}, np.log(total)


@pytest.mark.parametrize("could", [[True, True, True], [True, False, True]])
def test_the_reading_agrees_with_enumeration(could, monkeypatch):
    small = [spells.Part(p.spread, p.length, 3, p.falls) for p in spells.PARTS]
    monkeypatch.setattr(spells, "PARTS", tuple(small))
    spells._moves.cache_clear()
    worked = [True, False, True]
    reading = spells.read(np.array(worked), np.array(could), (-2.0,))
    chances, evidence = by_enumeration(worked, could, -2.0)
    for state, chance in chances.items():
        assert reading.chance[(0, *state)] == pytest.approx(chance, rel=1e-9)
    assert reading.evidence[0] == pytest.approx(evidence, rel=1e-9)
    spells._moves.cache_clear()


def test_weeks_are_read_as_their_days_are_where_nothing_changes(monkeypatch):
    still = [spells.Part(p.spread, 1e12, p.points, p.falls) for p in spells.PARTS]
    monkeypatch.setattr(spells, "PARTS", tuple(still))
    spells._moves.cache_clear()
    worked = np.random.default_rng(1).random(200) < 0.3
    by_weeks = spells.read(worked)
    monkeypatch.setattr(spells, "_FINE", 1000)
    by_days = spells.read(worked)
    assert by_weeks.chance == pytest.approx(by_days.chance, abs=1e-9)
    spells._moves.cache_clear()


def test_a_busy_diary_is_read_as_readier_than_a_quiet_one():
    def ready(worked):
        levels = spells.read(worked).draw(500, np.random.default_rng(0))
        return np.mean(sum(levels))

    days = np.arange(300)
    assert ready(days % 2 == 0) > ready(days % 9 == 0) + 1
    # The same sessions, but a break of two months at the end.
    assert ready((days % 2 == 0) & (days < 240)) < ready((days % 2 == 0) & (days >= 60)) - 1


def test_chances_sum_to_one_however_long_the_diary():
    for days in (0, 1, 6, 7, 8, 56, 57, 5000):
        reading = spells.read(np.zeros(days, bool))
        assert reading.chance.sum() == pytest.approx(1.0)
        assert np.isfinite(reading.chance).all()


def test_typical_rates_are_weighed_by_what_the_diary_says():
    busy = spells.read(np.ones(60, bool), typical=(-4.0, -0.5))
    weights = busy.chance.sum(axis=(1, 2, 3))
    assert weights[1] > weights[0]
    assert weights[1] / weights[0] == pytest.approx(np.exp(busy.evidence[1] - busy.evidence[0]))


def test_levels_fall_further_than_they_rise():
    season = spells.PARTS[1]
    assert season.levels(np.array([-1.0]))[0] == pytest.approx(-season.spread * (1 + season.falls))
    assert season.levels(np.array([1.0]))[0] == pytest.approx(season.spread * (1 - season.falls))


def test_a_part_ends_after_its_usual_length():
    part = spells.Part(1.0, 140, 5)
    assert part.ends(1) == pytest.approx(1 / 140)
    assert part.ends(140) == pytest.approx(1 - (1 - 1 / 140) ** 140)
