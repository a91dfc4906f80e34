"""A figure a little over its limit, or far over it: exact next to a sign of three levels worked out by brute force."""

import itertools
import random

import pytest

from advisor.rank.network import Finding, Grades, Leaky, Network
from advisor.rank.ranking import Ranking
from advisor.readings.verdicts import FAR, LITTLE
from advisor.rulebase.table_records import Trust
from advisor.sides import Sided

SURE = Trust(1.0, 0.0)
GRADES = Grades(0.4, 0.05)


def _network(rng: random.Random) -> Network:
    causes = tuple((f"c{n}", None) for n in range(5))
    priors = tuple(rng.uniform(0.01, 0.3) for _ in causes)
    signs: dict[Sided, Leaky] = {
        (f"s{n}", None): Leaky(
            rng.uniform(0.005, 0.1), {one: rng.uniform(0.1, 0.95) for one in rng.sample(range(5), 3)}
        )
        for n in range(4)
    }
    return Network(causes, priors, signs, grades=GRADES)


def _level(sign: Leaky, present: set[int], grade: str) -> float:
    """Return the chance of a level as a noisy-MAX gives it: the highest level that the leak or any cause reaches."""
    at_most_little, none = 1 - GRADES.sound * sign.leak, 1 - sign.leak
    for cause in present & set(sign.strengths):
        at_most_little *= 1 - GRADES.cause * sign.strengths[cause]
        none *= 1 - sign.strengths[cause]
    return {FAR: 1 - at_most_little, LITTLE: at_most_little - none, "": 1 - none}[grade]


@pytest.mark.parametrize("seed", range(12))
def test_graded_findings_match_brute_force(seed: int) -> None:
    rng = random.Random(seed)
    network = _network(rng)
    grades = {key: rng.choice([FAR, LITTLE, ""]) for key in network.signs}
    findings = {key: network.report(key, SURE, seen=True, grade=grade) for key, grade in grades.items()}
    total, joint = 0.0, [0.0] * 5
    for bits in itertools.product((False, True), repeat=5):
        present = {cause for cause, there in enumerate(bits) if there}
        weight = 1.0
        for prior, there in zip(network.priors, bits, strict=True):
            weight *= prior if there else 1 - prior
        for key, grade in grades.items():
            weight *= _level(network.signs[key], present, grade)
        total += weight
        for cause in present:
            joint[cause] += weight
    ranking = Ranking(network, findings)
    assert ranking.alone.evidence == pytest.approx(total, rel=1e-12)
    assert ranking.posterior.causes == pytest.approx([one / total for one in joint], rel=1e-10)


def test_the_levels_of_a_report_add_up_to_it() -> None:
    """Far, a little and not seen are all there is, whoever reports it."""
    network, trust, key = _network(random.Random(3)), Trust(0.9, 0.01), ("s1", None)
    for present in (set[int](), {0}, {1, 2}, {0, 1, 2, 3, 4}):
        far, little = (network.report(key, trust, seen=True, grade=grade) for grade in (FAR, LITTLE))
        seen = network.report(key, trust, seen=True)
        assert far.not_far is None
        assert little.not_far is not None
        near = little.not_far.absent_given(present) * (1 - little.leaky.absent_given(present))
        assert 1 - far.leaky.absent_given(present) + near == pytest.approx(1 - seen.leaky.absent_given(present))


def test_a_finding_says_what_is_not_there() -> None:
    leaky, far = Leaky(0.1, {0: 0.5}), Leaky(0.01, {0: 0.2})
    assert Finding(leaky, seen=True).absences == ()
    assert Finding(leaky, seen=False).absences == (leaky,)
    assert Finding(leaky, seen=True, grade=LITTLE, not_far=far).absences == (far,)
