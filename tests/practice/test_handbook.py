"""What the virtual bike's handbook asks of a figure, in the unit it was read in."""

import pytest

from advisor.practice.handbook import asked, figures
from advisor.rulebase.model import Rulebase


def test_in_its_own_unit_or_in_another(base: Rulebase) -> None:
    own, other = asked("cable-slack", base), asked("cable-slack", base, "in")
    assert own
    assert other
    assert (own.low, own.high, own.unit) == (0.5, 2.5, "mm")
    assert other.unit == "in"
    assert other.high == pytest.approx(2.5 / 25.4)
    assert asked("column-idle", base) is None


def test_all_figures_with_their_titles(base: Rulebase) -> None:
    found = dict(figures(base))
    assert found[base.figures["idle-speed"].title] == asked("idle-speed", base)
    assert len(found) > 8
