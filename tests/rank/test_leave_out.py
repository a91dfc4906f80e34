"""Causes with one sign left out: as exact as a ranking without that sign, and near where that costs too much."""

import random

import pytest
from msgspec.structs import replace

from advisor.diagnose import Advisor
from advisor.rank.joint import Joint
from advisor.rank.leave_out import LeaveOut
from advisor.rank.network import Finding, Leaky
from advisor.rank.ranking import Ranking, odds
from advisor.sides import Sided
from tests.cases import case
from tests.drawn import drawn, signs
from tests.rank.networks import brute_force
from tests.rank.test_ranking import _ranking


@pytest.mark.parametrize("for_nothing", [1.0, 0.05])
@pytest.mark.parametrize("seed", range(60))
def test_it_is_exact(seed: int, for_nothing: float) -> None:
    """Against brute force, with a complaint or without; no run of its own where one is not needed."""
    ranking, priors = _ranking(2_000 + seed)
    complaint = Finding(Leaky(for_nothing, dict.fromkeys(range(len(priors)), 1.0)), seen=True)
    ranking = Ranking(replace(ranking.network, for_nothing=for_nothing), ranking.findings)
    causes = range(len(priors))
    leave = LeaveOut(ranking, causes)
    for key in ranking.findings:
        rest = [one for other, one in ranking.findings.items() if other != key]
        found = leave.without(key)
        assert found.chances == pytest.approx(brute_force(priors, [*rest, complaint])[1], abs=1e-11)
        assert not found.near
        assert all(0 <= chance <= 1 for chance in found.chances)


def test_seen_signs_and_those_of_one_cause_need_no_run_of_their_own(monkeypatch: pytest.MonkeyPatch) -> None:
    ranking, priors = _ranking(5)
    leave = LeaveOut(ranking, range(len(priors)))
    monkeypatch.setattr(Ranking, "without", lambda *_: pytest.fail("a run of its own"))
    alone = [key for key, one in ranking.findings.items() if one.seen or len(one.leaky.strengths) < 2]
    assert alone
    for key in alone:
        assert not leave.without(key).near


def test_a_cause_put_right_stays_impossible() -> None:
    ranking, _ = _ranking(9)
    network = replace(ranking.network, priors=(0.0, *ranking.network.priors[1:]))
    gone = Ranking(network, ranking.findings)
    leave = LeaveOut(gone, [0, 1])
    for key in gone.findings:
        assert leave.without(key).chances[0] == 0.0
        assert 0 <= leave.without(key).chances[1] <= 1


def test_once_runs_have_cost_too_much_the_joint_picture_answers_and_says_so(advisor: Advisor) -> None:
    told = drawn(11, advisor.base)
    ranking = advisor.rank(told)[1]
    assert ranking.findings
    top = max(range(len(ranking.network.causes)), key=ranking.probability)
    free, bound = LeaveOut(ranking, [top]), LeaveOut(ranking, [top], most=0.0)
    near: list[Sided] = []
    for key in ranking.findings:
        one, other = free.without(key), bound.without(key)
        assert not one.near
        if other.near:
            near.append(key)
            wanted = Joint(ranking).factors(key).get(top, 1.0)
            assert odds(ranking.probability(top)) / odds(other.chances[0]) == pytest.approx(wanted, rel=1e-6)
        else:
            assert one.chances == pytest.approx(other.chances, abs=1e-9)
    assert near


@pytest.mark.parametrize("seed", range(4))
def test_on_the_shipped_rules_it_is_the_ranking_without_the_sign(advisor: Advisor, seed: int) -> None:
    """Vague signs, kinds and grades among them."""
    ranking = advisor.rank(case(*signs(random.Random(seed), advisor.base, 10, 0.6)))[1]
    leave = LeaveOut(ranking, [0, 90])
    for key in ranking.reports:
        wanted = ranking.without(key).causes
        assert leave.without(key).chances == pytest.approx((wanted[0], wanted[90]), abs=1e-11)
