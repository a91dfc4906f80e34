"""Runs one case through the chain: reports and reduced readings in, evidence with its reasons out."""

import re

import msgspec

from advisor.case import Case, SignReport
from advisor.chain.compile import ACCEPT, Compiled, Origin, compile_rules
from advisor.chain.readiness import readiness, unready
from advisor.chain.rule_engine import ChainResult, Engine
from advisor.chain.terms import GivenFact
from advisor.errors import ChainError, Problem
from advisor.readings.verdicts import FAR, LITTLE, Judged
from advisor.report import Evidence, Fact, Firing, ReadyItem, SetAside, SignState
from advisor.rulebase.model import Rulebase, Sign, SignIs
from advisor.rulebase.page_record import Record
from advisor.sides import Side, Sided, fill, named, sides_of

MEASURED = "measured"  # how a figure is known
TOLD = "seen"  # how a kind of part is known: it was looked at


class Chained(msgspec.Struct, frozen=True, kw_only=True):
    """The result of the chain for a case."""

    evidence: tuple[Evidence, ...]
    signs: tuple[SignState, ...]
    set_aside: tuple[SetAside, ...]
    readiness: tuple[ReadyItem, ...]
    off: frozenset[tuple[str, str]]
    warnings: tuple[tuple[str, str], ...]
    forbidden: frozenset[str]
    remarks: tuple[str, ...]
    facts: dict[int, Fact]
    firings: tuple[Firing, ...]


class Chain:
    """A rule base with its compiled engine; it can run many cases, one after another."""

    def __init__(self, base: Rulebase, compiled: Compiled | None = None) -> None:
        """Compile the rules, or take those `compiled` earlier. Raises ChainError when they cannot be run safely."""
        self.base = base
        if compiled is None:
            self.engine, self.origin = _compiled(base)
        else:
            self.engine = Engine(compiled.rules, layer=compiled.layer)
            self.origin = {name: (base.rules[page], side) for name, (page, side) in compiled.origin.items()}
        self.places = [
            (named(sign.id, side), sign, side) for sign in base.signs.values() for side in sides_of(sign.sided)
        ]
        # Signs that can never be set aside or hidden have no accepting rule; they count whenever they are known.
        self.asked = {name for rule in self.engine.rules if rule.id.startswith(ACCEPT) for _, name in rule.when}

    @property
    def compiled(self) -> Compiled:
        """The rules as compiled and checked, for the cache."""
        origin = {name: (rule.id, side) for name, (rule, side) in self.origin.items()}
        return Compiled(self.engine.rules, self.engine.layer, origin)

    def run(self, case: Case, judged: list[Judged]) -> Chained:
        """Return the evidence of a case. A report that a better-trusted reading contradicts is set aside."""
        reports = sorted(case.seen, key=lambda report: -trusted(report.how, self.base))
        overruled: list[SetAside] = []
        while True:
            result = self.engine.run(self._given(case, reports, judged))
            book = _Book(self.base, self.origin, result)
            book.grades = {named(one.name, one.side): one.grade for one in judged if one.held}
            book.given = {one.reading for one in case.measured} | {report.sign for report in case.seen}
            beaten = [report for report in reports if book.beats(report)]
            if not beaten:
                return self._chained(case, book, overruled)
            reports = [report for report in reports if report not in beaten]
            overruled += [self._overruled(report) for report in beaten]

    def _given(self, case: Case, reports: list[SignReport], judged: list[Judged]) -> list[GivenFact]:
        given = [GivenFact("part", f"{part}={kind}", f"{part}: {kind}", TOLD) for part, kind in case.bike.parts.items()]
        for one in judged:
            if one.held is not None:
                kind = "held" if one.held else "not held"
                given.append(GivenFact(kind, named(one.name, one.side), one.said, MEASURED))
        for report in reports:
            state = "seen" if report.seen else "not seen"
            said = f"{named(report.sign, report.side)}: {state} ({report.how})"
            given.append(GivenFact(state, named(report.sign, report.side), said, report.how))
        return given

    def _overruled(self, report: SignReport) -> SetAside:
        title = fill(self.base.signs[report.sign].title, report.side)
        said = "seen" if report.seen else "not seen"
        return SetAside(
            what=report.sign,
            side=report.side,
            reason=f"'{title}' was given as {said} ({report.how}), but what is better known says otherwise",
            rule="",
        )

    def _as_far_as_ready(self, evidence: Evidence, shaky: set[str]) -> Evidence:
        """Return the evidence, with less trust if it relies on something that has not been checked."""
        least = self.base.words.unready
        if evidence.sign in shaky and trusted(least, self.base) < trusted(evidence.how, self.base):
            return msgspec.structs.replace(evidence, how=least)
        return evidence

    def _exact(self, evidence: list[Evidence]) -> list[Evidence]:
        """Leave out a vague sign if figures show a specific kind of it: one reading counts once."""
        read = {(one.sign, one.side) for one in evidence if one.rules and one.seen}
        vague: set[Sided] = set()
        for sign, side in read:
            while sign := self.base.signs[sign].kind_of:
                vague.add((sign, side if self.base.signs[sign].sided else None))
        return [one for one in evidence if (one.sign, one.side) not in vague & read]

    def _chained(self, case: Case, book: "_Book", overruled: list[SetAside]) -> Chained:
        evidence: list[Evidence] = []
        states: list[SignState] = []
        set_aside = [*overruled, *book.set_aside()]
        told = book.names("seen", "not seen")
        for name, sign, side in self.places:
            if name in told:
                found = [state for state in (book.state(sign, side, seen) for seen in (True, False)) if state]
                states += found
                counting = [
                    state for state in found if name not in self.asked or book.fact("counts", f"{state.state} {name}")
                ]
                best = book.most_trusted(counting)
                set_aside += [_contradicted(state) for state in counting if state is not best]
                if best:
                    evidence.append(
                        Evidence(
                            sign=sign.id,
                            side=side,
                            seen=best.state == "seen",
                            how=best.how,
                            facts=best.facts,
                            rules=best.rules,
                            grade=book.grade(best.state, name),
                        )
                    )
        ready = readiness(self.base, states, case.bike.parts, book.trust)
        shaky = unready(self.base, ready)
        return Chained(
            evidence=tuple(self._as_far_as_ready(one, shaky) for one in self._exact(evidence)),
            signs=tuple(states),
            set_aside=tuple(set_aside),
            readiness=ready,
            off=frozenset(_pair(fact.name) for fact in book.kind("off")),
            warnings=tuple((fact.name, book.reason(fact.id)) for fact in book.kind("warn")),
            forbidden=frozenset(fact.name for fact in book.kind("forbid")),
            remarks=tuple(
                dict.fromkeys(map(self._remark, sorted((one.name for one in book.kind("remark")), key=book.turn)))
            ),
            facts=book.result.facts,
            firings=tuple(one for one in book.result.firings if not one.rule.startswith(ACCEPT)),
        )

    def _remark(self, rule: str) -> str:
        page, side = self.origin[rule]
        return fill(page.remark, side)


def _compiled(base: Rulebase) -> tuple[Engine, Origin]:
    """Return the engine with a rule base's rules. Raises ChainError, naming the page, when they are not safe."""
    rules, origin = compile_rules(base)
    try:
        return Engine(rules), origin
    except ChainError as error:
        text = error.problems[0].text
        first = _blamed(text, base, origin)
        raise ChainError([Problem(first.file, first.line, text)]) from error


def _blamed(text: str, base: Rulebase, origin: Origin) -> Record:
    """Return the page at fault: of the uppermost folder, since those below are sound without it; if one is named, it.

    Names stand in the message as they do in the engine, with a side.
    """
    named_there: list[Record] = [
        page for name, (page, _) in origin.items() if re.search(rf"\b{re.escape(name)}\b", text)
    ]
    said = set(re.findall(r"[\w-]+", text))
    signs = [sign for sign in base.signs.values() if sign.id in said]
    pages: list[Record] = [*named_there, *signs, *base.rules.values(), *base.areas, *base.signs.values()]
    return max(pages, key=lambda page: base.level_of(page.file))


def _pair(name: str) -> tuple[str, str]:
    cause, _, sign = name.partition("|")
    return cause, sign


def trusted(how: str, base: Rulebase) -> float:
    """Return the rank of a way of knowing, higher for better: the strength table lists the best first."""
    return -float(list(base.words.trust).index(how))


def _contradicted(state: SignState) -> SetAside:
    reason = (
        f"'{state.title}' is {state.state} by one account and the opposite by another that is trusted as much or more"
    )
    return SetAside(what=state.id, side=state.side, reason=reason, rule="")


class _Traced(msgspec.Struct, frozen=True):
    """How a fact is known, the input that it rests on in the user's words, and the rules behind it in firing order."""

    how: str
    leaves: tuple[str, ...]
    rules: tuple[str, ...]


class _Book:
    """Looks up facts by kind and name, and traces firings back to the input."""

    def __init__(self, base: Rulebase, origin: Origin, result: ChainResult) -> None:
        self.base = base
        self.origin = origin
        self.result = result
        self.ids: dict[tuple[str, str], int] = {}
        for fact in result.facts.values():
            self.ids.setdefault((fact.kind, fact.name), fact.id)
        self.givers: dict[int, list[Firing]] = {}
        for firing in result.firings:
            for given in firing.gave:
                self.givers.setdefault(given, []).append(firing)
        self._traced: list[_Traced] = []  # for each fact in turn
        self.given: set[str] = set()
        self.grades: dict[str, str] = {}  # for each figure over its limit

    def fact(self, kind: str, name: str) -> Fact | None:
        """Return the first fact of this kind and name."""
        found = self.ids.get((kind, name))
        return self.result.facts[found] if found else None

    def names(self, *kinds: str) -> set[str]:
        """Return the names of all facts of these kinds."""
        return {name for kind, name in self.ids if kind in kinds}

    def kind(self, kind: str) -> list[Fact]:
        """Return all facts of a kind."""
        return [fact for fact in self.result.facts.values() if fact.kind == kind]

    def traced(self, fact: int) -> "_Traced":
        """Return what a fact rests on. Facts are numbered from 1, each after those that it follows from."""
        while len(self._traced) < fact:
            self._traced.append(self._trace(len(self._traced) + 1))
        return self._traced[fact - 1]

    def _trace(self, fact: int) -> "_Traced":
        known = self.result.facts[fact]
        ways, leaves, rules = [known.how] if known.how else [], [known.said] if known.said else [], list[str]()
        for firing in self._earlier(fact):
            behind = [self._traced[one - 1] for one in firing.matched]
            ways.append(min((one.how for one in behind), key=self.trust))
            leaves += [leaf for one in behind for leaf in one.leaves]
            rules += [*(rule for one in behind for rule in one.rules), firing.rule]
        return _Traced(max(ways, key=self.trust), tuple(dict.fromkeys(leaves)), tuple(dict.fromkeys(rules)))

    def how(self, fact: int) -> str:
        """Return how a fact is known: by the weakest link of its best justification."""
        return self.traced(fact).how

    def trust(self, how: str) -> float:
        """Return how far a way of knowing is trusted."""
        return trusted(how, self.base)

    def _earlier(self, fact: int) -> list[Firing]:
        """Return the firings that gave a fact from older ones; later, circular ones explain nothing."""
        return [firing for firing in self.givers.get(fact, []) if all(one < fact for one in firing.matched)]

    def grade(self, state: str, name: str) -> str:
        """Return how far over its limit the figure behind a sign is; '' if no figure says."""
        sign = self.fact(state, name)
        firings = self.givers.get(sign.id, []) if sign and state == "seen" else []
        held = [self.result.facts[one] for firing in firings for one in firing.matched]
        grades = {self.grades.get(one.name, "") for one in held if one.kind == "held"}
        return FAR if FAR in grades else LITTLE if grades == {LITTLE} else ""

    def reason(self, fact: int) -> str:
        """Return the reason on the page of the rule that gave a fact; if several did, the first in turn."""
        rule, side = self.origin[min((firing.rule for firing in self.givers[fact]), key=self.turn)]
        return fill(rule.reason, side)

    def turn(self, name: str) -> tuple[int, int, str, int]:
        """Return the sort key of a page rule: signs anyone can see, fewer conditions, then page order."""
        rule, _ = self.origin[name]
        signs = [one.sign for one in rule.when if isinstance(one, SignIs)]
        who = max((self.base.persons.index(self.base.signs[sign].seen_by) for sign in signs), default=0)
        return who, len(rule.when), rule.file, rule.line

    def state(self, sign: Sign, side: Side, seen: bool) -> SignState | None:
        """Return a sign's state as the chain left it, with its reasons, or None if the sign is not in that state."""
        state = "seen" if seen else "not seen"
        fact = self.fact(state, named(sign.id, side))
        if fact is None:
            return None
        title = fill(sign.title, side)
        one = self.traced(fact.id)
        return SignState(
            id=sign.id, side=side, state=state, title=title, how=one.how, rules=one.rules, facts=one.leaves
        )

    def most_trusted(self, states: list[SignState]) -> SignState | None:
        """Return the best-known state; None if two contradictory states are known equally well."""
        ranked = sorted(states, key=lambda state: -self.trust(state.how))
        if len(ranked) > 1 and self.trust(ranked[0].how) == self.trust(ranked[1].how):
            return None
        return ranked[0] if ranked else None

    def set_aside(self) -> list[SetAside]:
        """Return the input that rules set aside, with their reasons."""
        found = []
        for fact in self.kind("aside"):
            if fact.name in self.given:
                firing = self.givers[fact.id][0]
                found.append(SetAside(what=fact.name, side=None, reason=self._why_aside(firing), rule=firing.rule))
        return found

    def _why_aside(self, firing: Firing) -> str:
        if firing.rule in self.origin:
            rule, at = self.origin[firing.rule]
            return fill(rule.reason, at)
        wrong = self.result.facts[firing.matched[0]].name
        for sign in self.base.signs.values():
            for side in sides_of(sign.sided):
                if named(sign.id, side) == wrong:
                    return f"taken while something that must be right before it was wrong: {fill(sign.title, side)}"
        return ""

    def beats(self, report: SignReport) -> bool:
        """Whether something measured, or otherwise better known, says the opposite of a report."""
        opposite = self.fact("not seen" if report.seen else "seen", named(report.sign, report.side))
        if opposite is None:
            return False
        return opposite.rule is not None and self.trust(self.how(opposite.id)) >= self.trust(report.how)
