"""What to do next about figures outside their limits: as the limits' pages say it."""

from msgspec.structs import replace

from advisor.readings.steps import steps
from advisor.readings.verdicts import questions
from advisor.rulebase import Rulebase


def test_both_sides_share_a_step_and_each_limit_has_its_own(base: Rulebase) -> None:
    one, two = replace(base.limits["slack-least"], do="The {side} one."), replace(base.limits["slack-most"], do="Two.")
    limits = {"a": one, "b": two}
    assert steps([("a", "right")], limits) == ["The right one."]
    assert steps([("a", "right"), ("b", None), ("a", "left")], limits) == ["The left and right one.", "Two."]
    assert steps([], limits) == []


def test_a_limit_whose_page_says_nothing_has_no_step(base: Rulebase) -> None:
    silent = replace(base.limits["slack-least"], do="")
    assert steps([("a", "left"), ("b", "left")], {"a": silent, "b": base.limits["slack-least"]}) == steps(
        [("slack-least", "left")], base.limits
    )


def test_every_shipped_limit_says_what_to_do_unless_a_picture_does(base: Rulebase) -> None:
    asked = questions(base).values()
    alone = {one.limit for one in asked if not (one.of == "lead" and base.readings[one.reading].picture)}
    assert {limit.id for limit in base.limits.values() if limit.do} == alone
    assert {one.limit for one in asked} - alone
    assert all(limit.do.endswith(".") for limit in base.limits.values() if limit.do)
