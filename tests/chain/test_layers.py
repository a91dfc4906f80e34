"""Layers: a rule that asks for an absence comes after all that could still give the fact."""

import random

import pytest

from advisor.chain.layers import layers
from advisor.chain.terms import ChainRule
from advisor.errors import ChainError


def chained(name: str, when: str, gives: str, unless: str = "") -> ChainRule:
    """Return a rule on facts named by single words."""
    atoms = [tuple(("k", one) for one in words.split()) for words in (when, unless, gives)]
    return ChainRule(id=name, when=atoms[0], unless=atoms[1], gives=atoms[2])


def test_rules_that_wait_for_nothing_come_first() -> None:
    assert layers([chained("a", "x", "y"), chained("b", "y", "z")]) == {"a": 0, "b": 0}
    assert layers([]) == {}
    assert layers([chained("a", "x", "y", unless="never-given")]) == {"a": 0}


def test_an_absence_waits_for_every_giver() -> None:
    rules = [
        chained("asks", "x", "out", unless="y z"),
        chained("gives-y", "x", "y"),
        chained("gives-z", "y", "z", unless="w"),
        chained("gives-w", "x", "w"),
    ]
    assert layers(rules) == {"gives-y": 0, "gives-w": 0, "gives-z": 1, "asks": 2}


def test_whoever_needs_a_fact_comes_no_earlier_than_who_gives_it() -> None:
    rules = [
        chained("last", "late", "end"),
        chained("late", "x", "late", unless="y"),
        chained("y", "x", "y"),
        chained("late-too", "x", "late"),
    ]
    assert layers(rules) == {"y": 0, "late-too": 0, "late": 1, "last": 1}


@pytest.mark.parametrize("seed", range(30))
def test_the_order_in_which_rules_are_written_changes_nothing(seed: int) -> None:
    """And each layer is the lowest there can be: 0, or as high as one giver, or one above one that it waits for."""
    rng = random.Random(seed)
    rules = []
    for number in range(12):
        when = f"n{rng.randint(0, 5 + number)}"
        unless = f"n{rng.randint(0, 4 + number)}" if rng.random() < 0.5 else ""
        rules.append(chained(f"r{number}", when, f"n{number + 6}", unless))
    try:
        found = layers(rules)
    except ChainError:
        with pytest.raises(ChainError):
            layers(rng.sample(rules, len(rules)))
        return
    assert layers(rng.sample(rules, len(rules))) == found
    for rule in rules:
        matched = [found[one.id] for one in rules if set(one.gives) & set(rule.when)]
        refused = [found[one.id] + 1 for one in rules if set(one.gives) & set(rule.unless)]
        assert found[rule.id] == max([0, *matched, *refused])


def test_a_long_line_of_rules_has_a_layer_each() -> None:
    line = [chained(f"r{n:02}", "x", f"g{n}", unless=f"g{n - 1}") for n in range(20)]
    assert list(layers(line).values()) == list(range(20))
    assert layers(list(reversed(line))) == layers(line)


def test_a_ring_is_refused_by_the_names_of_its_rules() -> None:
    ring = [chained("two", "x", "b", unless="a"), chained("one", "x", "a", unless="b"), chained("fine", "x", "c")]
    wanted = "these rules wait in a ring for what another of them must not give: one, two"
    with pytest.raises(ChainError) as caught:
        layers(ring)
    assert caught.value.problems[0].text == wanted
    high = [chained("c", "x", "c"), chained("d", "x", "d", unless="c"), chained("e", "x", "e", unless="d")]
    with pytest.raises(ChainError) as caught:
        layers([*high, *ring[:2]])
    assert caught.value.problems[0].text == wanted  # not what only lies high
    with pytest.raises(ChainError, match="ring"):
        layers([chained("alone", "x", "a", unless="a")])
    needs = [chained("one", "b", "a"), chained("two", "a", "b")]
    assert layers(needs) == {"one": 0, "two": 0}  # rules that only need each other are no such ring
