"""Which checks can still be done, and which of their results what is known leaves possible."""

import pytest

from advisor.case import Case, SignReport
from advisor.diagnose import Advisor
from advisor.plan.candidates import candidates, real_outcomes, scene
from advisor.plan.deciding import deciding_check, settled, settling
from advisor.rulebase import Rulebase
from advisor.rulebase.model import Check
from advisor.session.events import Answered
from advisor.session.state import fold
from advisor.sides import Side, Sided, sides_of
from tests.cases import case, report

pytestmark = pytest.mark.wide


def _offered(advisor: Advisor, told: Case) -> dict[Sided, set[str]]:
    """Return the results that are possible, by check and side."""
    chained, ranking = advisor.rank(told)
    here = scene(advisor.base, told, chained.signs, chained.forbidden)
    return {
        (one.check.id, one.side): {result.says for result in one.results}
        for one in candidates(advisor.base, ranking.network, here)
    }


def _answers(check: Check, side: Side, advisor: Advisor) -> list[list[SignReport]]:
    return [
        [report(sign, at, seen=seen, how=check.how) for (sign, at), seen in settled.items()]
        for outcome in check.outcomes
        for _, settled in real_outcomes(outcome, side, advisor.base)
    ]


@pytest.mark.slow
def test_an_answer_leaves_nothing_that_the_same_check_could_say(advisor: Advisor) -> None:
    """But for results that are part of another one: a figure not known, one side off or both, level but for a tube."""
    again = set()
    for check in advisor.base.checks.values():
        side = sides_of(check.sided)[0]
        for reports in _answers(check, side, advisor):
            if reports and (check.id, side) in _offered(advisor, case(*reports)):
                again.add(check.id)
    columns = {"compare-columns-at-idle", "compare-columns-off-idle"}
    # Here a rider names what is worst, and that does not deny the rest.
    worst = {"ask-what-heat-does", "ask-whether-the-idle-is-steady"}
    # A bike without such a valve gives every answer that a sound one does.
    no_such_part = {"shut-off-the-secondary-air", "feel-the-secondary-air-hose", "try-the-secondary-air-valve"}
    # Where it runs from the overflow, whether the pipe in the bowl is cracked is for another check.
    overflow = {"see-where-the-bowl-weeps"}
    # A look round finds one thing and says nothing of the rest.
    worst.add("look-round-first")
    # A side that is weak in another way may still be found to do little at idle, or to cut in and out.
    worst.add("ask-whether-one-side-is-weak")
    # One answer is that it leaks, and that nobody knows where.
    nobody_knows_where = {"ask-where-it-leaks", "hear-where-it-leaks"}
    partly = {"compare-the-bowls", "strobe-each-lead", *columns, *worst, *no_such_part, *overflow, *nobody_knows_where}
    assert again <= partly


def test_a_check_that_was_answered_is_not_asked_again(advisor: Advisor) -> None:
    base, bowls = advisor.base, ("compare-the-bowls", None)
    deeper = Answered(*bowls, "It is deeper in the left one.", (report("fuel-level-higher", "left"),))
    assert bowls in _offered(advisor, fold([], base).case)
    assert bowls not in _offered(advisor, fold([deeper], base).case)


def test_a_result_that_what_is_known_rules_out_is_not_counted_on(advisor: Advisor) -> None:
    open_case, told = case(), case(report("shakes", seen=False))
    key = ("ask-when-it-shakes", None)
    assert "It shakes no more than ever." in _offered(advisor, open_case)[key]
    assert key not in _offered(advisor, told)


@pytest.mark.parametrize(("how", "asked"), [("complained", True), ("told", True), ("seen", False)])
def test_what_is_only_told_can_still_be_looked_at(advisor: Advisor, how: str, asked: bool) -> None:
    offered = _offered(advisor, case(report("stub-seen-cracked", "left", how=how)))
    assert (("look-at-the-stub", "left") in offered) is asked


def test_a_deciding_check_has_spoken_once_somebody_looked(advisor: Advisor) -> None:
    base = advisor.base

    def says(*reports: SignReport) -> bool | None:
        told = case(*reports)
        chained, _ = advisor.rank(told)
        return settled("air-tube-off", "left", scene(base, told, chained.signs, chained.forbidden), base)

    assert says() is None  # unknown is never a no
    assert says(report("air-tube-off", "left", how="complained")) is None
    assert says(report("air-tube-off", "left")) is True
    assert says(report("air-tube-off", "left", seen=False)) is False
    assert says(report("air-tube-off", "right")) is None


def test_a_deciding_question_needs_no_look(advisor: Advisor) -> None:
    base, told = advisor.base, case(report("set-before-warm", how="told"))
    assert deciding_check("set-too-cold", None, base) == ("ask-how-it-was-set", None)
    assert settling(base.causes["set-too-cold"], None, base) >= {("set-before-warm", None)}

    def says(at: Case) -> bool | None:
        chained, _ = advisor.rank(at)
        return settled("set-too-cold", None, scene(base, at, chained.signs, chained.forbidden), base)

    assert says(told) is None  # it runs well, for all that is known
    assert says(case(*told.seen, report("balance-wont-hold", how="told"))) is True
    assert says(case(report("set-before-warm", how="told", seen=False))) is False


def test_what_a_check_would_say_is_believed_no_further_than_what_it_says_will_be(advisor: Advisor) -> None:
    """A balance reading counts for less while valves, plugs and fuel are not checked: so do a check's results."""
    told = case(report("idle-bad", how="told"))
    chained, ranking = advisor.rank(told)
    here = scene(advisor.base, told, chained.signs, chained.forbidden)
    assert "drop-small-idle" in here.unready
    found = {one.check.id: one for one in candidates(advisor.base, ranking.network, here)}
    result = found["short-each-plug-at-idle"].results[0]
    given = (report(*key, seen=one.seen, how="measured") for key, one in result.findings.items())
    _, answered = advisor.rank(case(*told.seen, *given))
    assert all(answered.findings[key] == one for key, one in result.findings.items() if key in answered.findings)
    assert answered.findings.keys() & result.findings.keys()


def test_what_was_asked_of_another_bike_changes_nothing(base: Rulebase) -> None:
    """A balance reading is believed less while earlier stages are unchecked: on this bike, whatever came before it."""
    wrong = {sign for area in base.areas if not area.relies for item in area.items for sign in item.wrong}
    sound = case(*(report(sign, side, seen=False) for sign in wrong for side in sides_of(base.signs[sign].sided)))

    def trusts(one: Advisor) -> list[object]:
        chained, ranking = one.rank(sound)
        here = scene(base, sound, chained.signs, chained.forbidden)
        found = candidates(base, ranking.network, here)
        return [finding.trust for each in found for result in each.results for finding in result.findings.values()]

    fresh, used = Advisor(base), Advisor(base)
    for told in (case(), sound):
        chained, ranking = used.rank(told)
        candidates(base, ranking.network, scene(base, told, chained.signs, chained.forbidden))
    assert trusts(used) == trusts(fresh)
