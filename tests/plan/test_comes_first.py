"""What comes before all else: the look round after work, and what is as good as a proof before a long repair."""

import pytest
from msgspec.structs import replace

from advisor.case import Case, SignReport
from advisor.diagnose import Advisor
from advisor.plan.candidates import candidates, scene
from advisor.report import Report
from advisor.rulebase import Rulebase
from advisor.rulebase.model import Check
from advisor.session.events import Answered
from advisor.session.next_question import options
from advisor.session.state import fold
from advisor.sides import Sided
from tests.cases import case, report
from tests.plan.test_choose import order, planned
from tests.small import cause, check, outcome, rulebase, sign, yes_no

LOOK = "look-round-first"


def _pages(*, repair: float = 240.0, first: tuple[str, ...] = (), who: str = "rider") -> Rulebase:
    return rulebase(
        *(sign(name) for name in ("after-work", "weak", "low", "hiss", "off", "loose")),
        cause("valve", "listen", {"hiss": "sure", "low": "sure", "weak": "often"}, met="often", minutes=repair),
        cause("clip", "pull", {"off": "sure", "weak": "sometimes"}, met="often"),
        yes_no("listen", "hiss", minutes=20.0, who=who),
        yes_no("gauge", "low", minutes=20.0),
        yes_no("pull", "off", minutes=2.0, who=who),
        check(
            "round",
            outcome("Off.", "off"),
            outcome("Loose.", "loose"),
            outcome("Nothing.", "not off", "not loose"),
            minutes=3.0,
            first_after=first,
        ),
    )


def test_a_look_comes_first_once_a_sign_it_comes_after_is_there() -> None:
    base = _pages(first=("after-work",))
    assert order(planned(base, {("weak", None): True}))[0] != "round"
    found = planned(base, {("weak", None): True, ("after-work", None): True})
    assert order(found)[0] == "round"
    assert found.goes_for is None
    assert order(planned(base, {("weak", None): True, ("after-work", None): False}))[0] != "round"


def test_a_look_does_not_come_first_where_half_of_it_is_known_or_a_cause_is_proven() -> None:
    base = _pages(first=("after-work",))
    after: dict[Sided, bool] = {("weak", None): True, ("after-work", None): True}
    assert order(planned(base, after | {("loose", None): False}))[0] != "round"
    proven = planned(_pages(repair=10.0, first=("after-work",)), after | {("hiss", None): True})
    assert (proven.goes_for, proven.proven) == (("valve", None), True)


def test_no_long_repair_before_the_best_proof_that_can_be_had() -> None:
    """Where the deciding check cannot be done here, what tells most of the cause comes first, if the repair is long."""
    known: dict[Sided, bool] = {("weak", None): True}
    rider = replace(case(), means=replace(case().means, person="rider"))
    long, short = (planned(_pages(repair=minutes, who="workshop"), known, case=rider) for minutes in (240.0, 10.0))
    assert (long.goes_for, order(long)[0]) == (None, "gauge")
    assert short.goes_for == ("valve", None)


@pytest.mark.wide
@pytest.mark.parametrize("told", ["began-after-fuel-work", "balance-wont-hold", "drop-small-idle left"])
def test_after_work_or_with_a_weak_side_one_look_round_comes_before_any_tool(advisor: Advisor, told: str) -> None:
    name, _, side = told.partition(" ")
    signs = (report("idle-bad", how="complained"), report(name, side or None, how="complained"))  # type: ignore[arg-type]
    found = advisor.diagnose(replace(case(*signs), complaint="It will not settle.")).next_checks[0]
    assert found.id == LOOK or not found.tools
    assert found.id == LOOK or found.minutes <= 2.0


@pytest.mark.wide
def test_what_the_look_round_finds_is_proven_or_one_check_from_it(advisor: Advisor) -> None:
    """And what it does not find may still be found by a closer look."""
    base, page = advisor.base, advisor.base.checks[LOOK]
    begun = case(report("began-after-work", how="complained"), report("idle-bad", how="complained"))
    chosen = options(page, None, None, base)
    for option in (chosen[0], chosen[1], chosen[-2]):
        after = fold([Answered(LOOK, None, option.says, option.reports)], base, begun).case
        found = advisor.diagnose(after)
        if any(one.seen for one in option.reports):
            assert {one.how for one in option.reports if one.seen} == {"seen"}
            lead = base.causes[found.causes[0].id]
            assert found.advice.proven or lead.settled_by in {found.next_checks[0].id, *_proof(found)}
        else:
            assert {one.how for one in option.reports} == {"glanced"}
            open_again = {one.id for one in _closer(advisor, after)}
            assert {"look-at-the-plug-cap", "look-at-the-sheath-ends", "look-at-the-joint"} <= open_again


def _proof(found: Report) -> set[str]:
    return {found.advice.proof.id} if found.advice.proof else set()


def _closer(advisor: Advisor, told: Case) -> list[Check]:
    chained, found = advisor.rank(told)
    at = scene(advisor.base, told, chained.signs, chained.forbidden)
    return [one.check for one in candidates(advisor.base, found.network, at)]


@pytest.mark.wide
@pytest.mark.parametrize(
    ("known", "asked"),
    [
        (("idle-unsteady", False, "seen"), "ask-whether-the-idle-is-steady"),
        (("idle-hunts", False, "seen"), "ask-whether-it-starts"),
        (("idle-lumpy", True, "complained"), "ask-whether-it-starts"),
        (("rough-in-a-band", True, "complained"), "ask-at-which-speeds"),
        (("miss-under-load", True, "complained"), "ask-when-it-misses"),
        (("began-after-cable-work", True, "complained"), "ask-how-it-came"),
        (("began-after-cable-work", True, "complained"), "ask-what-was-done"),
    ],
)
def test_what_is_known_in_other_words_is_not_asked(advisor: Advisor, known: tuple[str, bool, str], asked: str) -> None:
    name, seen, how = known
    told = case(SignReport(sign=name, side=None, seen=seen, how=how))
    others = case(report("worse-in-the-wet", how="complained"))
    if asked == "ask-when-it-misses":
        others = case(report("misses", how="complained"))
    assert asked in {one.id for one in _closer(advisor, others)}
    assert asked not in {one.id for one in _closer(advisor, told)}
