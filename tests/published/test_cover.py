"""The fewest pieces, against a published set-cover case.

Source: Cormen, Leiserson, Rivest and Stein, *Introduction to Algorithms*, the greedy set cover figure (35.3 in the
third edition), from memory; the optimum was recomputed by brute force and is unique.
"""

from itertools import combinations

from stitchlog.reports.plan import cover

SETS = {
    "S1": range(1, 7),
    "S2": (5, 6, 8, 9),
    "S3": (1, 4, 7, 10),
    "S4": (2, 5, 7, 8, 11),
    "S5": (3, 6, 9, 12),
    "S6": (10, 11),
}
HAVE = {name: "; ".join(f"n{i}" for i in members) for name, members in SETS.items()}
NEEDS = {f"prompt {i}": f"n{i}" for i in range(1, 13)}


def greedy() -> int:
    left, used = set(range(1, 13)), 0
    while left:
        best = max(SETS, key=lambda s: len(left & set(SETS[s])))
        left -= set(SETS[best])
        used += 1
    return used


def test_the_case_is_the_published_one():
    assert greedy() == 4
    everything = set(range(1, 13))
    threes = [c for c in combinations(SETS, 3) if set().union(*(SETS[s] for s in c)) == everything]
    assert threes == [("S3", "S4", "S5")]
    assert not any(set().union(*(SETS[s] for s in c)) == everything for c in combinations(SETS, 2))


def test_three_pieces_do_where_taking_the_best_next_one_takes_four():
    answer = cover(NEEDS, HAVE)
    assert set(answer["piece"]) == {"S3", "S4", "S5"}
    assert list(answer["prompt"]) == list(NEEDS)
    for prompt, piece in zip(answer["prompt"], answer["piece"], strict=True):
        assert int(prompt.split()[1]) in SETS[piece]
