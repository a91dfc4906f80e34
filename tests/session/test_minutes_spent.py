"""The minutes that the pages give for what was done."""

from advisor.intake.spoken import spoken
from advisor.rulebase import Rulebase
from advisor.session.events import Answered, PutRight, Read, RuledOut, Skipped, Throttled
from advisor.session.minutes_spent import minutes_of


def test_a_check_a_repair_and_a_reading_cost_what_their_pages_say(base: Rulebase) -> None:
    check, cause = base.checks["measure-the-clearances"], base.causes["clearance-tight"]
    assert minutes_of(Answered(check.id, None, "", ()), base) == check.minutes
    assert minutes_of(PutRight(cause.id, "left"), base) == cause.minutes
    assert minutes_of(RuledOut(cause.id, "left", in_vain=True), base) == cause.minutes
    taken = Read(tuple(spoken("compression", "left 9 bar right 9 bar", base)))
    assert minutes_of(taken, base) == min(one.minutes for one in base.checks.values() if "compression" in one.takes)


def test_what_was_not_done_costs_nothing(base: Rulebase) -> None:
    assert minutes_of(Skipped("measure-the-clearances", None, "can't"), base) == 0
    assert minutes_of(RuledOut("clearance-tight", "left"), base) == 0
    assert minutes_of(Answered("a-check-of-another-shop", None, "", ()), base) == 0
    assert minutes_of(Throttled(), base) == 0
