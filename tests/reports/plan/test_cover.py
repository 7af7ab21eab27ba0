import numpy as np
import pandas as pd
import pytest

from stitchlog.diary.tags import meets, needs_of, tags_of
from stitchlog.reports.plan import cover
from stitchlog.reports.plan.cover import fewest, mending


@pytest.mark.parametrize(
    ("needs", "tags", "yes"),
    [
        ("bird", "bird; travel", True),
        ("Bird", "travel;BIRD", True),
        ("bird", "blackbird", False),
        ("bird travel", "bird; home", False),
        ("bird travel", "travel; bird; home", True),
        ("bird; insect", "insect", True),
        ("bird; insect", "fish", False),
        ("bird small; insect", "bird", False),
        ("", "", True),
        (float("nan"), "bird", True),
        ("bird", float("nan"), False),
        ("one-colour", "one-colour", True),
        ("bird;", "fish", False),
    ],
)
def test_needs_are_read_as_written(needs, tags, yes):
    assert meets(needs, tags) is yes


def test_tags_and_needs_are_taken_apart():
    assert tags_of(" A ;b; ") == {"a", "b"}
    assert needs_of("a b ; c") == [{"a", "b"}, {"c"}]


def test_a_prompt_that_nobody_meets_has_no_piece_and_hinders_nothing():
    answer = cover({"Wings": "bird", "Bridge": "bridge"}, {"Owl": "bird", "Pear": "fruit"})
    assert answer["piece"].iloc[0] == "Owl"
    assert pd.isna(answer["piece"].iloc[1])


def test_empty_needs_are_met_by_a_piece_that_is_taken_anyway():
    answer = cover({"Anything": "", "Wings": "bird"}, {"Pear": "fruit", "Owl": "bird"})
    assert list(answer["piece"]) == ["Owl", "Owl"]


def test_nothing_to_meet_and_nothing_to_meet_it_with():
    assert cover({}, {"Owl": "bird"}).empty
    assert list(cover({}, {}).columns) == ["prompt", "piece"]
    assert cover({"Wings": "bird", "Any": ""}, {})["piece"].isna().all()


HAVE = {"A": "x", "B": "x", "C": "x", "D": "x"}


def chosen(**ties):
    return cover({"q": "x"}, HAVE, **ties)["piece"].iloc[0]


def test_ties_go_to_due_then_neglected_then_on_the_go_then_the_first_named():
    assert chosen() == "A"
    assert chosen(on_the_go=["C"]) == "C"
    assert chosen(on_the_go=["C"], neglected={"B": 30, "D": 40}) == "D"
    assert chosen(on_the_go=["C"], neglected={"B": 30, "D": 40}, due=["B", "A"]) == "B"


def test_no_tie_break_costs_a_piece():
    have = {"Both": "x; y", "X": "x", "Y": "y"}
    answer = cover({"p": "x", "q": "y"}, have, due=["X", "Y"], neglected={"X": 900, "Y": 900}, on_the_go=["X", "Y"])
    assert set(answer["piece"]) == {"Both"}


def test_a_prompt_can_be_narrowed_to_pieces():
    answer = cover({"p": "x", "q": "x"}, HAVE, able={"p": ["D"], "q": []})
    assert answer["piece"].iloc[0] == "D"
    assert pd.isna(answer["piece"].iloc[1])


def test_the_tag_that_would_mend_it():
    have = {"Otter": "river; animal", "Harbour": "sea; ship", "Pear": "fruit"}
    assert mending("river water", have) == (["water"], ["Otter"])
    assert mending("bridge", have) == (["bridge"], [])
    assert mending("moon night; ship moon", have) == (["moon"], ["Harbour"])


def test_a_search_cut_short_meets_every_prompt_and_says_so(monkeypatch):
    from importlib import import_module

    # Sixty prompts, each met by some of sixty pieces at random: too many for no time at all.
    met = np.random.default_rng(1).random((60, 60)) < 0.1
    needs = {f"Prompt {i}": f"tag-{i}" for i in range(60)}
    have = {f"Piece {j}": "; ".join(f"tag-{i}" for i in np.flatnonzero(met[:, j])) for j in range(60)}
    whole = fewest(needs, have)
    assert whole.least
    monkeypatch.setattr(import_module("stitchlog.reports.plan.cover"), "_SECONDS", 0.0)
    cut = fewest(needs, have)
    assert not cut.least
    assert cut.pairs["piece"].notna().tolist() == met.any(axis=1).tolist()
    assert all(needs[row.prompt] in have[row.piece].split("; ") for row in cut.pairs.dropna().itertuples())
    assert whole.pairs["piece"].nunique() <= cut.pairs["piece"].nunique()


def test_a_prompt_goes_to_a_piece_on_the_go_before_one_not_begun():
    """Both are needed, and both meet q: it goes to the one that is packed already, however many it has."""
    have = {"New": "new; sea", "Going": "bird; moss; sea"}
    answer = cover({"a": "new", "b": "bird", "c": "moss", "q": "sea"}, have, on_the_go=["Going"])
    assert answer["piece"].tolist() == ["New", "Going", "Going", "Going"]
