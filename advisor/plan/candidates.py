"""The checks that can be done here and now, with each result as findings on real sides."""

from collections.abc import Iterable, Iterator, Mapping

import msgspec

from advisor.case import Case, first_side
from advisor.chain.compile import side_at
from advisor.chain.readiness import readiness, unready
from advisor.chain.run import trusted
from advisor.rank.network import Finding, Network, Reports, Settled, vaguer_than
from advisor.report import SignState
from advisor.rulebase.model import Check, Condition, Outcome, PartIs, ReadingIs, Rulebase, SignIs
from advisor.sides import BOTH, Side, Sided, fill, other, sides_of

NOTHING: frozenset[str] = frozenset()


class Result(msgspec.Struct, frozen=True):
    """One result of a check: its words and the new findings it brings."""

    says: str
    side: Side
    findings: Mapping[Sided, Finding]

    @property
    def states(self) -> Mapping[Sided, bool]:
        """Whether each of these signs would then be seen."""
        if isinstance(self.findings, Reports):
            return self.findings.states
        return {key: one.seen for key, one in self.findings.items()}


class Candidate(msgspec.Struct, frozen=True):
    """A check on a side (or on the whole bike) with all its results."""

    check: Check
    side: Side
    results: tuple[Result, ...]


class Scene(msgspec.Struct, frozen=True):
    """What decides whether a check can be done: who is there with what, what is known, what is forbidden.

    `known` holds each sign's state, `looked_at` those known better than by hearsay, `hearsay` those only
    reported. `unready` are those that rely on something not checked yet. `first` is the side that comes first where
    both are level.
    """

    case: Case
    known: dict[Sided, bool]
    looked_at: frozenset[Sided]
    forbidden: frozenset[str]
    hearsay: frozenset[Sided] = frozenset()
    unready: frozenset[str] = frozenset()
    first: Side = "left"

    def turn(self, side: Side) -> bool:
        """Return the sort key of a side."""
        return side is not None and side != self.first


def scene(base: Rulebase, case: Case, signs: Iterable[SignState], forbidden: frozenset[str]) -> Scene:
    """Return the scene of a case as the chain left it. A sign that was only reported has not been looked at."""
    everything = list(signs)
    known = {(sign.id, sign.side): sign.state == "seen" for sign in everything}
    known = _implied(known, base) | known
    least = trusted(base.words.unready, base)
    looked_at = frozenset((sign.id, sign.side) for sign in everything if trusted(sign.how, base) >= least)
    told = frozenset((sign.id, sign.side) for sign in everything) - looked_at
    ready = readiness(base, everything, case.bike.parts, lambda how: trusted(how, base))
    return Scene(case, known, looked_at, forbidden, told, frozenset(unready(base, ready)), first_side(case))


def _implied(known: dict[Sided, bool], base: Rulebase) -> dict[Sided, bool]:
    """Return the signs implied by known ones: a kind seen, a vague sign not seen, one that can be on one side only."""
    there = [key for key, seen in known.items() if seen]
    found = {(sign, other(side)): False for sign, side in there if base.signs[sign].exclusive}
    found |= {vaguer: True for key in there for vaguer in vaguer_than(*key, base)}
    for sign in base.signs.values():
        for side in sides_of(sign.sided):
            if any(known.get(vaguer) is False for vaguer in vaguer_than(sign.id, side, base)):
                found[sign.id, side] = False
    return found


def candidates(base: Rulebase, network: Network, here: Scene) -> list[Candidate]:
    """Return every check that this person can do with these tools and that could still tell something."""
    found = []
    for check in base.checks.values():
        for side in sides_of(check.sided):
            if (check.id, side) in here.case.not_again or not feasible(check, side, here, base):
                continue
            results = _results(check, side, here, network, base)
            if len({_states(result) for result in results}) > 1:
                found.append(Candidate(check, side, tuple(results)))
    return found


def feasible(check: Check, side: Side, here: Scene, base: Rulebase, *, later: bool = False) -> bool:
    """Whether nothing known forbids the check: person, tools, safety, preconditions, the state of the engine.

    `later` ignores the engine's temperature: could it be done once that is right?
    """
    means = here.case.means
    unable = base.persons.index(check.who) > base.persons.index(means.person)
    lacks = means.tools is not None and not set(check.tools) <= means.tools
    too_soon = not later and {check.engine, means.engine} == {"cold", "warm"}
    if unable or lacks or too_soon or here.forbidden & set(check.involves):
        return False
    return _has_its_place(check, side, here)


def _has_its_place(check: Check, side: Side, here: Scene) -> bool:
    """Whether nothing known makes a check pointless, and any sign it waits for is known."""
    after = [here.known.get((sign, at)) for sign in check.only_after for at in (*BOTH, None)]
    if after and not any(after):
        return False
    # A check done once for both sides asks about either side.
    sides: tuple[Side, ...] = (side,) if check.sided else BOTH
    if any(all(_holds(one, at, here) is False for at in sides) for one in check.needs):
        return False
    return not any(_holds(one, at, here) for one in check.unless for at in sides)


def _holds(condition: Condition, side: Side, here: Scene) -> bool | None:
    """Return whether a precondition holds, or None when that is not known."""
    match condition:
        case ReadingIs():
            return None
        case PartIs():
            kind = here.case.bike.parts.get(condition.part)
            return None if kind is None else kind == condition.kind
        case SignIs():
            state = here.known.get((condition.sign, side_at(condition.bearing, side)))
            return None if state is None else state == condition.seen


def real_outcomes(outcome: Outcome, side: Side, base: Rulebase) -> list[tuple[Side, dict[Sided, bool]]]:
    """Return an outcome on its real side, or on each side if it exists for both, with the signs that it settles."""
    here: tuple[Side, ...] = BOTH if outcome.either_side else (side or "left",)
    found: list[tuple[Side, dict[Sided, bool]]] = []
    for one in here:
        settled = {(shown.sign, side_at(shown.bearing, one)): shown.seen for shown in outcome.shows}
        # Once a sign that compares the sides is seen on one, it says nothing about its twin.
        hidden = [
            key
            for key, seen in settled.items()
            if not seen and base.signs[key[0]].exclusive and settled.get((key[0], other(key[1])))
        ]
        for key in hidden:
            del settled[key]
        found.append((one, settled))
    return found


def _results(check: Check, side: Side, here: Scene, network: Network, base: Rulebase) -> list[Result]:
    """Return the results of a check that are still possible, each with the findings it would bring.

    A sign that was only reported counts as open: a look may show otherwise.
    """
    # A way of knowing that is no better than `unready` is trusted the same either way.
    better = trusted(check.how, base) > trusted(base.words.unready, base)
    asked = check.id, side, here.unready if better else NOTHING
    if asked not in network.outcomes:
        network.outcomes[asked] = tuple(_settled(check, side, here, base))
    again = here.hearsay if trusted(check.how, base) >= trusted(base.words.unready, base) else frozenset()
    known = here.known
    found = []
    for one in network.outcomes[asked]:
        fresh = {}
        for key, seen in one.states.items():
            if key not in known or key in again:
                fresh[key] = seen
            elif known[key] != seen:
                break
        else:
            found.append(Result(one.says, one.side, Reports(network, fresh, one.trust)))
    return found


def _settled(check: Check, side: Side, here: Scene, base: Rulebase) -> Iterator[Settled]:
    least = min(check.how, base.words.unready, key=lambda how: trusted(how, base))
    ways = {True: base.words.trust[least], False: base.words.trust[check.how]}
    for outcome in check.outcomes:
        for one, signs in real_outcomes(outcome, side, base):
            shown = one if outcome.either_side or check.sided else None
            yield Settled(fill(outcome.says, one), shown, signs, {key: ways[key[0] in here.unready] for key in signs})


def _states(result: Result) -> frozenset[tuple[Sided, bool]]:
    return frozenset(result.states.items())
