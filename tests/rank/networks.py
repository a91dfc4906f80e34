"""Networks for tests: random ones, brute force over all sets of causes, and published ones from a reference package."""

import functools
import gzip
import itertools
import pathlib
import random
import warnings
from collections.abc import Sequence
from typing import Any

from advisor.rank.network import Finding, Leaky


def brute_force(priors: Sequence[float], findings: Sequence[Finding]) -> tuple[float, list[float]]:
    """Return P(findings) and each cause's posterior, by going through every set of causes."""
    total, joint = 0.0, [0.0] * len(priors)
    for bits in itertools.product((False, True), repeat=len(priors)):
        present = {cause for cause, there in enumerate(bits) if there}
        weight = 1.0
        for prior, there in zip(priors, bits, strict=True):
            weight *= prior if there else 1 - prior
        for one in findings:
            absent = one.leaky.absent_given(present)
            weight *= 1 - absent if one.seen else absent
        total += weight
        for cause in present:
            joint[cause] += weight
    return total, [one / total for one in joint]


def random_network(rng: random.Random, causes: int, signs: int) -> tuple[list[float], list[Finding]]:
    """Return random priors and findings; some signs have no cause, some causes no sign."""
    priors = [rng.uniform(0.001, 0.3) for _ in range(causes)]
    findings = []
    for _ in range(signs):
        linked = rng.sample(range(causes), rng.randint(0, min(causes, 5)))
        leaky = Leaky(rng.uniform(0.001, 0.2), {cause: rng.uniform(0.05, 1.0) for cause in linked})
        findings.append(Finding(leaky, rng.random() < 0.6))
    return priors, findings


@functools.cache
def published(name: str) -> Any:
    """Return a published network from the files inside the installed pgmpy package."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # the reference library warns about itself
        import pgmpy
        from pgmpy.readwrite import BIFReader

        path = pathlib.Path(pgmpy.__file__).parent / "utils" / "example_models" / f"{name}.bif.gz"
        return BIFReader(string=gzip.open(path, "rt").read()).get_model()


def query(model: Any, wanted: str, evidence: dict[str, str], state: str) -> float:
    """Return one posterior of a published network by pgmpy's exact inference."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        from pgmpy.inference import VariableElimination

        found = VariableElimination(model).query([wanted], evidence, show_progress=False)
    return float(found.get_value(**{wanted: state}))


def chance(model: Any, node: str, state: str, **parents: str) -> float:
    """Return one entry of a published network's table."""
    table = model.get_cpds(node)
    return float(table.get_value(**{node: state}, **parents))
