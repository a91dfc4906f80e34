"""One scored bike as a row: its figures follow from the ranking, and from what the planner did."""

import math

import numpy as np
import pytest

from advisor.diagnose import Advisor
from advisor.plan.cost import RETEST
from advisor.rulebase import Rulebase
from advisor.scoring.game import play
from advisor.scoring.hidden_bikes import how_often
from advisor.scoring.rows import place_of, row_of
from advisor.scoring.stand import OPENING, Stand
from advisor.sides import Sided
from advisor.virtual_bike.faults import CAUSES
from tests.scoring.bikes import stand_with


def _opened(advisor: Advisor) -> tuple[Stand, tuple[str, ...]]:
    at = stand_with(advisor, ("intake-joint-leak", "left", 0.9))
    at.complain()
    return at, at.measure(dict.fromkeys(OPENING, 1.0))


def test_places_are_those_of_the_ranking() -> None:
    chances: dict[Sided, float] = {("a", None): 0.5, ("b", None): 0.2, ("c", None): 0.2, ("d", None): 0.1}
    assert [place_of(chances, one) for one in chances] == [1, 2, 2, 4]
    sides: dict[Sided, float] = {
        ("a", "left"): 0.1,
        ("a", "right"): 0.5,
        ("b", None): 0.2,
        ("c", None): 0.05,
    }
    assert [place_of(sides, one) for one in sides] == [1, 1, 2, 3]


def test_a_row_before_anything_was_checked_says_what_the_ranking_says(advisor: Advisor) -> None:
    at, read = _opened(advisor)
    chances, fault = at.chances(), ("intake-joint-leak", "left")
    row = row_of(3, at, read, on=False)
    assert (row.number, row.fault, row.side, row.severity, row.faults) == (3, *fault, 0.9, 1)
    assert (row.read, row.shows) == (len(OPENING), True)
    assert (row.chance, row.first_chance) == (chances["intake-joint-leak", "left"], max(chances.values()))
    truth = np.array([one == fault for one in chances], float)
    said = np.array(list(chances.values()))
    assert row.brier == pytest.approx(float(((said - truth) ** 2).sum()))
    assert row.log_score == pytest.approx(-float(np.log2(np.where(truth > 0, said, 1 - said)).sum()))
    assert (row.played, row.cured, row.acted, row.right, row.minutes, row.steps) == (False, False, "", False, 0.0, 0)


def test_a_played_row_says_what_the_planner_did(advisor: Advisor) -> None:
    at, read = _opened(advisor)
    row = row_of(0, at, read, on=True)
    assert (row.played, row.cured, row.acted, row.right) == (True, True, "intake-joint-leak left", True)
    assert row.minutes == at.minutes > advisor.base.causes["intake-joint-leak"].minutes + RETEST
    again, _ = _opened(advisor)
    assert row.steps == sum(one.kind in {"check", "settle"} for one in play(again)) >= 2
    assert row.shows  # as it came in, not as it left


def test_weights_turn_the_bikes_that_are_drawn_into_those_that_are_met(base: Rulebase, advisor: Advisor) -> None:
    """Two faults weigh against each other as their pages' words say, against how often the model draws them."""
    weights = {
        cause: row_of(0, stand_with(advisor, (cause, "left", 0.9)), (), on=False).weight
        for cause in ("intake-joint-leak", "butterfly-not-sealing")
    }
    met = {cause: base.words.met[base.causes[cause].met] / how_often(cause) for cause in weights}
    ratio = weights["intake-joint-leak"] / weights["butterfly-not-sealing"]
    assert ratio == pytest.approx(met["intake-joint-leak"] / met["butterfly-not-sealing"])
    assert how_often("intake-joint-leak") > how_often("butterfly-not-sealing")
    assert math.isfinite(ratio)
    assert {"intake-joint-leak", "butterfly-not-sealing"} <= set(CAUSES)
