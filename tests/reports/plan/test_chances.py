"""Chances of several commitments at once, against cases worked by hand."""

from itertools import product

import numpy as np
import pytest

from stitchlog.model.commitments.chances import Claim, alone_chances, chance_of_all, give_up, met_by, spend


def coins(days: int, stitches: float = 100) -> np.ndarray:
    """Every course of so many independent days that bring nothing or `stitches` with equal chance, once each."""
    return np.array(list(product([0.0, stitches], repeat=days)))


def chances(days: np.ndarray, *claims: Claim) -> list[float]:
    return met_by(days, claims).mean(axis=0).tolist()


def dropped(days: np.ndarray, claims: list[Claim], judged: list[int]) -> list[int]:
    return give_up(days, claims, judged, alone_chances(days, claims))


def test_one_claim_by_hand():
    # At least 2 good days of 4: 1 - (1 + 4) / 16.
    assert chances(coins(4), Claim(0, 3, 200)) == [11 / 16]
    assert chances(coins(4), Claim(1, 2, 200)) == [1 / 4]
    assert chances(coins(4), Claim(0, 3, 0)) == [1]
    assert chances(coins(4), Claim(0, 3, 500)) == [0]


def test_two_pieces_by_hand():
    # Day 1 goes to A (nearest end). B gets day 2, and day 1 where A needs nothing more: it never is without A first.
    a, b = Claim(0, 0, 100, "A"), Claim(0, 1, 100, "B")
    assert chances(coins(2), a, b) == [1 / 2, 1 / 2]
    both = met_by(coins(2), [a, b]).all(axis=1).mean()
    assert both == 1 / 4
    # Half a day is enough for A: B gets the other half of day 1, and is met with day 2 alone as well.
    a, b = Claim(0, 0, 50, "A"), Claim(0, 1, 50, "B")
    met = met_by(coins(2), [a, b])
    assert met.mean(axis=0).tolist() == [1 / 2, 3 / 4]
    assert met.all(axis=1).mean() == 1 / 2


def test_shared_claims_count_the_same_stitches_and_unshared_ones_keep_theirs():
    any_one, other = Claim(0, 1, 100), Claim(0, 1, 100)
    assert chances(coins(2), any_one, other) == [3 / 4, 3 / 4]
    own = Claim(0, 1, 100, shared=False)
    assert chances(coins(2), own, other) == [3 / 4, 1 / 4]
    assert chances(coins(2), other, own) == [3 / 4, 1 / 4]


def test_claims_without_a_piece_ride_on_those_with_one():
    free, fox, owl = Claim(0, 0, 100), Claim(0, 0, 60, "Fox"), Claim(0, 0, 40, "Owl")
    assert chances(coins(1), free, fox, owl) == [1 / 2, 1 / 2, 1 / 2]
    assert chances(coins(1), Claim(0, 0, 100), Claim(0, 0, 60, "Fox"), Claim(0, 0, 50, "Owl")) == [1 / 2, 1 / 2, 0]
    assert chances(coins(1), Claim(0, 0, 100, "Fox"), Claim(0, 0, 100, "Fox")) == [1 / 2, 1 / 2]


def test_a_section_takes_over_what_the_one_before_it_lacks():
    first, then = Claim(0, 0, 100, "Fox"), Claim(1, 2, 100, "Fox", follows=0)
    # Then is met with both days, or with one where the first was met: 1/2 * 3/4 + 1/2 * 1/4.
    assert chances(coins(3), first, then) == [1 / 2, 1 / 2]


def test_starts_take_days_not_stitches():
    assert chances(coins(3), Claim(0, 2, 2, by_days=True), Claim(0, 2, 300, "Fox")) == [1 / 2, 1 / 8]


def test_claims_that_are_over_get_nothing():
    assert chances(coins(2), Claim(0, -1, 1), Claim(0, -3, 0)) == [0, 1]


def test_lacks_are_what_is_wanted_less_what_came():
    lacks = spend(np.array([[30.0, 50.0]]), [Claim(0, 1, 100), Claim(1, 1, 20)])
    assert lacks.tolist() == [[20, 0]]


def test_giving_up_says_the_one_whose_going_helps_most():
    days = np.full((100, 4), 100.0)
    hog = Claim(0, 3, 390, "A")
    small = [Claim(0, 3, 50, p) for p in "BCD"]
    assert met_by(days, [hog, *small]).all(axis=0).tolist() == [True, False, False, False]
    assert dropped(days, [hog, *small], [0, 1, 2, 3]) == [0]
    assert chance_of_all(days, [hog, *small], [1, 2, 3], [1, 2, 3]) == 1
    assert dropped(days, small, [0, 1, 2]) == []


def test_giving_up_begins_with_what_would_fail_even_alone():
    days = coins(4)
    never, unlikely, easy = Claim(0, 3, 500, "A"), Claim(0, 3, 300, "B"), Claim(0, 3, 50, "C")
    assert dropped(days, [easy, unlikely, never], [0, 1, 2]) == [2, 1]
    assert dropped(days, [unlikely], [0]) == [0]


@pytest.mark.parametrize("seed", range(5))
def test_a_day_splits_as_one_stitch_at_a_time_would(seed):
    rng = np.random.default_rng(seed)
    for _ in range(40):
        claims = [
            Claim(
                0,
                int(rng.integers(0, 2)),
                int(rng.integers(0, 8)),
                str(rng.choice(["", "A", "B"])),
                bool(rng.random() < 0.7),
            )
            for _ in range(rng.integers(1, 5))
        ]
        days = rng.integers(0, 10, (1, 2)).astype(float)
        assert spend(days, claims)[0].tolist() == pytest.approx(stitch_by_stitch(days[0], claims))


def stitch_by_stitch(days, claims):
    """The obvious loop: each claim in turn takes stitches of the day one at a time, those others count first."""
    lacks = [float(c.need) for c in claims]
    order = sorted(range(len(claims)), key=lambda i: (claims[i].closes, claims[i].opens, i))
    for day, n in enumerate(days):
        stitches = [{"piece": "", "shared": 0, "kept": False} for _ in range(int(n))]
        for i in order:
            c = claims[i]
            if not c.opens <= day <= c.closes:
                continue
            fits = [s for s in stitches if not s["kept"] and (c.piece in ("", s["piece"]) or s["piece"] == "")]
            if not c.shared:
                fits = [s for s in fits if not s["shared"] and s["piece"] == ""]
            # What is settled on the piece first, then what is counted but open, then what is fresh.
            fits.sort(key=lambda s: (s["piece"] == "" and c.piece != "", -s["shared"]))
            for s in fits[: int(lacks[i])]:
                s["piece"] = s["piece"] or (c.piece if c.shared else "")
                s["shared"] += c.shared
                s["kept"] = not c.shared
                lacks[i] -= 1
    return lacks
