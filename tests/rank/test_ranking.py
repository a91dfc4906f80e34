"""Leaving a sign out, adding one, and how likely it is that no cause shows a sign: all against brute force."""

import random

import pytest
from msgspec.structs import replace

from advisor.rank.network import Finding, Leaky, Network, build, findings
from advisor.rank.ranking import Ranking
from advisor.report import Evidence
from advisor.rulebase import Rulebase
from advisor.rulebase.table_records import Trust
from advisor.sides import BOTH, Sided
from tests.rank.networks import brute_force, random_network


def _ranking(seed: int) -> tuple[Ranking, list[float]]:
    rng = random.Random(seed)
    priors, found = random_network(rng, rng.randint(2, 7), rng.randint(2, 8))
    network = Network(tuple((f"c{n}", None) for n in range(len(priors))), tuple(priors), {})
    return Ranking(network, {(f"s{n}", None): one for n, one in enumerate(found)}), priors


@pytest.mark.parametrize("seed", range(40))
def test_leaving_out_and_adding_are_exact(seed: int) -> None:
    ranking, priors = _ranking(seed)
    for key in ranking.findings:
        rest = [one for other, one in ranking.findings.items() if other != key]
        evidence, causes = brute_force(priors, rest)
        without = ranking.without(key)
        assert without.evidence == pytest.approx(evidence, rel=1e-12)
        assert without.causes == pytest.approx(causes, abs=1e-12)
    more = Finding(Leaky(0.05, {0: 0.7, 1: 0.4}), seed % 2 == 0)
    _, causes = brute_force(priors, [*ranking.findings.values(), more])
    assert ranking.with_more({("new", None): more}).causes == pytest.approx(causes, abs=1e-12)


@pytest.mark.parametrize("seed", range(40))
def test_the_chance_that_no_cause_shows_a_sign(seed: int) -> None:
    """P(leak alone | evidence), with the leak as one more cause of the sign, by brute force."""
    ranking, priors = _ranking(100 + seed)
    for key, one in ranking.findings.items():
        if not one.seen:
            continue
        rest = [other for name, other in ranking.findings.items() if name != key]
        not_triggered = Finding(Leaky(0.0, one.leaky.strengths), seen=False)
        leak_alone = one.leaky.leak * brute_force(priors, [*rest, not_triggered])[0]
        total = brute_force(priors, [*rest, one])[0]
        assert ranking.only_leak(key) == pytest.approx(leak_alone / total, abs=1e-9)


@pytest.mark.parametrize("for_nothing", [1.0, 0.05])
@pytest.mark.parametrize("seed", range(30))
def test_the_chance_that_no_cause_shows_a_sign_is_never_over_one(seed: int, for_nothing: float) -> None:
    """Also with a complaint: against brute force with the complaint among the findings."""
    ranking, priors = _ranking(400 + seed)
    complaint = Finding(Leaky(for_nothing, dict.fromkeys(range(len(priors)), 1.0)), seen=True)
    ranking = Ranking(replace(ranking.network, for_nothing=for_nothing), ranking.findings)
    for key, one in ranking.findings.items():
        if one.seen:
            rest = [other for name, other in ranking.findings.items() if name != key]
            not_triggered = Finding(Leaky(0.0, one.leaky.strengths), seen=False)
            alone = one.leaky.leak * brute_force(priors, [*rest, complaint, not_triggered])[0]
            total = brute_force(priors, [*rest, complaint, one])[0]
            assert ranking.only_leak(key) == pytest.approx(alone / total, abs=1e-9)
            assert 0.0 <= ranking.only_leak(key) <= 1.0


@pytest.mark.parametrize("for_nothing", [1.0, 0.05])
def test_a_sign_that_no_cause_shows_is_there_by_chance_for_certain(for_nothing: float) -> None:
    network = Network((("c", None),), (0.1,), {}, for_nothing=for_nothing)
    seen: dict[Sided, Finding] = {
        ("odd", None): Finding(Leaky(0.07, {}), True),
        ("other", None): Finding(Leaky(0.03, {0: 0.7}), True),
    }
    assert Ranking(network, seen).only_leak(("odd", None)) == 1.0


def test_what_tells_least_is_left_out_and_of_twins_both() -> None:
    """Enough twins hang together to be too many; the faintest pairs go, whole, and no more than must."""
    causes = tuple((f"c{n}", side) for n in range(30) for side in BOTH)
    tangle: dict[Sided, Finding] = {
        (f"s{n}", side): Finding(Leaky(0.01, dict.fromkeys(range(60), 0.2 + 0.02 * n)), True)
        for n in range(10)
        for side in BOTH
    }
    ranking, left_out = Ranking.of_most(Network(causes, (0.01,) * 60, {}), tangle)
    assert left_out == [(f"s{n}", side) for n in range(3) for side in BOTH]
    assert set(ranking.findings) == set(tangle) - set(left_out)


def test_a_report_of_limited_trust_is_a_noisy_or_of_noticed_showings() -> None:
    """Against the two-step model of one cause: the sign shows, then is noticed or imagined."""
    sign, trust = Leaky(0.1, {0: 0.8}), Trust(hit=0.9, false_alarm=0.05)
    reported = sign.reported(trust)
    for present in (set(), {0}):
        shows_leak, shows_cause = 0.1, 0.8 if present else 0.0
        missed = (1 - trust.false_alarm) * (1 - trust.hit * shows_leak) * (1 - trust.hit * shows_cause)
        assert reported.absent_given(present) == pytest.approx(missed, abs=1e-15)
    certain = sign.reported(Trust(hit=1.0, false_alarm=0.0))
    assert certain.leak == pytest.approx(sign.leak)
    assert certain.strengths == sign.strengths


def test_less_trust_moves_less(base: Rulebase) -> None:
    """The better known a sign, the more it moves its cause: measured, seen, told, assumed."""
    network = build(base)
    cause = network.causes.index(("intake-joint-leak", "left"))
    for seen in (True, False):
        moved = []
        for how in ("assumed", "told", "seen", "measured"):
            one = Evidence(sign="joint-wetting-moves-idle", side="left", seen=seen, how=how, facts=(), rules=())
            moved.append(Ranking(network, findings(network, (one,), base)).probability(cause))
        assert moved == sorted(moved, reverse=not seen)
        assert len(set(moved)) == 4


def test_a_link_switched_off_does_not_count(base: Rulebase) -> None:
    whole = build(base)
    cut = build(base, frozenset({("intake-joint-leak", "idle-hangs")}))
    cause = whole.causes.index(("intake-joint-leak", "left"))
    assert cause in whole.signs["idle-hangs", None].strengths
    assert cause not in cut.signs["idle-hangs", None].strengths
    assert cut.signs["idle-hunts", None] == whole.signs["idle-hunts", None]


def test_a_sign_on_either_side_is_half_as_often_on_each(base: Rulebase) -> None:
    network = build(base)
    cause = network.causes.index(("out-of-adjustment", None))
    either = [network.signs["column-higher-idle", side].strengths[cause] for side in BOTH]
    assert either == [base.words.shows["nearly always"] / 2] * 2
