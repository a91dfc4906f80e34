"""The checks that can be done here and now, with each result as findings on real sides."""

from collections.abc import Collection, Iterable, Iterator, Mapping

import msgspec

from advisor.case import Case, first_side
from advisor.chain.compile import side_at
from advisor.chain.readiness import readiness, unready
from advisor.chain.run import trusted
from advisor.plan.running import does_not_run, runs
from advisor.rank.network import Finding, Network, Reports, Settled, vaguer_than
from advisor.report import SignState
from advisor.rulebase.model import Check, Condition, Outcome, PartIs, ReadingIs, Rulebase, SignIs
from advisor.sides import BOTH, Side, Sided, fill, other, sides_of

NOTHING: frozenset[str] = frozenset()
ASKED = "told"  # how an answer to a question is known


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
    least = trusted(base.words.unready, base)
    looked_at = frozenset((sign.id, sign.side) for sign in everything if trusted(sign.how, base) >= least)
    known = _implied(known, looked_at, base) | known
    told = frozenset((sign.id, sign.side) for sign in everything) - looked_at
    ready = readiness(base, everything, case.bike.parts, lambda how: trusted(how, base))
    return Scene(case, known, looked_at, forbidden, told, frozenset(unready(base, ready)), first_side(case))


def _implied(known: dict[Sided, bool], looked_at: Collection[Sided], base: Rulebase) -> dict[Sided, bool]:
    """Return the signs implied by known ones.

    A kind is seen, a vague sign is not seen, or a sign is seen that can be on one side only, never with another, or
    only on an engine that runs.
    """
    there = [key for key, seen in known.items() if seen]
    there = list(dict.fromkeys([*there, *(vaguer for key in there for vaguer in vaguer_than(*key, base))]))
    found = {key: False for name, side in there for key in _never_with(name, side, base)}
    found |= {(sign, other(side)): False for sign, side in there if base.signs[sign].exclusive}
    if runs(there, looked_at, base):
        found |= {(name, None): False for name in does_not_run(base)}
    found |= dict.fromkeys(there, True)
    for sign in base.signs.values():
        for side in sides_of(sign.sided):
            if any(known.get(vaguer) is False for vaguer in vaguer_than(sign.id, side, base)):
                found[sign.id, side] = False
    return found


def _never_with(sign: str, side: Side, base: Rulebase) -> Iterator[Sided]:
    """Yield the signs that cannot be there with this one, on its side; either page may say so."""
    for one in base.signs.values():
        if sign in one.never_with or one.id in base.signs[sign].never_with:
            yield from ((one.id, at) for at in sides_of(one.sided) if None in (at, side) or at == side)


def candidates(base: Rulebase, network: Network, here: Scene) -> list[Candidate]:
    """Return every check that this person can do with these tools and that could still tell something."""
    found = []
    for check in base.checks.values():
        for side in sides_of(check.sided):
            if (check.id, side) in here.case.not_again or not feasible(check, side, here, base):
                continue
            if _is_answered(check, here, base):
                continue
            results = _results(check, side, here, network, base)
            if any(result.states != results[0].states for result in results):
                found.append(Candidate(check, side, tuple(results)))
    return found


def _is_answered(check: Check, here: Scene, base: Rulebase) -> bool:
    """Whether a question has its answer already, perhaps in other words.

    Half of what it asks has been looked at; or one of its answers says nothing is there but what is known to be there.
    A vague sign is no such answer to a question about its kinds.
    """
    if check.how != ASKED:
        return False
    outcomes = [settled for one in check.outcomes for _, settled in real_outcomes(one, None, base)]
    asked = {key for settled in outcomes for key in settled}
    if 2 * sum(_is_looked_at(key, here, base) for key in asked) >= len(asked):
        return True
    vague = {vaguer for key in asked for vaguer in vaguer_than(*key, base)}
    return any(_is_known(settled, vague, here) for settled in outcomes)


def _is_looked_at(key: Sided, here: Scene, base: Rulebase) -> bool:
    """Whether somebody has looked for a sign, or for a vaguer one in vain."""
    vaguer = (one for one in vaguer_than(*key, base) if here.known.get(one) is False)
    return key in here.looked_at or not here.looked_at.isdisjoint(vaguer)


def _is_known(settled: Mapping[Sided, bool], vague: Collection[Sided], here: Scene) -> bool:
    """Whether all that an answer says is there is known to be there, and nothing known contradicts it."""
    there = [key for key, seen in settled.items() if seen]
    agrees = all(here.known.get(key, seen) is seen for key, seen in settled.items())
    return bool(there) and agrees and all(here.known.get(key) and key not in vague for key in there)


def feasible(check: Check, side: Side, here: Scene, base: Rulebase) -> bool:
    """Whether nothing known forbids the check: person, tools, safety, preconditions."""
    means = here.case.means
    unable = base.persons.index(check.who) > base.persons.index(means.person)
    lacks = means.tools is not None and not set(check.tools) <= means.tools
    if unable or lacks or here.forbidden & set(check.involves):
        return False
    return _has_its_place(check, side, here)


def _has_its_place(check: Check, side: Side, here: Scene) -> bool:
    """Whether nothing known makes a check pointless, and any sign it waits for is known."""
    if not (check.only_after or check.needs or check.unless):
        return True
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
    trust, unready = trusted(check.how, base), trusted(base.words.unready, base)
    asked = check.id, side, here.unready if trust > unready else NOTHING
    if asked not in network.outcomes:
        network.outcomes[asked] = tuple(_settled(check, side, here, base))
    again = here.hearsay if trust >= unready else frozenset()
    known = here.known
    found = []
    for one in network.outcomes[asked]:
        if known.keys().isdisjoint(one.states):
            found.append(Result(one.says, one.side, Reports(network, one.states, one.trust)))
            continue
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
    """Yield each outcome of a check on its real side. What relies on something not checked yet is trusted less."""
    ways = {seen: check.known_by(seen) for seen in (True, False)}
    ready = {seen: base.words.trust[how] for seen, how in ways.items()}
    less = {seen: min(how, base.words.unready, key=lambda one: trusted(one, base)) for seen, how in ways.items()}
    unready = {seen: base.words.trust[how] for seen, how in less.items()}
    for outcome in check.outcomes:
        for one, signs in real_outcomes(outcome, side, base):
            shown = one if outcome.either_side or check.sided else None
            trust = {key: (unready if key[0] in here.unready else ready)[seen] for key, seen in signs.items()}
            yield Settled(fill(outcome.says, one), shown, signs, trust)
