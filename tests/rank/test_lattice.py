"""Sums over sets of signs against plain enumeration: which signs a cause shows, each by its own chance."""

from collections.abc import Iterator
from itertools import product
from math import prod

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.rank.lattice import chances, close, expect, expect_open, open_signs, reopen, show

BITS = 3
SIZE = 1 << BITS
MASSES = st.lists(st.floats(0.001, 1), min_size=SIZE, max_size=SIZE)
TRIGGERS = st.dictionaries(st.integers(0, BITS - 1), st.floats(0.01, 0.99), max_size=BITS).map(
    lambda found: tuple(found.items())
)


def shown(strengths: dict[int, float]) -> Iterator[tuple[int, float]]:
    """Yield each set of signs that a cause may show, as bits, with its chance."""
    for seen in product((False, True), repeat=len(strengths)):
        bits = sum(1 << bit for bit, yes in zip(strengths, seen, strict=True) if yes)
        yield bits, prod(one if yes else 1 - one for one, yes in zip(strengths.values(), seen, strict=True))


@given(MASSES, TRIGGERS, st.floats(0.1, 2))
def test_a_cause_shows_each_of_its_signs_by_its_own_chance(
    mass: list[float], triggers: tuple[tuple[int, float], ...], weight: float
) -> None:
    wanted = [0.0] * SIZE
    for explained, one in enumerate(mass):
        for bits, chance in shown(dict(triggers)):
            wanted[explained | bits] += weight * one * chance
    assert show(mass, triggers, chances(weight, triggers, SIZE)) == pytest.approx(wanted)


@given(MASSES, MASSES, TRIGGERS)
def test_what_is_expected_is_the_transpose(
    mass: list[float], worth: list[float], triggers: tuple[tuple[int, float], ...]
) -> None:
    """Going forward with the mass or backward with the worth comes to the same evidence."""
    shows = chances(1.0, triggers, SIZE)
    forward = sum(one * two for one, two in zip(show(mass, triggers, shows), worth, strict=True))
    backward = sum(one * two for one, two in zip(mass, expect(worth, triggers, shows), strict=True))
    assert forward == pytest.approx(backward)


@given(MASSES, st.lists(st.floats(0.01, 0.99), max_size=2), st.data())
def test_fresh_signs_open_above_those_that_are_open(
    mass: list[float], strengths: list[float], data: st.DataObject
) -> None:
    wide = SIZE << len(strengths)
    wanted = [0.0] * wide
    for explained, one in enumerate(mass):
        for bits, chance in shown({BITS + n: strength for n, strength in enumerate(strengths)}):
            wanted[explained | bits] += one * chance
    opened = open_signs(mass, strengths)
    assert opened == pytest.approx(wanted)
    worth = data.draw(st.lists(st.floats(0.001, 1), min_size=wide, max_size=wide))
    forward = sum(one * two for one, two in zip(opened, worth, strict=True))
    backward = sum(one * two for one, two in zip(mass, expect_open(worth, strengths), strict=True))
    assert forward == pytest.approx(backward)


@pytest.mark.parametrize("bit", range(BITS))
@given(mass=MASSES, leak=st.floats(0.001, 0.5), data=st.data())
def test_a_sign_that_no_cause_explains_is_left_to_its_leak(
    bit: int, mass: list[float], leak: float, data: st.DataObject
) -> None:
    wanted = [0.0] * (SIZE // 2)
    for explained, one in enumerate(mass):
        below, above = explained & ((1 << bit) - 1), explained >> (bit + 1) << bit
        wanted[below | above] += one * (1.0 if explained >> bit & 1 else leak)
    closed = close(mass, bit, leak)
    assert closed == pytest.approx(wanted)
    worth = data.draw(st.lists(st.floats(0.001, 1), min_size=SIZE // 2, max_size=SIZE // 2))
    forward = sum(one * two for one, two in zip(closed, worth, strict=True))
    backward = sum(one * two for one, two in zip(mass, reopen(worth, bit, leak), strict=True))
    assert forward == pytest.approx(backward)
