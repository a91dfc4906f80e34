"""The exact posterior against printed values, brute force, two reference libraries and published networks."""

import math
import random
import warnings

import pytest

from advisor.rank.network import Finding, Leaky
from advisor.rank.posterior import MAX_OPEN, plan_steps, posterior
from tests.rank.networks import brute_force, chance, published, query, random_network

# Three causes, three signs. The values were worked out with exact rationals (arithmetic, no publication).
PRIORS = (0.01, 0.02, 0.05)
SIGNS = (Leaky(0.01, {0: 0.9, 1: 0.3}), Leaky(0.02, {1: 0.8, 2: 0.5}), Leaky(0.05, {0: 0.6, 2: 0.2}))
PRINTED = [
    ("+..", 0.02479654, (0.3635966953, 0.2526457320, 0.05)),
    ("++.", 0.005892213286, (0.0922394896, 0.8600415396, 0.1281522982)),
    ("++-", 0.005170966737216, (0.0365072620, 0.9042063794, 0.0903845530)),
    ("+++", 0.000721246548784, (0.4918108918, 0.5434023567, 0.3989276031)),
    ("---", 0.870226670529216, (0.0004038772, 0.0028490028, 0.0206185567)),
]


@pytest.mark.parametrize(("states", "evidence", "causes"), PRINTED)
def test_printed_values(states: str, evidence: float, causes: tuple[float, ...]) -> None:
    findings = [Finding(sign, state == "+") for sign, state in zip(SIGNS, states, strict=True) if state != "."]
    found = posterior(PRIORS, findings)
    assert found.evidence == pytest.approx(evidence, rel=1e-9)
    assert found.causes == pytest.approx(causes, abs=5e-11)


def test_fever_table() -> None:
    """The textbook noisy-OR table of fever by cold, flu and malaria (inhibitions 0.6, 0.2, 0.1; no leak).

    "Artificial Intelligence: A Modern Approach", chapter on probabilistic reasoning; from memory.
    """
    fever = Leaky(0.0, {0: 0.4, 1: 0.8, 2: 0.9})
    table = {(): 0.0, (2,): 0.9, (1,): 0.8, (1, 2): 0.98, (0,): 0.4, (0, 2): 0.94, (0, 1): 0.88, (0, 1, 2): 0.988}
    for present, wanted in table.items():
        assert 1 - fever.absent_given(set(present)) == pytest.approx(wanted, abs=1e-12)
        certain = [1.0 if cause in present else 0.0 for cause in range(3)]
        assert posterior(certain, [Finding(fever, True)]).evidence == pytest.approx(wanted, abs=1e-12)


@pytest.mark.parametrize("seed", range(250))
def test_agrees_with_brute_force(seed: int) -> None:
    rng = random.Random(seed)
    priors, findings = random_network(rng, rng.randint(1, 9), rng.randint(0, 10))
    evidence, causes = brute_force(priors, findings)
    found = posterior(priors, findings)
    assert found.evidence == pytest.approx(evidence, rel=1e-12)
    assert found.causes == pytest.approx(causes, abs=1e-12)


@pytest.mark.parametrize("seed", range(40))
def test_a_complaint_is_a_finding_that_every_cause_shows(seed: int) -> None:
    """Against brute force with that finding among the others; with one for nothing every time nothing changes."""
    rng = random.Random(900 + seed)
    priors, findings = random_network(rng, rng.randint(1, 9), rng.randint(0, 8))
    for_nothing = rng.uniform(0.001, 0.5)
    complaint = Finding(Leaky(for_nothing, dict.fromkeys(range(len(priors)), 1.0)), True)
    evidence, causes = brute_force(priors, [*findings, complaint])
    found = posterior(priors, findings)
    assert found.complained(for_nothing).evidence == pytest.approx(evidence, rel=1e-12)
    assert found.complained(for_nothing).causes == pytest.approx(causes, abs=1e-12)
    assert found.complained(1.0) == found
    nobody = [1 - prior for prior in priors]
    assert found.nothing * found.evidence <= math.prod(nobody) * (1 + 1e-12)


def test_many_seen_signs_lose_no_digits() -> None:
    """Twenty seen signs of ten causes: inclusion-exclusion is off by 7 % here, this is not off at all."""
    rng = random.Random(5)
    priors = [rng.uniform(0.002, 0.05) for _ in range(10)]
    findings = [
        Finding(Leaky(rng.uniform(0.01, 0.05), {rng.randrange(10): rng.uniform(0.2, 0.9)}), True) for _ in range(20)
    ]
    evidence, causes = brute_force(priors, findings)
    found = posterior(priors, findings)
    assert found.evidence == pytest.approx(evidence, rel=1e-12)
    assert found.causes == pytest.approx(causes, abs=1e-12)


def test_refuses_what_would_not_end() -> None:
    tangle = [Finding(Leaky(0.01, dict.fromkeys(range(40), 0.5)), True) for _ in range(MAX_OPEN + 1)]
    with pytest.raises(OverflowError, match="hang together"):
        plan_steps(tangle)


@pytest.mark.wide
@pytest.mark.parametrize("seed", range(12))
def test_agrees_with_pyagrum(seed: int) -> None:
    """pyAgrum's noisy-OR node by its net convention (a strength is what the cause alone adds), exact inference."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import pyagrum as gum
    rng = random.Random(1_000 + seed)
    priors, findings = random_network(rng, 12, 9)
    net = gum.BayesNet()
    for cause, prior in enumerate(priors):
        net.cpt(net.add(gum.LabelizedVariable(f"c{cause}", "", 2)))[:] = [1 - prior, prior]
    for sign, one in enumerate(findings):
        node = net.addNoisyORNet(gum.LabelizedVariable(f"s{sign}", "", 2), one.leaky.leak)
        for cause, strength in one.leaky.strengths.items():
            net.addWeightedArc(net.idFromName(f"c{cause}"), node, strength)
    inference = gum.LazyPropagation(net)
    inference.setEvidence({f"s{sign}": int(one.seen) for sign, one in enumerate(findings)})
    inference.makeInference()
    found = posterior(priors, findings)
    assert found.evidence == pytest.approx(inference.evidenceProbability(), rel=1e-12)
    for cause in range(12):
        assert found.causes[cause] == pytest.approx(float(inference.posterior(f"c{cause}")[1]), abs=1e-12)


@pytest.mark.wide
@pytest.mark.parametrize("seed", range(4))
def test_agrees_with_pgmpy(seed: int) -> None:
    """pgmpy's variable elimination on the same network written out as tables."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        from pgmpy.factors.discrete import TabularCPD
        from pgmpy.inference import VariableElimination
        from pgmpy.models import DiscreteBayesianNetwork
    rng = random.Random(2_000 + seed)
    priors, findings = random_network(rng, 8, 6)
    edges = [(f"c{cause}", f"s{sign}") for sign, one in enumerate(findings) for cause in one.leaky.strengths]
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        model = DiscreteBayesianNetwork(edges)
        model.add_nodes_from([f"c{cause}" for cause in range(8)] + [f"s{sign}" for sign in range(6)])
        for cause, prior in enumerate(priors):
            model.add_cpds(TabularCPD(f"c{cause}", 2, [[1 - prior], [prior]]))
        for sign, one in enumerate(findings):
            linked = sorted(one.leaky.strengths)
            absent = []
            for index in range(2 ** len(linked)):
                on = {cause for place, cause in enumerate(linked) if index >> (len(linked) - 1 - place) & 1}
                absent.append(one.leaky.absent_given(on))
            table = [absent, [1 - chance for chance in absent]]
            model.add_cpds(TabularCPD(f"s{sign}", 2, table, [f"c{cause}" for cause in linked], [2] * len(linked)))
        seen = {f"s{sign}": int(one.seen) for sign, one in enumerate(findings)}
        exact = VariableElimination(model)
        found = posterior(priors, findings)
        for cause in range(8):
            wanted = exact.query([f"c{cause}"], seen, show_progress=False)
            assert found.causes[cause] == pytest.approx(float(wanted.values[1]), abs=1e-12)


@pytest.mark.wide
def test_chest_clinic_whole_network() -> None:
    """The whole chest-clinic network, given dyspnoea, by eight runs of the ranking.

    "Local computations with probabilities on graphical structures", Journal of the Royal Statistical
    Society B 50, 1988, as shipped inside pgmpy. It is no noisy-OR as it stands, but
    it becomes one given smoking, tuberculosis, and a hidden switch of 1/15 that keeps the breath free:
    P(no dyspnoea) = 0.9 (1/15 + 14/15 (2/7)^either (1/6)^bronchitis) gives its table exactly. So eight runs of
    the ranking, weighted by their priors and evidence, must give the whole network's posterior.
    """
    asia = published("asia")
    assert [
        chance(asia, "dysp", "no", either=e, bronc=b) for e in ("no", "yes") for b in ("no", "yes")
    ] == pytest.approx(
        [0.9 * (1 / 15 + 14 / 15 * (2 / 7) ** e * (1 / 6) ** b) for e in (0, 1) for b in (0, 1)], abs=1e-7
    )
    tub = sum(chance(asia, "asia", a) * chance(asia, "tub", "yes", asia=a) for a in ("yes", "no"))
    total, lung, bronc, with_tub = 0.0, 0.0, 0.0, 0.0
    for smoke in ("yes", "no"):
        priors = [chance(asia, "lung", "yes", smoke=smoke), chance(asia, "bronc", "yes", smoke=smoke)]
        for has_tub in (True, False):
            for free in (True, False):
                absent = 0.9 * (1.0 if free else (2 / 7) ** has_tub)
                strengths = {} if free else {1: 5 / 6} if has_tub else {0: 5 / 7, 1: 5 / 6}
                found = posterior(priors, [Finding(Leaky(1 - absent, strengths), True)])
                weight = chance(asia, "smoke", smoke) * (tub if has_tub else 1 - tub) * (1 / 15 if free else 14 / 15)
                weight *= found.evidence
                total += weight
                lung += weight * found.causes[0]
                bronc += weight * found.causes[1]
                with_tub += weight * has_tub
    printed = {"tub": 0.018845, "lung": 0.102759, "bronc": 0.833967}
    for name, ours in {"tub": with_tub / total, "lung": lung / total, "bronc": bronc / total}.items():
        assert ours == pytest.approx(printed[name], abs=1e-6)
        assert ours == pytest.approx(query(asia, name, {"dysp": "yes"}, "yes"), abs=1e-6)


# Two-layer parts of published networks: a root, and the children that only it explains.
# (network, root, its state that counts as present, {child: its state that counts as seen})
PARTS = [
    ("asia", "smoke", "yes", {"lung": "yes", "bronc": "yes"}),
    ("asia", "asia", "yes", {"tub": "yes"}),
    ("win95pts", "PrtPaper", "No_Paper", {"PrtStatPaper": "No_Error"}),
    ("win95pts", "TnrSpply", "Low", {"PrtStatToner": "No_Error"}),
    ("win95pts", "PrtMem", "Less_than_2Mb", {"PrtStatMem": "No_Error"}),
    (
        "hepar2",
        "gallstones",
        "present",
        {"choledocholithotomy": "present", "fat": "present", "flatulence": "present", "upper_pain": "present"},
    ),
    ("alarm", "LVFAILURE", "TRUE", {"HISTORY": "TRUE"}),
]


@pytest.mark.wide
@pytest.mark.parametrize(("name", "root", "present", "children"), PARTS)
def test_two_layer_parts_of_published_networks(name: str, root: str, present: str, children: dict[str, str]) -> None:
    """Every pattern of seen and not seen among the children, against the whole network.

    asia as above; win95pts: a printer-troubleshooting network of 1995; hepar2: "A Bayesian network model for
    diagnosis of liver disorders", 1999; alarm: "The ALARM monitoring system", 1989. All are files inside pgmpy.
    """
    model = published(name)
    other = next(state for state in model.get_cpds(root).state_names[root] if state != present)
    prior = chance(model, root, present)
    signs = {}
    for child, seen in children.items():
        with_it, without = (chance(model, child, seen, **{root: state}) for state in (present, other))
        # A child that the root makes rarer shows by not being seen.
        turned = with_it < without
        if turned:
            with_it, without = 1 - with_it, 1 - without
        signs[child] = (Leaky(without, {0: 1 - (1 - with_it) / (1 - without)}), turned)
    for pattern in range(2 ** len(children)):
        findings, evidence = [], {}
        for place, (child, seen) in enumerate(children.items()):
            there = bool(pattern >> place & 1)
            leaky, turned = signs[child]
            findings.append(Finding(leaky, there != turned))
            states = model.get_cpds(child).state_names[child]
            evidence[child] = seen if there else next(state for state in states if state != seen)
        ours = posterior([prior], findings).causes[0]
        assert ours == pytest.approx(query(model, root, evidence, present), abs=1e-6)


@pytest.mark.wide
def test_the_reference_library_gives_the_published_printer_values() -> None:
    """win95pts given no output: the yardstick itself. Its tables are no noisy-ORs, so it cannot be ranked whole."""
    model = published("win95pts")
    seen = {"Problem1": "No_Output"}
    assert query(model, "Problem1", {}, "No_Output") == pytest.approx(0.427446, abs=1e-6)
    assert query(model, "FllCrrptdBffr", seen, "Full_or_Corrupt") == pytest.approx(0.277974, abs=1e-6)
    assert query(model, "PrtOn", seen, "No") == pytest.approx(0.184208, abs=1e-6)


@pytest.mark.wide
def test_calibration_of_the_inference() -> None:
    """Cases drawn from the model itself: Brier and log score agree with their own expectation (|z| < 4).

    A doubled odds or a forced single fault fails this at once.
    """
    rng = random.Random(11)
    priors, template = random_network(rng, 8, 8)
    brier_gap, log_gap = [], []
    for _ in range(4_000):
        present = {cause for cause, prior in enumerate(priors) if rng.random() < prior}
        findings = [Finding(one.leaky, rng.random() >= one.leaky.absent_given(present)) for one in template]
        for cause, chance_of in enumerate(posterior(priors, findings).causes):
            there = 1.0 if cause in present else 0.0
            brier_gap.append((there - chance_of) ** 2 - chance_of * (1 - chance_of))
            if 0 < chance_of < 1:
                surprise = -math.log(chance_of if there else 1 - chance_of)
                log_gap.append(surprise + chance_of * math.log(chance_of) + (1 - chance_of) * math.log(1 - chance_of))
    for gaps in (brier_gap, log_gap):
        mean = math.fsum(gaps) / len(gaps)
        spread = math.sqrt(math.fsum((gap - mean) ** 2 for gap in gaps) / (len(gaps) - 1))
        assert abs(mean) / (spread / math.sqrt(len(gaps))) < 4


def test_evidence_too_small_for_a_float_is_kept_as_a_logarithm() -> None:
    """Two hundred faults, each with signs of its own: one at a time by hand, all together in the ranking."""
    priors = [0.01 + 0.0001 * n for n in range(200)]
    found = posterior(priors, [Finding(Leaky(0.0003, {n: 0.9}), True) for n in range(200) for _ in range(2)])
    wanted = 0.0
    for n, prior in enumerate(priors):
        there, not_there = prior * (1 - (1 - 0.0003) * 0.1) ** 2, (1 - prior) * 0.0003**2
        wanted += math.log(there + not_there)
        assert found.causes[n] == pytest.approx(there / (there + not_there), rel=1e-12)
    assert found.log_evidence == pytest.approx(wanted, rel=1e-12)
    assert found.evidence == 0.0
    assert found.complained(0.05).causes == pytest.approx(found.causes, rel=1e-12)


def test_a_chain_of_signs_is_scaled_up_in_time() -> None:
    """Neighbours share a sign, so no cause stands alone; the same with logarithms of a chain worked out by hand."""
    many, prior, leak, strength = 300, 0.001, 0.0001, 0.8
    signs = [Leaky(leak, {n: strength, n + 1: strength}) for n in range(many - 1)]
    found = posterior([prior] * many, [Finding(one, True) for one in signs])
    logs, state = 0.0, [1 - prior, prior]  # by whether the last cause is there
    for _ in signs:
        nxt = [0.0, 0.0]
        for before in (0, 1):
            for after in (0, 1):
                shown = 1 - (1 - leak) * (1 - strength) ** (before + after)
                nxt[after] += state[before] * (prior if after else 1 - prior) * shown
        total = sum(nxt)
        logs, state = logs + math.log(total), [one / total for one in nxt]
    assert found.log_evidence == pytest.approx(logs, rel=1e-12)
    assert found.causes[-1] == pytest.approx(state[1], rel=1e-12)
    assert found.causes[0] == pytest.approx(found.causes[-1], rel=1e-12)
    assert all(0 <= chance <= 1 for chance in found.causes)
