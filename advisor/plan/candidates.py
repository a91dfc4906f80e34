"""The checks that can be done here and now, with each result as findings on real sides."""

from collections.abc import Iterable

import msgspec

from advisor.chain.compile import atom_of, side_at
from advisor.rank.network import Finding, Network, SideOf
from advisor.records import Case, SignState
from advisor.rulebase.model import Check, Condition, Outcome, ReadingIs, Rulebase
from advisor.sides import BOTH, Side, fill, other, sides_of


class Result(msgspec.Struct, frozen=True):
    """One result of a check: its words and the findings it brings that are not known yet."""

    says: str
    side: Side
    findings: dict[SideOf, Finding]


class Candidate(msgspec.Struct, frozen=True):
    """A check on a side (or on the whole bike) with all its results."""

    check: Check
    side: Side
    results: tuple[Result, ...]


def candidates(base: Rulebase, network: Network, case: Case, signs: Iterable[SignState]) -> list[Candidate]:
    """Return every check that this person can do with these tools, and that could still tell something."""
    known = {(sign.id, sign.side): sign.state == "seen" for sign in signs}
    found = []
    for check in base.checks.values():
        for side in sides_of(check.sided):
            if not feasible(check, side, case, known, base):
                continue
            results = [
                result for outcome in check.outcomes for result in _results(outcome, check, side, known, network, base)
            ]
            if len({_states(result) for result in results}) > 1:
                found.append(Candidate(check, side, tuple(results)))
    return found


def feasible(check: Check, side: Side, case: Case, known: dict[SideOf, bool], base: Rulebase) -> bool:
    """Whether nothing known forbids the check: person, tools, state of the engine, preconditions."""
    means = case.means
    if base.persons.index(check.who) > base.persons.index(means.person):
        return False
    if means.tools is not None and not set(check.tools) <= means.tools:
        return False
    if {check.engine, means.engine} == {"cold", "warm"}:
        return False
    if any(_holds(one, side, case, known) is False for one in check.needs):
        return False
    return not any(_holds(one, side, case, known) for one in check.unless)


def _holds(condition: Condition, side: Side, case: Case, known: dict[SideOf, bool]) -> bool | None:
    """Return whether a precondition holds, or None when that is not known."""
    if isinstance(condition, ReadingIs):
        return None
    kind, name = atom_of(condition, side)
    if kind == "part":
        part, _, wanted = name.partition("=")
        return None if part not in case.parts else case.parts[part] == wanted
    assert not isinstance(condition, ReadingIs)  # noqa: S101 - returned above
    state = known.get((condition.sign, side_at(condition.bearing, side)))  # type: ignore[union-attr]  # parts returned above
    return None if state is None else state == condition.seen  # type: ignore[union-attr]  # as above


def _results(
    outcome: Outcome, check: Check, side: Side, known: dict[SideOf, bool], network: Network, base: Rulebase
) -> list[Result]:
    """Return an outcome on its real side, or on both when it exists for each."""
    here: tuple[Side, ...] = BOTH if outcome.either_side else (side or "left",)
    trust = base.words.trust[check.how]
    results = []
    for one in here:
        settled = {(shown.sign, side_at(shown.bearing, one)): shown.seen for shown in outcome.shows}
        # A sign that compares the sides says nothing of its twin once it is seen on one.
        hidden = {
            key
            for key, seen in settled.items()
            if not seen and base.signs[key[0]].exclusive and settled.get((key[0], other(key[1])))
        }
        fresh = {
            key: Finding(network.signs[key].reported(trust), seen)
            for key, seen in settled.items()
            if key not in known and key not in hidden
        }
        shown_side = one if outcome.either_side or check.sided else None
        results.append(Result(fill(outcome.says, one), shown_side, fresh))
    return results


def _states(result: Result) -> frozenset[tuple[SideOf, bool]]:
    return frozenset((key, finding.seen) for key, finding in result.findings.items())
