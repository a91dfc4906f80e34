"""Sums over sets of explained signs, against going through every set one by one."""

import itertools
import random

import pytest

from advisor.rank.lattice import Trigger, chances, close, expect, expect_open, open_signs, reopen, show


def drawn(seed: int) -> tuple[random.Random, int, list[Trigger]]:
    """Return random triggers on some of the open signs."""
    rng = random.Random(seed)
    open_ = rng.randint(1, 5)
    bits = rng.sample(range(open_), rng.randint(0, open_))
    return rng, open_, [(bit, rng.uniform(0.05, 0.95)) for bit in bits]


def dot(one: list[float], other: list[float]) -> float:
    return sum(a * b for a, b in zip(one, other, strict=True))


@pytest.mark.parametrize("seed", range(20))
def test_a_cause_shows_each_sign_by_itself(seed: int) -> None:
    """From each set to each larger one: the product of what is shown and what is not, by going through them all."""
    rng, open_, triggers = drawn(seed)
    size = 1 << open_
    mass = [rng.random() for _ in range(size)]
    wanted = [0.0] * size
    for before in range(size):
        for shown in itertools.product((False, True), repeat=len(triggers)):
            chance, after = mass[before] * 0.3, before
            for there, (bit, strength) in zip(shown, triggers, strict=True):
                chance *= strength if there else 1 - strength
                after |= (1 << bit) if there else 0
            wanted[after] += chance
    assert show(mass, triggers, chances(0.3, triggers, size)) == pytest.approx(wanted)


@pytest.mark.parametrize("seed", range(20))
def test_what_is_expected_is_the_transpose_of_what_is_shown(seed: int) -> None:
    """The mass after, weighed by what it is worth, is the mass before, weighed by what it was worth then."""
    rng, open_, triggers = drawn(seed)
    size = 1 << open_
    mass, worth = ([rng.random() for _ in range(size)] for _ in range(2))
    shows = chances(0.7, triggers, size)
    assert dot(show(mass, triggers, shows), worth) == pytest.approx(dot(mass, expect(worth, triggers, shows)))


@pytest.mark.parametrize("seed", range(10))
def test_signs_that_a_cause_opens_stand_above_the_open_ones(seed: int) -> None:
    rng = random.Random(seed)
    mass = [rng.random() for _ in range(4)]
    strengths = [rng.uniform(0.1, 0.9) for _ in range(2)]
    wide = open_signs(mass, strengths)
    for place, value in enumerate(wide):
        wanted = mass[place % 4]
        for number, strength in enumerate(strengths):
            wanted *= strength if place & (4 << number) else 1 - strength
        assert value == pytest.approx(wanted)
    worth = [rng.random() for _ in range(16)]
    assert dot(wide, worth) == pytest.approx(dot(mass, expect_open(worth, strengths)))
    assert sum(wide) == pytest.approx(sum(mass))


@pytest.mark.parametrize("open_", [1, 2, 3, 4, 5])
def test_a_sign_is_closed_with_its_leak_where_no_cause_explained_it(open_: int) -> None:
    rng = random.Random(open_)
    mass, worth = [rng.random() for _ in range(1 << open_)], [rng.random() for _ in range(1 << (open_ - 1))]
    for bit in range(open_):
        kept = close(mass, bit, 0.2)
        for place, value in enumerate(kept):
            low = place & ((1 << bit) - 1)
            without = ((place >> bit) << (bit + 1)) | low
            assert value == pytest.approx(0.2 * mass[without] + mass[without | (1 << bit)])
        assert dot(kept, worth) == pytest.approx(dot(mass, reopen(worth, bit, 0.2)))


def test_what_a_cause_never_shows_is_as_good_as_never() -> None:
    faint = show([1.0, 0.0], [(0, 0.0)], chances(1.0, [(0, 0.0)], 2))
    assert faint[0] == 1.0
    assert 0.0 <= faint[1] <= 1e-19
