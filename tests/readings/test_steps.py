"""What to do next by a limit: one step a limit, and both sides share it."""

from advisor.readings.steps import STEPS, steps
from advisor.rulebase import Rulebase


def test_a_limit_has_one_step_on_its_side() -> None:
    (left,), (right,) = steps([("plug-gap-least", "left")]), steps([("plug-gap-least", "right")])
    assert "left" in left
    assert left.replace("left", "right") == right
    assert "{" not in left


def test_both_sides_share_a_step() -> None:
    both = steps([("plug-gap-least", "left"), ("plug-gap-least", "right")])
    assert len(both) == 1
    assert both == [steps([("plug-gap-least", "left")])[0].replace("left", "left and right")]
    assert steps([("plug-gap-least", "right"), ("plug-gap-least", "left")]) == both


def test_each_limit_has_its_own_in_the_order_given() -> None:
    one, two = steps([("plug-gap-least", "left"), ("idle-fastest", None)]), steps([("idle-fastest", None)])
    assert one[1:] == two
    assert one[:1] == steps([("plug-gap-least", "left")])
    again = steps([("plug-gap-least", "left"), ("idle-fastest", None), ("plug-gap-least", "left")])
    assert again == one


def test_a_limit_that_nobody_has_a_step_for_has_none() -> None:
    assert steps([("of-some-shop", "left")]) == []
    assert steps([]) == []


def test_every_step_is_of_a_limit_that_there_is(base: Rulebase) -> None:
    assert STEPS
    assert STEPS.keys() <= base.limits.keys()
