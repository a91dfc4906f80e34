"""Vague signs and their kinds, against brute force over every cause and every kind."""

import itertools
import random

import pytest

from advisor.diagnose import Advisor
from advisor.rank import kinds
from advisor.rank.joint import Exact, Joint
from advisor.rank.kinds import Kinds, any_of
from advisor.rank.network import Finding, Leaky, Network, build
from advisor.rank.ranking import Ranking
from advisor.rulebase.table_records import Trust
from advisor.sides import Sided

# One tree two levels deep, one small one, and a sign that is a kind of nothing.
TREE: dict[str, tuple[str, ...]] = {
    "bad": ("idle", "hunts", "hangs", "pops"),
    "idle": ("hunts", "hangs"),
    "weak": ("dead",),
}
OWN = {"bad": ("idle", "pops"), "idle": ("hunts", "hangs"), "weak": ("dead",)}  # the next more exact ones
SIGNS = ("bad", "idle", "hunts", "hangs", "pops", "weak", "dead", "smell")


def key(name: str) -> Sided:
    return name, None


def network(seed: int, causes: int = 4) -> Network:
    rng = random.Random(seed)
    signs = {
        key(name): Leaky(
            rng.uniform(0.01, 0.2), {c: rng.uniform(0.1, 0.9) for c in range(causes) if rng.random() < 0.5}
        )
        for name in SIGNS
    }
    priors = tuple(rng.uniform(0.02, 0.3) for _ in range(causes))
    tree = {key(name): tuple(key(one) for one in below) for name, below in TREE.items()}
    return Network(tuple(key(f"c{n}") for n in range(causes)), priors, signs, tree)


def is_there(name: str, itself: dict[str, bool]) -> bool:
    """Whether a sign is there, by itself or by one of its kinds."""
    return itself[name] or any(is_there(one, itself) for one in OWN.get(name, ()))


def brute(net: Network, told: dict[str, bool]) -> tuple[float, list[float]]:
    """Go through every set of causes and every set of signs that are there by themselves."""
    total, joint = 0.0, [0.0] * len(net.priors)
    for causes in itertools.product((False, True), repeat=len(net.priors)):
        weight = 1.0
        for prior, there in zip(net.priors, causes, strict=True):
            weight *= prior if there else 1 - prior
        present = {n for n, there in enumerate(causes) if there}
        for states in itertools.product((False, True), repeat=len(SIGNS)):
            itself = dict(zip(SIGNS, states, strict=True))
            if any(is_there(name, itself) != seen for name, seen in told.items()):
                continue
            chance = weight
            for name, state in itself.items():
                absent = net.signs[key(name)].absent_given(present)
                chance *= 1 - absent if state else absent
            total += chance
            for cause in present:
                joint[cause] += chance
    return total, [one / total for one in joint]


def told(seed: int) -> dict[str, bool]:
    """Return some signs' states that can be true together."""
    rng = random.Random(1000 + seed)
    while True:
        itself = {name: rng.random() < 0.25 for name in SIGNS}
        found = {name: is_there(name, itself) for name in SIGNS if rng.random() < 0.55}
        if found:
            return found


def reports(net: Network, states: dict[str, bool]) -> dict[Sided, Finding]:
    return {key(name): Finding(net.signs[key(name)], seen) for name, seen in states.items()}


@pytest.mark.parametrize("seed", range(40))
def test_exact_against_brute_force(seed: int) -> None:
    net, states = network(seed), told(seed)
    evidence, wanted = brute(net, states)
    ranking = Ranking(net, reports(net, states))
    assert ranking.posterior.causes == pytest.approx(wanted, abs=1e-12)
    assert ranking.posterior.evidence == pytest.approx(evidence, rel=1e-9)


@pytest.mark.parametrize("seed", range(20))
def test_what_if_is_exact_too(seed: int) -> None:
    """Leaving out a kind lets the vague sign count again; one more kind takes its place."""
    net, states = network(seed), told(seed)
    ranking = Ranking(net, reports(net, states))
    for name in states:
        rest = {one: seen for one, seen in states.items() if one != name}
        assert ranking.without(key(name)).causes == pytest.approx(brute(net, rest)[1], abs=1e-12)
    for name in SIGNS:
        for seen in (True, False):
            both = states | {name: seen}
            if name in states or brute_impossible(both):
                continue
            more = {key(name): Finding(net.signs[key(name)], seen)}
            assert ranking.with_more(more).causes == pytest.approx(brute(net, both)[1], abs=1e-12)


def brute_impossible(states: dict[str, bool]) -> bool:
    """Whether a kind is seen of a sign that is not, or none is left of one that is."""
    return any(not states.get(name, True) and any(states.get(one) for one in below) for name, below in TREE.items())


@pytest.mark.parametrize("seed", range(60))
def test_weighing_again_what_can_have_changed_is_weighing_all(seed: int) -> None:
    net, rng = network(seed), random.Random(seed)
    trusts = [None, Trust(0.9, 0.02), Trust(0.7, 0.1, 0.5)]

    def some(share: float) -> dict[Sided, Finding]:
        named = [name for name in SIGNS if rng.random() < share]
        return {key(name): Finding(net.signs[key(name)], rng.random() < 0.5, rng.choice(trusts)) for name in named}

    known, more = some(0.5), some(0.3)
    ranking, less = Ranking(net, known), {one for one in known if rng.random() < 0.2}
    plain = {one: finding for one, finding in known.items() if one not in less} | more
    found, whole = ranking.amount(more, less), Kinds(net).weigh(plain)
    assert found == whole
    assert list(found) == list(whole), "the order is that of the sums"


def test_what_is_kept_of_vague_signs_is_bounded(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(kinds, "MOST_WEIGHED", 2)
    net = network(3)
    for _ in range(2):
        for absent in ("idle", "hunts", "hangs", "pops"):
            Ranking(net, reports(net, {"bad": True, absent: False}))
            assert 0 < len(net.weighed) <= 2


@pytest.mark.parametrize("seed", range(20))
def test_the_joint_picture_agrees_while_it_holds_all_causes(seed: int) -> None:
    net, states = network(seed), told(seed)
    everything = Leaky(0.05, dict.fromkeys(range(4), 0.4))
    net = Network(net.causes, net.priors, {**net.signs, key("all"): everything}, net.kinds)
    ranking = Ranking(net, {**reports(net, states), key("all"): Finding(everything, seen=True)})
    exact, joint = Exact(ranking), Joint(ranking)
    for finding in ranking.findings:
        found = joint.factors(finding)
        assert [found.get(cause, 1.0) for cause in range(4)] == pytest.approx(
            list(exact.factors(finding).values()), rel=1e-6
        )
    for name in SIGNS:
        for seen in (True, False):
            if name not in states and not brute_impossible(states | {name: seen}):
                more = {key(name): Finding(net.signs[key(name)], seen)}
                assert joint.after(more) == pytest.approx(exact.after(more), abs=1e-9)


def test_a_kind_seen_takes_the_vague_signs_place() -> None:
    net = network(1)
    one = Ranking(net, reports(net, {"hunts": True}))
    two = Ranking(net, reports(net, {"hunts": True, "idle": True, "bad": True}))
    assert two.posterior.causes == pytest.approx(one.posterior.causes, abs=1e-12)
    assert set(two.findings) == {key("hunts")}


def test_any_of_nothing_is_never_there() -> None:
    assert any_of([]) == Leaky(0.0, {})


def test_healthy_bikes_show_a_vague_sign_as_often_as_its_page_says(advisor: Advisor) -> None:
    """However many kinds it has; and the fewer are left, the less often they show."""
    net = build(advisor.base)
    assert len(net.kinds) > 10
    for vague, below in net.kinds.items():
        signs = [net.signs[one] for one in (vague, *below)]
        thin = net.thin[vague]
        assert 0 < thin <= 1
        assert any_of(signs, thin).leak == pytest.approx(net.signs[vague].leak)
        assert any_of(signs[1:], thin).leak < net.signs[vague].leak
