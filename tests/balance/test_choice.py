"""The next turn."""

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.balance.choice import TRIED, Aim, best
from advisor.balance.response import Usual, first, turned
from advisor.balance.turns import WHOLE

SURE = Usual(answers=((-40.0, 40.0), (200.0, 200.0)), sure=0.02, hand=0.0, moves=(0.0, 0.0))
AIM = Aim(at=(0.0, 1000.0), within=(10.0, 100.0))


@given(st.floats(-35, 35), st.floats(850, 1150))
def test_it_is_the_best_of_all_turns_or_one_screw_nearly_as_good(behind: float, revs: float) -> None:
    # against trying each turn by the plain forecast
    stand = first((behind, revs), (1.0, 5.0), SURE)

    def left(turns: tuple[int, ...]) -> float:
        then = turned(stand, [one / WHOLE for one in turns], SURE)
        rows = zip(then.value, then.spread, AIM.at, AIM.within, strict=True)
        return sum(((value - at) ** 2 + spread**2) / within**2 for value, spread, at, within in rows)

    each = {turns: left(turns) for turns in itertools.product(TRIED, repeat=2)}
    found = best(stand, AIM, SURE)
    if any(found):
        single = sum(map(bool, found)) == 1
        assert each[found] <= min(each.values()) / (0.9 if single else 1.0) + 1e-6
        assert each[found] < each[0, 0]
    else:
        assert min(each.values()) >= 0.85 * each[0, 0] - 1e-6 or min(each.values()) >= 0.9 * 0.85 * each[0, 0] - 1e-6


@given(st.floats(-35, 35), st.floats(850, 1150))
def test_swapping_sides_swaps_the_turn(behind: float, revs: float) -> None:
    one = best(first((behind, revs), (1.0, 5.0), SURE), AIM, SURE)
    other = best(first((-behind, revs), (1.0, 5.0), SURE), AIM, SURE)
    assert sorted(one) == sorted(other)


def test_a_turn_whose_answer_is_hardly_known_is_smaller() -> None:
    # the cautious controller: not sure of an answer, it does less
    vague = Usual(answers=((-40.0, 40.0), (200.0, 200.0)), sure=0.8, hand=0.0, moves=(0.0, 0.0))
    sure, shy = (best(first((35.0, 1000.0), (1.0, 5.0), usual), AIM, usual) for usual in (SURE, vague))
    assert sum(map(abs, shy)) < sum(map(abs, sure))


@pytest.mark.parametrize(("behind", "revs"), [(0.0, 1000.0), (1.0, 1005.0)])
def test_what_stands_right_is_left(behind: float, revs: float) -> None:
    assert best(first((behind, revs), (2.0, 10.0), SURE), AIM, SURE) == (0, 0)
