"""How odd the whole picture is under the rules, which signs rarely go together, which causes look alike.

The measure is the data-conflict measure for belief networks (proceedings of the sixth conference on
Uncertainty in Artificial Intelligence, 1990, paper on the analysis of data conflict; from memory):
log2 of the product of the findings' separate probabilities over their joint probability. Findings of one
fault support each other and make it negative; positive bits mean that under these rules they rarely
occur together.
"""

import math
from collections.abc import Mapping, Sequence
from itertools import combinations

from advisor.rank.network import Finding, Leaky
from advisor.rank.ranking import SMALLEST, level
from advisor.sides import Sided


def chance(finding: Finding, priors: Sequence[float]) -> float:
    """Return the probability of one finding before anything else is known."""
    absent = _absent(finding.leaky, priors)
    if finding.not_far is None:
        return 1 - absent if finding.seen else absent
    neither = _both_absent(finding.leaky, finding.not_far, priors)
    return _absent(finding.not_far, priors) - neither if finding.seen else neither


def _absent(leaky: Leaky, priors: Sequence[float]) -> float:
    absent = 1 - leaky.leak
    for cause, strength in leaky.strengths.items():
        absent *= 1 - priors[cause] * strength
    return absent


def surprise(findings: Mapping[Sided, Finding], priors: Sequence[float], log_evidence: float) -> float:
    """Return the conflict of all findings in bits; `log_evidence` is the natural log of their joint probability."""
    apart = sum(math.log2(max(chance(one, priors), SMALLEST)) for one in findings.values())
    return apart - (log_evidence / math.log(2) if log_evidence > -math.inf else math.log2(SMALLEST))


def conflicts(
    findings: Mapping[Sided, Finding], priors: Sequence[float], least: float
) -> list[tuple[Sided, Sided, float]]:
    """Return the pairs of findings in conflict by at least this many bits, worst first."""
    absent = {key: _absent(one.leaky, priors) for key, one in findings.items()}
    found = []
    for (first, one), (second, two) in combinations(findings.items(), 2):
        if one.leaky.strengths.keys().isdisjoint(two.leaky.strengths):
            continue
        neither = _both_absent(one.leaky, two.leaky, priors)
        apart, together = _apart_and_together(one.seen, two.seen, absent[first], absent[second], neither)
        bits = math.log2(apart / max(together, SMALLEST))
        if bits >= least:
            found.append((first, second, bits))
    return sorted(found, key=lambda pair: -level(pair[2]))


def _apart_and_together(one: bool, two: bool, absent: float, other: float, neither: float) -> tuple[float, float]:
    """Return the product of two findings' probabilities, and their joint probability, from those of the absences."""
    if one and two:
        return (1 - absent) * (1 - other), 1 - absent - other + neither
    if one:
        return (1 - absent) * other, other - neither
    if two:
        return absent * (1 - other), absent - neither
    return absent * other, neither


def _both_absent(one: Leaky, two: Leaky, priors: Sequence[float]) -> float:
    absent = (1 - one.leak) * (1 - two.leak)
    for cause, strength in one.strengths.items():
        stays = (1 - strength) * (1 - two.strengths.get(cause, 0.0))
        absent *= 1 - priors[cause] * (1 - stays)
    for cause, strength in two.strengths.items():
        if cause not in one.strengths:
            absent *= 1 - priors[cause] * strength
    return absent


def alike(findings: Mapping[Sided, Finding], first: int, second: int, within: float) -> bool:
    """Whether every finding is at most `within` times likelier under one of two causes than under the other."""
    for one in findings.values():
        ratio = _alone(one, first) / max(_alone(one, second), SMALLEST)
        if not 1 / within <= ratio <= within:
            return False
    return True


def _alone(finding: Finding, cause: int) -> float:
    absent = finding.leaky.absent_given({cause})
    not_far = finding.not_far.absent_given({cause}) if finding.not_far else 1.0
    return not_far * (1 - absent if finding.seen else absent)
