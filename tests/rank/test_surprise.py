"""How odd a picture is, what contradicts what, and which causes look alike, against brute force."""

import math

import pytest

from advisor.rank.network import Finding, Grades, Leaky, Network
from advisor.rank.surprise import alike, chance, conflicts, surprise
from advisor.readings.verdicts import FAR, LITTLE
from advisor.rulebase.table_records import Trust
from advisor.sides import Sided
from tests.rank.networks import brute_force
from tests.rank.test_ranking import _ranking


@pytest.mark.parametrize("seed", range(30))
def test_surprise_is_the_data_conflict(seed: int) -> None:
    """log2 of the findings' own probabilities over their joint one, each by brute force."""
    ranking, priors = _ranking(300 + seed)
    apart = 0.0
    for one in ranking.findings.values():
        alone = brute_force(priors, [one])[0]
        assert chance(one, priors) == pytest.approx(alone, abs=1e-12)
        apart += math.log2(alone)
    joint = brute_force(priors, list(ranking.findings.values()))[0]
    assert surprise(ranking.findings, priors, math.log(joint)) == pytest.approx(apart - math.log2(joint), abs=1e-9)
    for first, second, bits in conflicts(ranking.findings, priors, -50.0):
        pair = [ranking.findings[first], ranking.findings[second]]
        apart = sum(math.log2(chance(one, priors)) for one in pair)
        assert bits == pytest.approx(apart - math.log2(brute_force(priors, pair)[0]), abs=1e-8)


def test_causes_with_the_same_strengths_are_alike_until_a_sign_tells_them_apart() -> None:
    shared = Finding(Leaky(0.02, {0: 0.8, 1: 0.8}), seen=True)
    telling = Finding(Leaky(0.02, {0: 0.8}), seen=False)
    assert alike({("a", None): shared}, 0, 1, within=1.5)
    assert not alike({("a", None): shared, ("b", None): telling}, 0, 1, within=1.5)


PRIORS = (0.1, 0.2)
ONE, TWO = Leaky(0.05, {0: 0.9}), Leaky(0.02, {0: 0.8, 1: 0.5})


@pytest.mark.parametrize("seen", [True, False])
@pytest.mark.parametrize("grade", [LITTLE, FAR, ""])
def test_a_graded_findings_chance_is_that_of_its_grade(seen: bool, grade: str) -> None:
    """A little over is over and not far over: by every set of causes."""
    sign_: Sided = ("s", None)
    network = Network((("a", None), ("b", None)), PRIORS, {sign_: TWO}, grades=Grades(0.4, 0.05))
    finding = network.report(sign_, Trust(1.0, 0.0), seen=seen, grade=grade)
    wanted = 0.0
    for first in (False, True):
        for second in (False, True):
            weight = (0.1 if first else 0.9) * (0.2 if second else 0.8)
            present = {number for number, there in enumerate((first, second)) if there}
            over, far = 1 - TWO.absent_given(present), 1 - TWO.far(network.grades).absent_given(present)
            wanted += weight * ({LITTLE: over - far, FAR: far, "": over}[grade] if seen else 1 - over)
    assert chance(finding, PRIORS) == pytest.approx(wanted)


def test_pairs_in_conflict_come_the_worst_first_and_only_from_so_many_bits() -> None:
    found: dict[Sided, Finding] = {
        ("a", None): Finding(ONE, seen=True),
        ("b", None): Finding(TWO, seen=False),
        ("c", None): Finding(Leaky(0.01, {0: 0.95}), seen=True),
        ("far", None): Finding(Leaky(0.01, {1: 0.9}), seen=True),
    }
    pairs = conflicts(found, PRIORS, -50.0)
    bits = [one[2] for one in pairs]
    assert bits == sorted(bits, reverse=True)
    assert (("a", None), ("far", None)) not in {one[:2] for one in pairs}  # they share no cause
    least = bits[1]
    assert [one[2] for one in conflicts(found, PRIORS, least)] == bits[:2]
    for first, second, much in pairs:
        both = [found[first], found[second]]
        apart = sum(math.log2(chance(one, PRIORS)) for one in both)
        assert much == pytest.approx(apart - math.log2(brute_force(PRIORS, both)[0]))


@pytest.mark.parametrize(("second", "same"), [(0.62, True), (0.58, False)])
def test_how_alike_two_causes_look(second: float, same: bool) -> None:
    """Within one and a half times, either way round; the leak shows the sign as well."""
    shows = Finding(Leaky(0.0, {0: 0.9, 1: second}), seen=True)
    assert alike({("a", None): shows}, 0, 1, within=1.5) is same
    assert alike({("a", None): shows}, 1, 0, within=1.5) is same
    hides = Finding(Leaky(0.0, {0: 0.4, 1: 0.6}), seen=False)
    assert alike({("a", None): hides}, 0, 1, within=1.501)
    assert not alike({("a", None): hides}, 0, 1, within=1.499)
    assert alike({}, 0, 1, within=1.0)


def test_a_figure_a_little_over_tells_from_a_cause_that_shows_it_far() -> None:
    little = Finding(Leaky(0.0, {0: 0.5, 1: 0.5}), seen=True, not_far=Leaky(0.0, {0: 0.6}))
    assert not alike({("a", None): little}, 0, 1, within=1.5)
    assert alike({("a", None): little}, 0, 1, within=2.6)
