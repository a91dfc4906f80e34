"""How a trouble began: each fault in one way, as often as its table says."""

from collections import Counter

import numpy as np
import pytest

from advisor.observer.beginnings import BEGAN, BEGINNINGS, WORK, WORKS, history
from advisor.rulebase.model import Rulebase
from advisor.virtual_bike.faults import CAUSES

NOT_IN_THE_MODEL = "began-after-crank-work"  # its crank, clutch and flywheel have no faults


def test_every_fault_but_height_and_an_instrument_has_beginnings_that_the_rules_know(base: Rulebase) -> None:
    assert set(CAUSES) - set(BEGAN) == {"too-high-up", "gauge-at-fault"}
    assert set(BEGAN) <= set(CAUSES)
    assert {sign for one in BEGAN.values() for sign in one} == set(BEGINNINGS) <= set(base.signs)
    assert {sign.id for sign in base.signs.values() if sign.kind_of == WORK} == {*WORKS, NOT_IN_THE_MODEL}


@pytest.mark.parametrize("cause", ["rings-worn", "clearance-tight", "sheath-out-of-socket", "coil-failing"])
def test_it_begins_as_often_in_each_way_as_the_table_says(cause: str) -> None:
    """Also where the table comes to more than a hundred, or to less: then nobody knows in the rest."""
    bikes = 2000
    drawn = [history([cause], np.random.default_rng(i)) for i in range(bikes)]
    assert all({sign for sign, _ in one} == {*BEGINNINGS, WORK} for one in drawn)
    assert all(sum(one[sign, None] for sign in BEGINNINGS) <= 1 for one in drawn)
    assert all(one[WORK, None] == any(one[sign, None] for sign in WORKS) for one in drawn)
    began = Counter(sign for one in drawn for sign in BEGINNINGS if one[sign, None])
    whole = max(100, sum(BEGAN[cause].values()))
    for sign, chance in BEGAN[cause].items():
        assert began[sign] / bikes == pytest.approx(chance / whole, abs=0.035)


def test_two_faults_may_have_begun_in_two_ways_and_an_unknown_one_tells_nothing() -> None:
    both = [history(["rings-worn", "set-too-cold"], np.random.default_rng(i)) for i in range(40)]
    assert any(one["slowly-worse", None] and one["began-after-setting", None] for one in both)
    assert history(["too-high-up"], np.random.default_rng(1)) == {}
