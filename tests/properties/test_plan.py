"""The plan's promises on diaries and events that nobody chose."""

from itertools import combinations

import numpy as np
import pandas as pd
from hypothesis import given, settings
from hypothesis import strategies as st

from stitchlog.diary.tags import meets
from stitchlog.model.commitments.chances import SAFE, Claim, alone_chances, chance_of_all, give_up, met_by, spend
from stitchlog.reports.plan import cover

TAGS = st.sampled_from(["a", "b", "c", "d", "e"])
NEEDS = st.lists(st.lists(TAGS, min_size=1, max_size=2), max_size=3).map(lambda ways: "; ".join(map(" ".join, ways)))
HAVE = st.lists(st.lists(TAGS, max_size=4).map("; ".join), min_size=0, max_size=6)


def named(texts: list[str], letter: str) -> dict[str, str]:
    return {f"{letter}{i}": text for i, text in enumerate(texts)}


@given(st.lists(NEEDS, max_size=6), HAVE)
@settings(deadline=None, max_examples=150)
def test_a_cover_is_right_and_as_small_as_trying_everything_finds(needs, have):
    needs, have = named(needs, "q"), named(have, "p")
    answer = cover(needs, have)
    assert answer["prompt"].tolist() == list(needs)
    for prompt, piece in zip(answer["prompt"], answer["piece"], strict=True):
        if pd.isna(piece):
            assert not any(meets(needs[prompt], tags) for tags in have.values())
        else:
            assert meets(needs[prompt], have[piece])
    can = [q for q in needs if any(meets(needs[q], tags) for tags in have.values())]
    least = next(
        k
        for k in range(len(have) + 1)
        for some in combinations(have, k)
        if all(any(meets(needs[q], have[p]) for p in some) for q in can)
    )
    assert answer["piece"].dropna().nunique() == least


@given(
    st.lists(NEEDS, min_size=1, max_size=4),
    HAVE,
    st.lists(st.tuples(st.booleans(), st.integers(0, 9), st.booleans()), min_size=6, max_size=6),
)
@settings(deadline=None, max_examples=150)
def test_ties_are_settled_in_the_order_that_is_promised(needs, have, marks):
    needs, have = named(needs, "q"), named(have, "p")
    rank = dict(zip(have, marks, strict=False))
    answer = cover(
        needs,
        have,
        due=[p for p in have if rank[p][0]],
        neglected={p: rank[p][1] for p in have},
        on_the_go=[p for p in have if rank[p][2]],
    )
    can = [q for q in needs if any(meets(needs[q], tags) for tags in have.values())]
    covers = [
        some
        for k in range(len(have) + 1)
        for some in combinations(have, k)
        if all(any(meets(needs[q], have[p]) for p in some) for q in can)
    ]

    def score(some) -> tuple:
        return (-len(some), *(sum(rank[p][i] for p in some) for i in range(3)))

    assert score(answer["piece"].dropna().unique()) == max(map(score, covers))


CLAIMS = st.lists(
    st.builds(
        Claim,
        opens=st.integers(0, 3),
        closes=st.integers(0, 5),
        need=st.integers(0, 40).map(float),
        piece=st.sampled_from(["", "A", "B"]),
        shared=st.booleans(),
        by_days=st.just(False),
    ),
    min_size=1,
    max_size=5,
)
DAYS = st.lists(st.lists(st.integers(0, 20), min_size=5, max_size=5), min_size=1, max_size=12).map(
    lambda rows: np.array(rows, dtype=float)
)


@given(DAYS, CLAIMS)
@settings(deadline=None)
def test_joint_chances_lie_within_their_bounds(days, claims):
    met = met_by(days, claims)
    each, everything = met.mean(axis=0), met.all(axis=1).mean()
    assert everything <= each.min() + 1e-12
    assert everything >= 1 - (1 - each).sum() - 1e-12
    assert (np.array(alone_chances(days, claims)) >= each - 1e-12).all()


@given(DAYS, CLAIMS)
@settings(deadline=None)
def test_no_stitch_is_spent_twice(days, claims):
    got = np.array([c.need for c in claims]) - spend(days, claims)
    assert (got >= -1e-9).all()
    total = days.sum(axis=1)
    pieces = {c.piece for c in claims if c.piece and c.shared}
    alone = sum((got[:, i] for i, c in enumerate(claims) if not c.shared), np.zeros(len(days)))
    for i, c in enumerate(claims):
        window = days[:, c.opens : c.closes + 1].sum(axis=1)
        assert (got[:, i] <= window + 1e-9).all()
        assert (got[:, i] + (alone if c.shared else 0) <= total + 1e-9).all()
    by_piece = [max((got[:, i] for i, c in enumerate(claims) if c.piece == p and c.shared), key=np.sum) for p in pieces]
    assert (alone + sum(by_piece, np.zeros(len(days))) <= total + 1e-9).all()


@given(DAYS, CLAIMS, st.integers(1, 50))
@settings(deadline=None)
def test_more_stitches_for_one_claim_never_hurt_it(days, claims, more):
    one = claims[:1]
    assert (spend(days + more, one) <= spend(days, one) + 1e-9).all()


@given(DAYS, CLAIMS)
@settings(deadline=None)
def test_what_is_kept_is_safe_and_nothing_is_given_up_in_vain(days, claims):
    everything = list(range(len(claims)))
    dropped = give_up(days, claims, everything, alone_chances(days, claims))
    kept = [i for i in everything if i not in dropped]
    assert len(set(dropped)) == len(dropped)
    assert chance_of_all(days, claims, kept, kept) >= SAFE
    if chance_of_all(days, claims, everything, everything) >= SAFE:
        assert dropped == []
    # The last thing given up could not have been kept beside the rest.
    for i in dropped[-1:]:
        beside = sorted([*kept, i])
        assert chance_of_all(days, claims, beside, beside) < SAFE
