"""The estimate of how sides stand and what a turn does."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.balance import response
from advisor.balance.response import Usual

USUAL = Usual(answers=((-45.0, 45.0), (220.0, 220.0)), sure=0.5, hand=0.0, moves=(0.0, 0.0))


def test_exact_readings_teach_the_answers_as_two_equations_do() -> None:
    # arithmetic: two turns and two exact changes give two answers
    truth = np.array([[-27.0, 30.0], [135.0, 140.0]])
    at = np.array([12.0, 940.0])
    stand = response.first(at.tolist(), (1e-6, 1e-6), USUAL)
    for turns in ((0.25, 0.0), (0.0, -0.125)):
        at = at + truth @ np.array(turns)
        stand = response.turned(stand, turns, USUAL)
        stand = response.read(stand, at.tolist(), (1e-6, 1e-6))
    for of in (0, 1):
        for to in (0, 1):
            assert stand.answer(of, to)[0] == pytest.approx(truth[of][to], rel=1e-3)
    assert stand.value == pytest.approx(at.tolist(), abs=1e-3)


def test_it_is_least_squares_with_what_is_usual_as_one_more_observation() -> None:
    # the outside check: numpy's least squares on the same readings, with the prior as rows of their own
    rng = np.random.default_rng(3)
    usual = Usual(answers=((-45.0, 45.0),), sure=0.5, hand=0.0, moves=(0.0,))
    truth, at, scatter = np.array([-30.0, 50.0]), 20.0, 1.5
    turns = rng.uniform(-0.5, 0.5, (6, 2))
    read = [at + float(truth @ turns[:k].sum(0)) + rng.normal(0, scatter) for k in range(7)]
    stand = response.first([read[0]], (scatter,), usual)
    for one, value in zip(turns, read[1:], strict=True):
        stand = response.read(response.turned(stand, one.tolist(), usual), [value], (scatter,))
    gone = np.vstack([np.zeros(2), np.cumsum(turns, 0)])
    rows = np.column_stack([np.ones(7), gone]) / scatter
    prior = np.array([[0, 1 / 22.5, 0], [0, 0, 1 / 22.5]])
    found, *_ = np.linalg.lstsq(np.vstack([rows, prior]), np.append(np.array(read) / scatter, [-2.0, 2.0]), rcond=None)
    assert [stand.answer(0, 0)[0], stand.answer(0, 1)[0]] == pytest.approx(found[1:].tolist(), rel=1e-6)
    assert stand.value[0] == pytest.approx(float(found[0] + found[1:] @ gone[-1]), rel=1e-6)


@given(st.floats(-60, 60), st.floats(700, 1500), st.floats(-0.5, 0.5), st.floats(-0.5, 0.5))
def test_swapping_sides_swaps_the_answers(behind: float, revs: float, left: float, right: float) -> None:
    one = response.turned(response.first((behind, revs), (2.0, 10.0), USUAL), (left, right), USUAL)
    other = response.turned(response.first((-behind, revs), (2.0, 10.0), USUAL), (right, left), USUAL)
    one = response.read(one, (behind / 2, revs + 30), (2.0, 10.0))
    other = response.read(other, (-behind / 2, revs + 30), (2.0, 10.0))
    assert one.value[0] == pytest.approx(-other.value[0], abs=1e-6)
    assert one.value[1] == pytest.approx(other.value[1], abs=1e-6)
    assert one.answer(0, 0)[0] == pytest.approx(-other.answer(0, 1)[0], abs=1e-6)


def test_a_hand_that_is_off_makes_the_outcome_less_sure() -> None:
    sure = response.turned(response.first((10.0, 1000.0), (1.0, 5.0), USUAL), (0.25, 0.0), USUAL)
    hand = Usual(answers=USUAL.answers, sure=0.5, hand=1 / 12, moves=(0.0, 0.0))
    shaky = response.turned(response.first((10.0, 1000.0), (1.0, 5.0), hand), (0.25, 0.0), hand)
    assert all(a > b for a, b in zip(shaky.spread, sure.spread, strict=True))


def test_a_reading_far_off_what_is_expected_surprises() -> None:
    stand = response.first((10.0, 1000.0), (2.0, 10.0), USUAL)
    assert response.surprise(stand, (11.0, 1005.0), (2.0, 10.0)) < 1
    assert response.surprise(stand, (40.0, None), (2.0, 10.0)) > 8
    assert response.surprise(stand, (None, None), (2.0, 10.0)) == 0


def test_what_was_not_read_teaches_nothing() -> None:
    stand = response.first((10.0, 1000.0), (2.0, 10.0), USUAL)
    assert response.read(stand, (None, None), (2.0, 10.0)).value == pytest.approx(stand.value)
