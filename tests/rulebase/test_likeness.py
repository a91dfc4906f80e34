"""How like what is said is to phrasings: words, pairs of words, and names."""

import pytest

from advisor.rulebase.likeness import Likeness

LIKENESS = Likeness.of(
    [("hangs", ["rev", "hang"]), ("hangs", ["slow", "fall"]), ("pops", ["pop", "overrun"]), ("pops", ["bang", "pip"])]
)


def test_the_same_words_are_most_alike() -> None:
    near = LIKENESS.near([["rev", "hang"]])
    assert near.phrasings[0] == pytest.approx(1.0)
    assert max(near.names, key=lambda name: near.names[name]) == "hangs"


def test_a_pair_says_more_than_its_words_apart() -> None:
    together, apart = LIKENESS.near([["slow", "fall"]]), LIKENESS.near([["slow"], ["fall"]])
    assert together.phrasings[1] > apart.phrasings[1] > 0


def test_what_has_nothing_in_common_is_like_nothing() -> None:
    near = LIKENESS.near([["xyzzy"]])
    assert not near.phrasings
    assert not near.names


def test_likeness_is_from_0_to_1() -> None:
    near = LIKENESS.near([["rev", "hang", "pop", "overrun", "pip"]])
    assert all(0 <= like <= 1 + 1e-9 for like in (*near.phrasings.values(), *near.names.values()))
