"""The joint picture: exact while it holds every cause, close where it does not, and the same for left and right."""

import math
import random

import pytest
from msgspec.structs import replace

from advisor.diagnose import Advisor
from advisor.intake.casefile import read_case
from advisor.places import shipped
from advisor.plan.candidates import candidates, scene
from advisor.rank import joint as joint_module
from advisor.rank.joint import CHEAP, MOST_SUSPECTS, Exact, Joint, WhatIf
from advisor.rank.network import Finding, Grades, Leaky, Network
from advisor.rank.ranking import Ranking, odds
from advisor.readings.verdicts import FAR, LITTLE
from advisor.rulebase.table_records import Trust
from advisor.sides import Sided, other
from tests.bench.test_figures import forty_facts
from tests.cases import case, mirrored, report
from tests.drawn import drawn
from tests.rank.test_ranking import _ranking

DEMO = sorted(shipped("cases_demo").glob("*.yaml"))


@pytest.mark.parametrize("seed", range(40))
def test_with_few_causes_it_is_exact(seed: int) -> None:
    ranking, priors = _ranking(500 + seed)
    for finding in ranking.findings.values():
        # The last sign is shown by all, so that every cause is a suspect.
        assert finding.leaky.leak > 0
    ranking = type(ranking)(
        ranking.network,
        {**ranking.findings, ("all", None): Finding(Leaky(0.05, dict.fromkeys(range(len(priors)), 0.4)), seen=True)},
    )
    exact, joint = Exact(ranking), Joint(ranking)
    assert set(joint.suspects) == set(range(len(priors)))
    more: dict[Sided, Finding] = {("new", None): Finding(Leaky(0.07, {0: 0.6}), seen=seed % 2 == 0)}
    assert joint.after({}) == pytest.approx(exact.after({}), abs=1e-9)
    assert joint.after(more) == pytest.approx(exact.after(more), abs=1e-9)
    for key, finding in ranking.findings.items():
        if any(strength == 1 for strength in finding.leaky.strengths.values()):
            continue
        wanted = exact.factors(key)
        for cause, times in joint.factors(key).items():
            assert times == pytest.approx(wanted[cause], rel=1e-6)


@pytest.mark.parametrize("seed", range(30))
def test_with_few_causes_it_is_exact_where_somebody_complains(seed: int) -> None:
    ranking, priors = _ranking(700 + seed)
    signs = {
        **ranking.findings,
        ("all", None): Finding(Leaky(0.05, dict.fromkeys(range(len(priors)), 0.4)), seen=seed % 2 == 0),
    }
    ranking = type(ranking)(replace(ranking.network, for_nothing=0.05), signs)
    exact, joint = Exact(ranking), Joint(ranking)
    more: dict[Sided, Finding] = {("new", None): Finding(Leaky(0.07, {0: 0.6}), seen=seed % 3 == 0)}
    if set(joint.suspects) == set(range(len(priors))):
        assert joint.after(more) == pytest.approx(exact.after(more), abs=1e-9)
    assert joint.after({}) == pytest.approx(exact.after({}), abs=1e-9)
    assert sum(exact.after({}).values()) >= 0.95 * (1 - 1e-9) or ranking.posterior.nothing > 0


def test_where_no_suspect_is_there_the_others_are_likelier_for_a_complaint(advisor: Advisor) -> None:
    """What rules the suspects out raises the rest: close to the exact answer on a case of the shipped rules."""
    told = replace(case(report("idle-hangs", how="complained"), report("pops")), complaint="It hangs.")
    _, ranking = advisor.rank(told)
    assert ranking.network.for_nothing < 1
    joint, exact = Joint(ranking), Exact(ranking)
    top = max(joint.suspects, key=ranking.probability)
    gone: dict[Sided, Finding] = {("new", None): Finding(Leaky(0.001, {top: 0.98}), seen=False)}
    for cause, likely in exact.after(gone).items():
        assert joint.after(gone)[cause] == pytest.approx(likely, abs=0.03)


@pytest.mark.parametrize("name", ["forty", *(path.stem for path in DEMO)])
def test_on_real_cases_it_is_close(advisor: Advisor, name: str) -> None:
    """Within 0.03 of each suspect's probability, and within a factor of 1.8 of the factors of each likely one."""
    told = (
        forty_facts(advisor.base)
        if name == "forty"
        else read_case(shipped("cases_demo") / f"{name}.yaml", advisor.base)
    )
    _, ranking = advisor.rank(told)
    joint, exact = Joint(ranking), Exact(ranking)
    for cause in joint.suspects:
        assert joint.whole[cause] == pytest.approx(ranking.probability(cause), abs=0.03)
    for key in ranking.findings:
        wanted, found = exact.factors(key), joint.factors(key)
        for cause in joint.suspects:
            if ranking.probability(cause) > 0.2:
                assert abs(math.log(found.get(cause, 1.0) / wanted[cause])) < 0.65, (key, ranking.network.causes[cause])


def test_cheap_cases_are_asked_exactly_and_dear_ones_are_not(advisor: Advisor) -> None:
    cheap, dear = advisor.rank(case(report("idle-hangs")))[1], advisor.rank(forty_facts(advisor.base))[1]
    assert cheap.cost < CHEAP < dear.cost
    key: Sided = ("idle-hangs", None)
    assert WhatIf(cheap).factors(key) == Exact(cheap).factors(key)
    assert WhatIf(dear).factors(key) == Joint(dear).factors(key)
    assert WhatIf(dear, exact=True).factors(key) == Exact(dear).factors(key)


def test_no_side_is_favoured_among_suspects(advisor: Advisor) -> None:
    for told in (case(), case(report("cruise-vibration")), forty_facts(advisor.base)):
        here, there = (Joint(advisor.rank(one)[1]) for one in (told, mirrored(told)))
        names = {here.ranking.network.causes[cause] for cause in here.suspects}
        swapped = {
            (name, other(side)) for name, side in (there.ranking.network.causes[cause] for cause in there.suspects)
        }
        assert names == swapped
        assert len(here.suspects) <= MOST_SUSPECTS


def test_what_a_settling_sign_kept_down_comes_back_when_it_is_left_out(advisor: Advisor) -> None:
    """With the plug settled the other causes of a weak side are unlikely; without that sign they must be there."""
    told = case(
        report("fault-follows-plug", "left"), report("misfires-idle", "left"), report("drop-small-idle", "left")
    )
    _, ranking = advisor.rank(told)
    joint = Joint(ranking)
    key: Sided = ("fault-follows-plug", "left")
    without = ranking.without(key)
    plug = ranking.network.causes.index(("plug-dead", "left"))
    times = odds(ranking.probability(plug)) / odds(without.causes[plug])
    assert joint.factors(key)[plug] == pytest.approx(times, rel=0.1)


@pytest.mark.parametrize("grade", [LITTLE, FAR])
@pytest.mark.parametrize("seed", range(6))
def test_with_few_causes_a_graded_figure_is_exact_too(seed: int, grade: str) -> None:
    rng = random.Random(seed)
    signs: dict[Sided, Leaky] = {
        (name, None): Leaky(rng.uniform(0.01, 0.1), {cause: rng.uniform(0.2, 0.9) for cause in range(4)})
        for name in ("graded", "seen", "not")
    }
    priors = tuple(rng.uniform(0.02, 0.3) for _ in range(4))
    network = Network(tuple((f"c{n}", None) for n in range(4)), priors, signs, grades=Grades(0.4, 0.05))
    sure = Trust(1.0, 0.0)
    found = {key: network.report(key, sure, seen=key[0] != "not") for key in signs}
    found["graded", None] = network.report(("graded", None), sure, seen=True, grade=grade)
    ranking = Ranking(network, found)
    exact, joint = Exact(ranking), Joint(ranking)
    assert joint.after({}) == pytest.approx(exact.after({}), abs=1e-9)
    for key in found:
        factors = exact.factors(key)
        assert joint.factors(key) == pytest.approx(factors, rel=1e-6)
        assert joint.after({}, [key]) == pytest.approx(exact.after({}, [key]), abs=1e-7)


def test_the_exact_ranking_is_asked_while_that_is_cheap_or_worth_the_wait(monkeypatch: pytest.MonkeyPatch) -> None:
    ranking, _ = _ranking(3)
    more: dict[Sided, Finding] = {("new", None): Finding(Leaky(0.05, {0: 0.9}), seen=True)}
    key = next(iter(ranking.findings))

    monkeypatch.setattr(Joint, "after", lambda *_: {0: -1.0})
    monkeypatch.setattr(Joint, "factors", lambda *_: {0: -1.0})

    def asked(**how: bool) -> tuple[bool, bool]:
        """Return whether what comes after a finding, and factors, are asked exactly."""
        one = WhatIf(ranking, **how)
        assert one.near == (one.factors(key) == {0: -1.0})
        return one.after(more) != {0: -1.0}, one.factors(key) != {0: -1.0}

    assert asked() == (True, True)
    monkeypatch.setattr(joint_module, "CHEAP", 0)
    assert asked() == (False, False)
    assert asked(exact=True) == (True, True)
    assert asked(closely=True) == (True, False)
    monkeypatch.setattr(joint_module, "BEARABLE", 0)
    assert asked(closely=True) == (False, False)
    assert asked(exact=True, closely=True) == (True, True)
    assert WhatIf(ranking).ranking is ranking
    assert WhatIf(ranking).joint.ranking is ranking


def test_a_cause_that_one_sign_alone_keeps_down_is_suspected_before_rarer_ones() -> None:
    """Six are the likeliest. Of the rest the one that is met most, but for one sign that it never shows, comes next."""
    causes = tuple((f"c{n}", None) for n in range(12))
    priors = (*(0.05,) * 6, 0.3, *(0.001,) * 5)
    both = dict.fromkeys(range(12), 0.9)
    first: Sided = ("first", None)
    second: Sided = ("second", None)
    signs = {first: Leaky(0.01, both), second: Leaky(0.0005, {n: 0.9 for n in range(12) if n != 6})}
    network = Network(causes, priors, signs)
    found = {key: Finding(sign, seen=True) for key, sign in signs.items()}
    ranking = Ranking(network, found)
    chosen = Joint(ranking).suspects
    assert len(chosen) <= MOST_SUSPECTS
    assert set(range(6)) <= set(chosen)
    assert 6 in chosen


def test_the_order_of_several_findings_says_nothing(advisor: Advisor) -> None:
    """A check settles several signs, also one on both sides: what that does to all causes is the same in any order."""
    base, told = advisor.base, drawn(1876, advisor.base)
    chained, ranking = advisor.rank(told)
    joint, here = Joint(ranking), scene(base, told, chained.signs, chained.forbidden)
    several = 0
    for one in candidates(base, ranking.network, here):
        for result in one.results:
            found = dict(result.findings)
            several += len(found) > 1
            assert joint.after(found) == pytest.approx(joint.after(dict(reversed(found.items()))), abs=1e-9), (
                one.check.id
            )
    assert several > 50
