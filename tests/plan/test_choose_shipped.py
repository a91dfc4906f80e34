"""The next step: a check, going for a cause, or putting right what its deciding check has spoken for."""

import pytest
from msgspec.structs import replace

from advisor.case import Case, Means, SignReport
from advisor.diagnose import Advisor
from advisor.plan.candidates import feasible, scene
from advisor.plan.choose import ANSWERED_BEFORE, Plan, answered, plan
from advisor.plan.cost import LOST, RETEST, Search, expected_minutes
from advisor.plan.deciding import deciding_check
from advisor.rank.joint import Joint
from advisor.sides import BOTH
from tests.cases import case, report


def _planned(advisor: Advisor, told: Case) -> Plan:
    chained, ranking = advisor.rank(told)
    return plan(advisor.base, Joint(ranking), scene(advisor.base, told, chained.signs, chained.forbidden))


def _complained(*signs: tuple[str, str | None]) -> Case:
    told = case(*(report(sign, side, how="complained") for sign, side in signs))  # type: ignore[arg-type]
    return replace(told, complaint="It will not settle.")


def _out_off_idle(higher: str) -> Case:
    """Return a bike that idles well and shakes at cruise, one column higher off idle since its cables were renewed."""
    signs = ("cruise-vibration", None), ("began-after-cable-work", None), ("column-higher-off-idle", higher)
    told = _complained(*signs)
    sound = [
        report("idle-bad", seen=False),
        *(report("throttle-lever-sticks", side, seen=False) for side in BOTH),
        *(report("cable-sheath-unseated", side, seen=False) for side in BOTH),
    ]
    return replace(told, seen=(*told.seen, *sound))


def test_a_likely_cause_with_a_quick_look_is_gone_for(advisor: Advisor) -> None:
    found = _planned(advisor, _out_off_idle("right"))
    assert found.goes_for == ("cable-slack-unequal", "left")
    assert not found.proven
    assert found.checks[0].candidate.check.id == advisor.base.causes["cable-slack-unequal"].settled_by


def test_what_the_deciding_check_spoke_for_is_put_right(advisor: Advisor) -> None:
    told = _out_off_idle("right")
    proven = replace(told, seen=(*told.seen, report("adjuster-turn-levels", "left")))
    found = _planned(advisor, proven)
    assert (found.goes_for, found.proven) == (("cable-slack-unequal", "left"), True)
    advice = advisor.diagnose(proven).advice
    assert (advice.kind, advice.cause, advice.side, advice.proven, advice.proof) == (
        "put right",
        "cable-slack-unequal",
        "left",
        True,
        None,
    )


def test_the_plan_is_the_same_for_left_and_right(advisor: Advisor) -> None:
    for weak, strong in (("left", "right"), ("right", "left")):
        found = _planned(advisor, _out_off_idle(strong))
        assert found.goes_for == ("cable-slack-unequal", weak)


def test_a_proven_cause_costs_half_its_repair_and_a_trial_run(advisor: Advisor) -> None:
    base, causes = advisor.base, [("plug-dead", "left"), ("plug-dead", "right")]
    search = Search(base, causes, (), [True, None])  # type: ignore[arg-type]  # sides are words
    page = base.causes["plug-dead"]
    look = base.checks[page.settled_by].minutes + base.words.step
    assert search.prices == [RETEST + LOST * page.minutes, look]
    assert search.expected([0.5, 0.5]) == expected_minutes(search.prices, [0.5, 0.5])


def test_causes_that_one_check_decides_are_looked_at_together(advisor: Advisor) -> None:
    """Both sides' timing and that of either side are read with one strobe, so it is worth the sum of them."""
    causes = [
        ("timing-wrong", None),
        ("timing-sides-differ", "left"),
        ("timing-sides-differ", "right"),
        ("plug-dead", "left"),
    ]
    search = Search(advisor.base, causes, (), [None] * 4)  # type: ignore[arg-type]  # sides are words
    assert search.place == [0, 0, 0, 1]
    assert search.at([0.1, 0.2, 0.3, 0.4]) == [pytest.approx(0.6), 0.4]
    assert search.bargain([0.1, 0.2, 0.3, 0.01], range(4)) == 2
    missed, after = search.expected_after(2, [0.1, 0.2, 0.3, 0.4])
    assert missed == pytest.approx(0.4)
    assert after == search.prices[1]


def test_a_complaint_of_how_it_began_alone_says_nothing_is_wrong_now(advisor: Advisor) -> None:
    told = _complained(("began-after-work", None))
    assert advisor.rank(told)[1].network.for_nothing == 1.0
    assert advisor.rank(_complained(("idle-hangs", None)))[1].network.for_nothing < 1.0
    assert advisor.rank(case(report("idle-hangs")))[1].network.for_nothing == 1.0


def test_nobody_is_sent_to_a_check_that_he_cannot_do(advisor: Advisor) -> None:
    """A rider with no tools, on a bike that must not run: whatever is gone for can be looked at by him."""
    for signs in ((("idle-hangs", None),), (("drop-small-idle", "left"),), (("pops", None), ("runs-hot", None))):
        told = replace(_complained(*signs), means=Means(person="rider", tools=frozenset(), engine=""))
        chained, ranking = advisor.rank(told)
        here = scene(advisor.base, told, chained.signs, chained.forbidden)
        found = plan(advisor.base, Joint(ranking), here)
        assert all(feasible(one.candidate.check, one.candidate.side, here, advisor.base) for one in found.checks)
        likely = dict(zip(ranking.network.causes, ranking.posterior.causes, strict=True))
        if found.goes_for and not found.proven and likely[found.goes_for] < advisor.base.words.act_at:
            check, side = deciding_check(*found.goes_for, advisor.base)
            assert feasible(advisor.base.checks[check], side, here, advisor.base)


def test_questions_that_get_no_answer_are_asked_less(advisor: Advisor) -> None:
    """What a rider could not answer lowers what his next answer is worth, and that of no look at a part."""
    told = _complained(("hard-to-start", None), ("runs-badly", None))

    def asked(*checks: str, seen: bool) -> Case:
        shown = [report(advisor.base.checks[one].outcomes[0].shows[0].sign, seen=True) for one in checks if seen]
        return replace(told, seen=(*told.seen, *shown), not_again=tuple((one, None) for one in checks))

    def often(one: Case) -> dict[str, float]:
        chained, _ = advisor.rank(one)
        return answered(scene(advisor.base, one, chained.signs, chained.forbidden), advisor.base)

    questions = ("ask-how-it-came", "ask-about-popping", "ask-whether-it-stood")
    assert {advisor.base.checks[one].how for one in questions} == {"told"}
    before, silent, talks = often(told), often(asked(*questions, seen=False)), often(asked(*questions, seen=True))
    assert before == talks == dict.fromkeys(advisor.base.words.trust, 1.0)
    assert silent == before | {"told": ANSWERED_BEFORE / (ANSWERED_BEFORE + 3)}

    def to_cause(one: Case) -> dict[str, float]:
        return {
            weighed.candidate.check.id: weighed.to_cause - weighed.price
            for weighed in _planned(advisor, one).checks
            if weighed.to_cause and weighed.candidate.check.how == "told"
        }

    mute = replace(told, not_again=tuple((one, None) for one in questions))
    skips = replace(told, not_again=tuple((one, None) for one in ("look-at-the-plug", "feel-the-plugs")))
    shared = to_cause(mute).keys() & to_cause(skips).keys()
    assert shared
    assert all(to_cause(mute)[one] >= to_cause(skips)[one] for one in shared)
    assert any(to_cause(mute)[one] > to_cause(skips)[one] for one in shared)


def test_what_forbids_everything_until_it_was_looked_at_is_looked_at_first(advisor: Advisor) -> None:
    told = _complained(("fuel-smell", None), ("idle-bad", None))
    first = _planned(advisor, told)
    assert first.goes_for is None
    assert first.checks[0].candidate.check.id == "sniff-for-fuel"
    assert any(("fuel-leaks", None) in one.findings for one in first.checks[0].candidate.results)
    dry = replace(told, seen=(*told.seen, SignReport(sign="fuel-leaks", side=None, seen=False, how="seen")))
    again = _planned(advisor, dry)
    assert all(one.candidate.check.id != "sniff-for-fuel" for one in again.checks[:1])
